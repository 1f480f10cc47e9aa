package org.lampkeeper.web;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.OutOfUseSheet;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.thermal.ContentBody;
import org.lampkeeper.thermal.Enclosure;
import org.lampkeeper.thermal.HeaterReach;
import org.lampkeeper.watch.CoolingBook;
import org.lampkeeper.watch.WarmthBook;
import org.lampkeeper.web.AlarmView.Phone;
import org.lampkeeper.web.CabinetReading.LastReport;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.Picture.Line;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.OpenAlarm;
import org.lampkeeper.web.SupplyReading.SensorRow;

/** What is it fed from, what happened to it lately, what is due? */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
class CabinetResource {

    private static final Duration DAY = Duration.ofDays(1);
    // Ours: a supply that makes and breaks more often than this in a day is told of by its alarm.
    private static final int ENTRIES_AT_MOST = 100;
    // Ours: long enough to order it.
    private static final int RENEW_WITHIN_DAYS = 60;
    private static final DateTimeFormatter DAY_AND_YEAR = DateTimeFormatter.ofPattern("d MMM uuuu", Locale.ENGLISH);

    private final CabinetReading reading;
    private final JournalReading entries;
    private final SupplyReading supply;
    private final Register register;
    private final WarmthBook warmth;
    private final CoolingBook cooling;
    private final PlotReading plots;
    private final People people;
    private final WebConfig config;
    private final CurrentCaller current;
    private final Clock clock;

    CabinetResource(CabinetReading reading, JournalReading entries, SupplyReading supply, Register register, WarmthBook warmth, CoolingBook cooling, PlotReading plots, People people,
            WebConfig config, CurrentCaller current, Clock clock) {
        this.reading = reading;
        this.entries = entries;
        this.supply = supply;
        this.register = register;
        this.warmth = warmth;
        this.cooling = cooling;
        this.plots = plots;
        this.people = people;
        this.config = config;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance cabinet(CabinetView view);

        static native TemplateInstance outOfUse(OutOfUseView view);
    }

    /** {@code because}: why, as it was typed; empty where nobody was asked. */
    record OutOfUseView(Frame frame, String headline, String because, List<CabinetView.Fact> facts, List<CabinetView.Edit> edits) {
    }

    @GET
    @Path("{cabinet:\\d{1,18}}")
    public TemplateInstance page(@RestPath long cabinet) {
        Instant now = clock.instant();
        Optional<OutOfUseSheet> outOfUse = register.outOfUse(cabinet);
        if (outOfUse.isPresent()) {
            return Templates.outOfUse(outOfUse(outOfUse.get(), now));
        }
        Picture picture = new Picture(supply.everything(), config.listeningWithin(), now);
        Line line = picture.line(cabinet).orElseThrow(NotFoundException::new);
        return Templates.cabinet(compose(picture, line, register.findSheet(cabinet), now));
    }

    private OutOfUseView outOfUse(OutOfUseSheet sheet, Instant now) {
        SiteSheet site = sheet.site();
        String here = "/cabinets/" + sheet.cabinetId();
        String headline = sheet.name() + " is out of use since " + Sentences.clock(sheet.since(), site.zone(), now) + ".";
        List<CabinetView.Fact> facts = new ArrayList<>(List.of(new CabinetView.Fact("Site", site.name()),
                new CabinetView.Fact("Code on its label", sheet.code()), new CabinetView.Fact("Place", sheet.place()),
                new CabinetView.Fact("It held", sheet.content())));
        if (sheet.by().isPresent()) {
            facts.add(new CabinetView.Fact("Taken out of use by", people.find(sheet.by().getAsLong()).map(Contact::name)
                    .orElse("somebody who has been erased")));
        }
        Reach reach = current.get().reach();
        List<CabinetView.Edit> edits = new ArrayList<>();
        if (reach.may(Right.EDIT_PLANT, site.id())) {
            edits.add(new CabinetView.Edit("Bring it back into use", here + "/back-in-use"));
        }
        if (reach.may(Right.READ_JOURNAL, site.id())) {
            edits.add(new CabinetView.Edit("Its journal", "/journal?cabinet=" + sheet.cabinetId()));
            edits.add(new CabinetView.Edit("Evidence of what happened", here + "/evidence"));
        }
        edits.add(new CabinetView.Edit("Its hand-over", here + "/handovers"));
        edits.add(new CabinetView.Edit("Its site", "/sites/" + site.id()));
        return new OutOfUseView(SupplyPage.frame(sheet.name(), "supply", supply.outline(), now), headline, sheet.because(), facts, edits);
    }

