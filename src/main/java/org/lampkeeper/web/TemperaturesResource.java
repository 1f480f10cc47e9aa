package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import java.util.stream.Stream;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.Register;
import org.lampkeeper.thermal.Enclosure;
import org.lampkeeper.thermal.HeatingSeason;
import org.lampkeeper.watch.WarmthBook;
import org.lampkeeper.web.Plot.Range;
import org.lampkeeper.web.Plot.Reading;
import org.lampkeeper.web.Plot.Span;
import org.lampkeeper.web.csv.CsvFile;

/** How warm was it in a cabinet, and how long does that last? */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
class TemperaturesResource {

    private static final int HOURS = 24;
    private static final List<String> COLUMNS = List.of("at", "inside", "insideLeast", "insideMost", "outside", "outsideLeast", "outsideMost", "supply", "door", "look",
            "forecastColdest", "forecastLikely", "forecastWarmest", "content", "contentLeast", "contentMost");
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMM uuuu", Locale.ENGLISH);

    private final Register register;
    private final PlotReading reading;
    private final WarmthBook warmth;
    private final SupplyReading supply;
    private final Clock clock;

    TemperaturesResource(Register register, PlotReading reading, WarmthBook warmth, SupplyReading supply, Clock clock) {
        this.register = register;
        this.reading = reading;
        this.warmth = warmth;
        this.supply = supply;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance temperatures(TemperaturesView view);
    }

    /** {@code outlook}: how long it lasts without heating, in whole sentences. */
    record TemperaturesView(Frame frame, String headline, List<String> outlook, List<Other> spans, Plotted plotted, String file, String back, String zone, String zoneName) {
    }

    /** {@code href} is empty for the one that is shown. */
    record Other(String word, String href) {
    }

    /** {@code look}: what somebody said who looked then. */
    record Figure(String at, String iso, String inside, String content, String outside, String supply, String door, String look) {
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/temperatures")
    public TemplateInstance page(@RestPath long cabinet, @RestQuery @DefaultValue("day") String span) {
        Instant now = clock.instant();
        CabinetSheet sheet = register.findSheet(cabinet).orElseThrow(NotFoundException::new);
        Span shown = Span.of(span).orElseThrow(NotFoundException::new);
        ZoneId zone = sheet.site().zone();
        Plot.Input input = reading.input(cabinet, shown, shown == Span.DAY, zone, now);
        String headline = "Temperatures of " + sheet.name() + " in the last " + shown.word();
        List<Other> spans = Stream.of(Span.values()).map(each -> new Other(each.word(), each == shown ? ""
                : "/cabinets/" + cabinet + "/temperatures?span=" + each.word())).toList();
        return Templates.temperatures(new TemperaturesView(SupplyPage.frame(headline, "supply", supply.outline(), now), headline,
                Stream.concat(warmth.outlook(cabinet, now).stream().flatMap(it -> it.sentences(now).stream()),
                        energy(input, register.warmth(cabinet).said()).stream()).toList(), spans, new Plotted(Plot.of(input), figures(input, zone, now)),
                "/cabinets/" + cabinet + "/temperatures.csv?span=" + shown.word(), "/cabinets/" + cabinet, zone.getId(), SupplyPage.zoneName(zone)));
    }

    /** What heating took, by degree hours; nothing where a figure is missing, or where a quarter of an hour is looked at: that is no season. */
    static List<String> energy(Plot.Input input, NewWarmth said) {
        List<Range> days = input.readings().stream().flatMap(each -> each.outside().range().stream()).toList();
        if (!input.span().isOfDays() || days.isEmpty() || said.setPoint().isEmpty() || said.heaterWatt().isEmpty() || said.wattPerKelvin().isEmpty()) {
            return List.of();
        }
        List<Celsius> hourly = days.stream().flatMap(day -> IntStream.range(0, HOURS).mapToObj(hour -> new Celsius((day.low() + day.high()) / 2
                + (day.high() - day.low()) / 2 * Math.cos(2 * Math.PI * hour / HOURS)))).toList();
        HeatingSeason season = HeatingSeason.of(hourly, said.setPoint().get(), new Enclosure(said.wattPerKelvin().get(), said.joulePerKelvin().orElseThrow()),
                said.heaterWatt().get());
        return List.of(String.format(Locale.ROOT, "Heating took about %.0f kWh on the %d days on record, by %.0f degree hours and its drawings%s.",
                season.kilowattHours(), days.size(), season.degreeHours(), season.shortHours() == 0 ? ""
                        : "; in about " + season.shortHours() + " hours the heater could not hold its set point"));
    }