    private CabinetView compose(Picture picture, Line line, Optional<CabinetSheet> sheet, Instant now) {
        CabinetRow row = line.row();
        ZoneId zone = row.zone();
        Optional<SensorState> state = row.sensor().map(SensorRow::state);
        Optional<LastReport> last = reading.lastReport(row.cabinetId());
        Optional<ContentSheet> stored = register.content(row.cabinetId());
        Instant since = now.minus(DAY);
        List<SupplyDay.Span> spans = SupplyDay.of(entries.ofCabinet(row.cabinetId(), SupplyDay.KINDS, since, ENTRIES_AT_MOST), state, since);
        String headline = headline(picture, line, state, now);
        Frame around = SupplyPage.frame(row.cabinet(), "supply", picture.snapshot().seenBy(current.get().reach()).outline(), now);
        Frame frame = new Frame(around.title(), around.place(), row.site() + ", " + Sentences.clock(now, zone, now), around.iso(), around.alarms(), "");
        Optional<Drawing> drawing = row.circuit().map(circuit -> Drawing.of(circuit.board(), circuit.way(), circuit.device(), circuit.cable(),
                circuit.fuseAmpere(), line.lamp(), picture.isAlive(circuit.boardId()), picture.adviceOf(line)));
        String boardLook = row.circuit().filter(circuit -> picture.isAlive(circuit.boardId())).map(it -> Lamp.LIT.look()).orElse(line.lamp().look());
        Reach reach = current.get().reach();
        Optional<SiteDuty> duty = Optional.ofNullable(picture.snapshot().duty().get(row.siteId()));
        return new CabinetView(frame, headline, line.lamp().look(), row.cabinet(), row.content(), drawing,
                row.circuit().map(SupplyReading.CircuitRow::board).orElse(""), boardLook, facts(row, sheet), content(stored, zone, now), warmth(row, line, now), access(sheet),
                sheet.flatMap(it -> it.site().electrician()).map(it -> Phone.of(it.name(), it.phone().orElse(""))), reports(row, last, zone, now),
                plot(row, now), spans.stream().map(span -> span(span, zone, now)).toList(),
                alarms(picture, row, now), due(row, stored, zone, now), duty.map(it -> it.brief(now)).orElse(""), duty.map(it -> it.remark(now)).orElse(""),
                edits(row, sheet, reach), zone.getId(), SupplyPage.zoneName(zone));
    }

    private static String headline(Picture picture, Line line, Optional<SensorState> state, Instant now) {
        CabinetRow row = line.row();
        Reading shown = switch (line.lamp()) {
            case LIT -> Reading.HEALTHY;
            case OUT -> Reading.LOST;
            case NOT_KNOWN -> Reading.UNKNOWN;
        };
        Optional<Instant> since = line.since().or(() -> state.flatMap(SensorState::observedAt));
        String carried = picture.alarmOf(row).filter(OpenAlarm::live)
                .map(alarm -> alarm.hasIt().isEmpty() ? "nobody has taken it yet" : picture.carried(alarm, row.zone())).orElse("");
        return Sentences.cabinetHeadline(row.cabinet(), shown, since, carried, now, row.zone());
    }

    private static List<CabinetView.Fact> facts(CabinetRow row, Optional<CabinetSheet> sheet) {
        List<CabinetView.Fact> facts = new ArrayList<>();
        facts.add(new CabinetView.Fact("Site", row.site()));
        sheet.ifPresent(it -> facts.add(new CabinetView.Fact("Address", it.site().address())));
        facts.add(new CabinetView.Fact("Code on its label", row.code()));
        sheet.ifPresent(it -> {
            facts.add(new CabinetView.Fact("Place", it.place()));
            facts.add(new CabinetView.Fact("Lamp", it.lampPlace()));
            String board = it.board().name() + ", " + it.board().place();
            facts.add(new CabinetView.Fact("Fed from", it.isFedFromAnotherSite() ? board + ", at " + it.board().siteName() : board));
            facts.add(new CabinetView.Fact("Way and device", "way " + it.circuit().way() + ", " + row.circuit().orElseThrow().device()));
            facts.add(new CabinetView.Fact("Cable", it.circuit().cable()));
            facts.add(new CabinetView.Fact("Fuse", it.circuit().fuseAmpere() + " A, " + it.circuit().fusedUnitPlace()));
        });
        return List.copyOf(facts);
    }

    private static List<CabinetView.Fact> content(Optional<ContentSheet> stored, ZoneId zone, Instant now) {
        List<CabinetView.Fact> facts = new ArrayList<>();
        stored.ifPresent(content -> {
            String between = content.lowest().map(it -> "from " + SupplyPage.temperature(Optional.of(it.value()))).orElse("")
                    + content.highest().map(it -> " to " + SupplyPage.temperature(Optional.of(it.value()))).orElse("");
            facts.add(new CabinetView.Fact("May be stored", !content.limitsAsked() ? "nobody has looked up the maker's limits yet"
                    : between.isEmpty() ? "the maker gives no limits" : between.strip()));
            content.parts().forEach(part -> facts.add(new CabinetView.Fact(part.name(), "good until " + DAY_AND_YEAR.format(part.goodUntil()))));
        });
        return List.copyOf(facts);
    }

    /** How long its content has without heating, and what the figures behind that are. */
    private List<CabinetView.Fact> warmth(CabinetRow row, Line line, Instant now) {
        List<CabinetView.Fact> facts = new ArrayList<>();
        warmth.outlook(row.cabinetId(), now).ifPresent(outlook -> facts.add(new CabinetView.Fact(
                line.lamp() == Lamp.LIT ? "If its supply were lost now" : "Without heating", String.join(" ", outlook.sentences(now)))));
        NewWarmth said = register.warmth(row.cabinetId()).said();
        facts.add(new CabinetView.Fact("How fast it cools", cooling.ofCabinet(row.cabinetId()).map(learned -> learned.words(row.zone(), now))
                .orElse(said.wattPerKelvin().isPresent() ? "from its drawings: nobody has seen it cool long enough" : "not known: no cool-down on record, and no drawings")));
        cooling.pairOfCabinet(row.cabinetId()).ifPresent(pair -> facts.add(new CabinetView.Fact("Its content, apart from the air", pair.words(row.zone(), now))));
        said.body().content().ifPresent(content -> facts.add(new CabinetView.Fact("Content as one body", oneBody(content))));
        Optional<Enclosure> enclosure = said.wattPerKelvin().map(ua -> new Enclosure(ua, said.joulePerKelvin().orElseThrow()));
        if (said.setPoint().isPresent() && said.heaterWatt().isPresent() && enclosure.isPresent()) {
            HeaterReach reach = HeaterReach.nominal(said.setPoint().get(), said.heaterWatt().get(), enclosure.get());
            facts.add(new CabinetView.Fact("Heater, from its drawings", reach.words() + said.coldest().map(coldest -> switch (reach.in(coldest)) {
                case HOLDS -> ", enough for the winter there";
                case UNSURE -> ", and it is not sure whether that is enough for the winter there";
                case TOO_SMALL -> ", too small for the winter there";
            }).orElse("")));
        }
        if (said.needsSupply() || said.slowerWhenWarm()) {
            facts.add(new CabinetView.Fact("How people are told", said.needsSupply() ? "never more slowly: it does not work without supply"
                    : "more slowly while a forecast says that there is time, as its owner has chosen"));
        }
        return List.copyOf(facts);
    }