    /**
     * Every figure that is drawn, as a file: in order of time, a row a quarter of an hour or a day, with what people saw, and behind what was measured
     * what is forecast, which is no measurement and stands in columns of its own. {@code separator}: as in the register's files.
     */
    @GET
    @Path("{cabinet:\\d{1,18}}/temperatures.csv")
    @Produces("text/csv; charset=utf-8")
    public Response file(@RestPath long cabinet, @RestQuery @DefaultValue("day") String span, @RestQuery @DefaultValue("") String separator) {
        CabinetSheet sheet = register.findSheet(cabinet).orElseThrow(NotFoundException::new);
        Span asked = Span.of(span).orElseThrow(NotFoundException::new);
        Plot.Input input = reading.input(cabinet, asked, asked == Span.DAY, sheet.site().zone(), clock.instant());
        return Response.ok(CsvFile.BYTE_ORDER_MARK + CsvFile.ofTexts(COLUMNS, cells(input), separator.equals("semicolon") ? ';' : ','))
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"temperatures-" + cabinet + "-" + asked.word() + ".csv\"").build();
    }

    static List<List<String>> cells(Plot.Input input) {
        record Line(Instant at, List<String> cells) {
        }
        List<Line> lines = new ArrayList<>();
        input.readings().forEach(each -> lines.add(new Line(each.at(), Stream.of(Stream.of(each.at().toString()), cells(each.inside()), cells(each.outside()),
                Stream.of(each.lost() ? "lost" : "healthy", each.doorOpen() ? "open" : "", "", "", "", ""), cells(each.content())).flatMap(it -> it).toList())));
        input.looks().forEach(each -> lines.add(new Line(each.at(), List.of(each.at().toString(), "", "", "", "", "", "", "", "", each.answer(), "", "", "", "", "", ""))));
        input.band().stream().flatMap(band -> band.points().stream()).filter(each -> !each.at().isAfter(input.to())).forEach(each -> lines.add(new Line(each.at(),
                List.of(each.at().toString(), "", "", "", "", "", "", "", "", "", cell(Optional.of(each.coldest())), cell(Optional.of(each.likely())),
                        cell(Optional.of(each.warmest())), "", "", ""))));
        return lines.stream().sorted(Comparator.comparing(Line::at)).map(Line::cells).toList();
    }

    private static Stream<String> cells(Plot.Figure figure) {
        return Stream.of(cell(figure.value()), cell(figure.range().map(Range::low)), cell(figure.range().map(Range::high)));
    }

    private static String cell(Optional<Double> celsius) {
        return celsius.map(it -> String.format(Locale.ROOT, "%.2f", it)).orElse("");
    }

    /** The newest first. A look stands at its moment; of a season, with its day. */
    static List<Figure> figures(Plot.Input input, ZoneId zone, Instant now) {
        record Line(Instant at, Figure figure) {
        }
        Span span = input.span();
        List<Line> lines = new ArrayList<>();
        for (Reading each : PlotReading.rows(input)) {
            lines.add(new Line(each.at(), figure(each, span, zone, now, span.isOfDays() ? looks(input, each.at()) : "")));
        }
        if (!span.isOfDays()) {
            input.looks().forEach(look -> {
                Moment at = Moment.of(look.at(), zone, now);
                lines.add(new Line(look.at(), new Figure(at.clock(), at.iso(), "", "", "", "", "", look.answer())));
            });
        }
        return lines.stream().sorted(Comparator.comparing(Line::at).reversed()).map(Line::figure).toList();
    }

    private static String looks(Plot.Input input, Instant ofDay) {
        return input.looks().stream().filter(look -> dayOf(look.at()).equals(dayOf(ofDay))).map(Plot.Look::answer).distinct().collect(Collectors.joining(", "));
    }

    private static LocalDate dayOf(Instant at) {
        return LocalDate.ofInstant(at, ZoneOffset.UTC);
    }

    private static Figure figure(Reading each, Span span, ZoneId zone, Instant now, String look) {
        Moment at = Moment.of(each.at(), zone, now);
        return new Figure(span.isOfDays() ? DAY.format(dayOf(each.at())) : at.clock(), at.iso(),
                words(each.inside()), words(each.content()), words(each.outside()),
                each.lost() ? "no supply" : "", each.doorOpen() ? "open" : "", look);
    }

    private static String words(Plot.Figure figure) {
        return figure.range().filter(it -> it.low() < it.high()).map(it -> SupplyPage.temperature(it.low(), it.high())).orElseGet(() -> SupplyPage.temperature(figure.value()));
    }
}