    /** What a Biot number is to somebody who waits for the content to get cold. */
    static String oneBody(ContentBody content) {
        // Cut and not rounded: 0.0999 is under 0.1, and must not read as 0.10.
        String number = "Biot number " + new BigDecimal(content.biot()).round(new MathContext(2, RoundingMode.DOWN)).toPlainString() + (content.isInStillAir() ? "" : " with a fan on it");
        return content.isLumped() ? number + ", under 0.1: one temperature stands for all of it"
                : number + ", not under 0.1: its outside is ahead of its inside and gets too cold or too hot sooner than a forecast from the drawings says";
    }

    /** Announced work, and what must be renewed soon or should have been. */
    private List<CabinetView.Due> due(CabinetRow row, Optional<ContentSheet> stored, ZoneId zone, Instant now) {
        List<CabinetView.Due> due = new ArrayList<>(work(row, zone, now));
        LocalDate today = LocalDate.ofInstant(now, zone);
        stored.ifPresent(content -> content.parts().stream().filter(part -> !part.goodUntil().isAfter(today.plusDays(RENEW_WITHIN_DAYS)))
                .forEach(part -> due.add(part.goodUntil().isBefore(today)
                        ? new CabinetView.Due(part.name() + " was good until " + DAY_AND_YEAR.format(part.goodUntil()) + ": renew it now.", "", "lost")
                        : new CabinetView.Due(part.name() + " is good until " + DAY_AND_YEAR.format(part.goodUntil()) + ": renew it.", "", "plain"))));
        return List.copyOf(due);
    }

    private static List<String> access(Optional<CabinetSheet> sheet) {
        List<String> ways = new ArrayList<>();
        sheet.map(it -> it.site().access()).filter(text -> !text.isBlank()).ifPresent(ways::add);
        sheet.filter(it -> !it.board().access().isBlank()).ifPresent(it -> ways.add("To " + it.board().name() + ": " + it.board().access()));
        return List.copyOf(ways);
    }

    private static List<CabinetView.Report> reports(CabinetRow row, Optional<LastReport> last, ZoneId zone, Instant now) {
        if (last.isEmpty() || row.sensor().isEmpty()) {
            return List.of();
        }
        SensorRow sensor = row.sensor().get();
        SensorState state = sensor.state();
        if (state.observedAt().isEmpty()) {
            return List.of(new CabinetView.Report("Sensor", last.get().deviceId(), ""), new CabinetView.Report("Last report", "never heard", "unknown"));
        }
        Instant heard = state.observedAt().get();
        List<CabinetView.Report> reports = new ArrayList<>();
        reports.add(new CabinetView.Report("Sensor", last.get().deviceId(), ""));
        reports.add(new CabinetView.Report("Last report", Sentences.clock(heard, zone, now) + ", " + Sentences.ago(Duration.between(heard, now)) + " ago",
                state.readingAt(now) == Reading.UNKNOWN ? "unknown" : ""));
        reports.add(new CabinetView.Report("Inside", SupplyPage.temperature(sensor.inside()), ""));
        sensor.content().ifPresent(content -> reports.add(new CabinetView.Report("Its content", SupplyPage.temperature(sensor.content()), "")));
        reports.add(new CabinetView.Report("Outside", SupplyPage.temperature(sensor.outside()), ""));
        reports.add(new CabinetView.Report("Battery", last.get().battery().map(it -> String.format(Locale.ROOT, "%.0f %%", it)).orElse("not reported"), ""));
        reports.add(new CabinetView.Report("Heater", last.get().heaterOn().map(on -> on ? "on" : "off").orElse("not reported"), ""));
        reports.add(new CabinetView.Report("Door", last.get().doorOpen().map(open -> open ? "open" : "closed").orElse("not reported"), ""));
        reports.add(new CabinetView.Report("Connection", state.linkDown() ? "broken" : "no break reported", state.linkDown() ? "unknown" : ""));
        reports.add(new CabinetView.Report("Its clock", state.clockOdd() ? "wrong: times are those of arrival" : "right", state.clockOdd() ? "unknown" : ""));
        return List.copyOf(reports);
    }

    private Optional<Plotted> plot(CabinetRow row, Instant now) {
        Plot.Input input = plots.input(row.cabinetId(), Plot.Span.DAY, true, row.zone(), now);
        return input.readings().stream().flatMap(Plot.Reading::figures).noneMatch(each -> each.value().isPresent()) ? Optional.empty()
                : Optional.of(new Plotted(Plot.of(input), TemperaturesResource.figures(input, row.zone(), now)));
    }

    private static CabinetView.SpanView span(SupplyDay.Span span, ZoneId zone, Instant now) {
        Instant end = span.to().orElse(now);
        String what = switch (span.kind()) {
            case LOST -> "no supply";
            case DIP -> "short dip";
            case NOT_HEARD -> "not heard";
        };
        String text = "from " + Sentences.clock(span.from(), zone, now)
                + span.to().map(at -> " to " + Sentences.clock(at, zone, now)).orElse(" until now") + ", " + Sentences.ago(Duration.between(span.from(), end));
        return new CabinetView.SpanView(span.kind() == SupplyDay.Kind.NOT_HEARD ? "unknown" : "lost", what, text);
    }

    private static List<CabinetView.Due> alarms(Picture picture, CabinetRow row, Instant now) {
        return picture.snapshot().alarms().stream()
                .filter(alarm -> alarm.cabinetId().equals(OptionalLong.of(row.cabinetId()))
                        || alarm.cabinetId().isEmpty() && alarm.siteId() == row.siteId())
                .map(alarm -> new CabinetView.Due(Sentences.alarmHeadline(alarm.kind(), alarm.cabinetId().isPresent() ? row.cabinet() : row.site(),
                        alarm.since(), alarm.eased(), now, row.zone(), alarm.live()), "/alarms/" + alarm.id(), alarm.live() ? "lost" : "plain")).toList();
    }

    private List<CabinetView.Due> work(CabinetRow row, ZoneId zone, Instant now) {
        return reading.work(row.cabinetId(), now).stream().map(work -> {
            String kind = switch (work.kind()) {
                case "ANNOUNCED_WORK" -> "Announced work";
                case "COMMISSIONING" -> "Being put into service";
                case "TEST_PRESS" -> "Test button pressed";
                case "OUT_OF_SERVICE" -> "Out of service";
                default -> throw new IllegalStateException("suppression kind '" + work.kind() + "' is not one of the four in the table");
            };
            return new CabinetView.Due(kind + " from " + Sentences.clock(work.from(), zone, now) + " to " + Sentences.clock(work.to(), zone, now) + ": "
                    + work.reason() + ".", "", work.from().isAfter(now) ? "plain" : "unknown");
        }).toList();
    }

    private static List<CabinetView.Edit> edits(CabinetRow row, Optional<CabinetSheet> sheet, Reach reach) {
        List<CabinetView.Edit> edits = new ArrayList<>();
        String here = "/cabinets/" + row.cabinetId();
        if (reach.may(Right.EDIT_PLANT, row.siteId())) {
            edits.add(new CabinetView.Edit("Change the cabinet", here + "/edit"));
            edits.add(new CabinetView.Edit("Change its circuit", here + "/circuit"));
            edits.add(new CabinetView.Edit("Change its content", here + "/content"));
            edits.add(new CabinetView.Edit("Change how it keeps warm", here + "/warmth"));
            edits.add(new CabinetView.Edit("Its sensor", here + "/sensor"));
            sheet.filter(it -> reach.may(Right.EDIT_PLANT, it.board().siteId()))
                    .ifPresent(it -> edits.add(new CabinetView.Edit("Change " + it.board().name(), "/boards/" + it.board().id() + "/edit")));
        }
        sheet.ifPresent(it -> edits.add(new CabinetView.Edit("Its hand-over", here + "/handovers")));
        edits.add(new CabinetView.Edit("Its temperatures, day to year", here + "/temperatures"));
        if (reach.may(Right.HOLD_BACK, row.siteId())) {
            edits.add(new CabinetView.Edit("Announce work", "/sites/" + row.siteId() + "/work"));
        }
        if (reach.may(Right.READ_JOURNAL, row.siteId())) {
            edits.add(new CabinetView.Edit("Its journal", "/journal?cabinet=" + row.cabinetId()));
            edits.add(new CabinetView.Edit("Evidence of what happened", here + "/evidence"));
        }
        return List.copyOf(edits);
    }
}
