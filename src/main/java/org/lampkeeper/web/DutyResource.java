package org.lampkeeper.web;

import java.time.DateTimeException;
import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Stream;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.OnNow;
import org.lampkeeper.callout.Rota;
import org.lampkeeper.callout.Shift;
import org.lampkeeper.callout.Stretch;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.NewShift;
import org.lampkeeper.register.People;
import org.lampkeeper.register.ShiftSheet;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.web.DutyWords.RoleLine;
import org.lampkeeper.web.DutyWords.Standing;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.SupplyView.Link;

/** Who is on at this site, who is next, and where is nobody? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class DutyResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");
    private static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("HH:mm");
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMM", java.util.Locale.UK);
    private static final String NOBODY = "0";
    private static final Duration AHEAD = Duration.ofDays(7);

    private final DutyBook book;
    private final SitePeople sitePeople;
    private final People people;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;

    DutyResource(DutyBook book, SitePeople sitePeople, People people, Plant plant, FormPage pages, CurrentCaller caller) {
        this.book = book;
        this.sitePeople = sitePeople;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance duty(DutyView view);
    }

    /** @param gaps where nobody is on in the days ahead; {@code links}: what the caller may add here */
    record DutyView(Frame frame, String headline, String site, String back, String zoneName, List<RoleLine> roles, List<String> gaps, List<DayLine> days,
            List<ShiftLine> shifts, List<String> standIns, List<Link> links) {
    }

    record DayLine(String name, boolean isToday, List<String> duties) {
    }

    /** {@code edit}: empty for whoever may not change it. */
    record ShiftLine(String role, String who, String pattern, String edit) {
    }

    @GET
    @Path("{site:\\d{1,18}}/duty")
    public Response show(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        Rota rota = book.rota(site).orElseThrow(NotFoundException::new);
        List<ShiftSheet> shifts = book.shifts(site);
        List<Gap> gaps = rota.gaps(now, now.plus(AHEAD));
        List<Stretch> week = rota.stretches(now, now.plus(AHEAD));
        Map<Long, String> names = names(rota, site, now);
        boolean may = plant.may(Right.EDIT_CALL_OUT, site);
        List<Standing> planned = rota.now(now, AHEAD).stream().map(each -> Standing.of(each, names, fallback(each, site, names, now))).toList();
        List<Standing> standings = Stream.of(DutyRole.values()).map(role -> planned.stream().filter(each -> each.role() == role).findFirst()
                .orElseGet(() -> new Standing(role, List.of(), DutyWords.named(book.on(site, role, now), names), Optional.empty(), List.of(),
                        Optional.empty()))).toList();
        LocalDate today = now.atZone(sheet.zone()).toLocalDate();
        List<DayLine> days = new ArrayList<>();
        for (LocalDate day = today; day.isBefore(today.plusDays(AHEAD.toDays())); day = day.plusDays(1)) {
            LocalDate that = day;
            List<String> lines = week.stream().filter(stretch -> begins(stretch, sheet, today).equals(that)).map(stretch -> line(stretch, sheet, names))
                    .toList();
            days.add(new DayLine(DutyWords.day(day.getDayOfWeek()) + " " + DAY.format(day), day.equals(today), lines));
        }
        DutyView view = new DutyView(pages.frame("Duty at " + sheet.name(), "supply"), DutyWords.headline(sheet.name(), planned, gaps, sheet.zone(), now),
                sheet.name(), "/sites/" + site, SupplyPage.zoneName(sheet.zone()),
                standings.stream().map(each -> RoleLine.of(each, sheet.zone(), now)).toList(),
                gaps.stream().map(gap -> DutyWords.gap(gap, sheet.zone(), now)).toList(),
                days, shifts.stream().map(one -> line(one, names, may)).toList(),
                book.standIns(site).stream().filter(one -> !one.until().isBefore(today)).map(one -> names.getOrDefault(one.personId(), "somebody")
                        + " stands in from " + one.from() + " until " + one.until()).toList(),
                links(site, may));
        return Response.ok(Templates.duty(view).render()).type(HTML).build();
    }

    @GET
    @Path("{site:\\d{1,18}}/duty/shifts/new")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askForShift(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Form form = shiftFields(Form.empty(), sheet).preset("everyWeeks", "1").preset("validFrom", plant.now().atZone(sheet.zone()).toLocalDate().toString());
        return FormPage.show(newShift(sheet, form));
    }

    @POST
    @Path("{site:\\d{1,18}}/duty/shifts/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response addShift(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = shiftFields(Form.typed(sent), sheet);
        Optional<NewShift> entered = read(form, site);
        return pages.save(form, () -> book.addShift(entered.orElseThrow(), plant.by()), duty(site), Map::of, sheet.zone(), () -> newShift(sheet, form));
    }

    @GET
    @Path("shifts/{shift:\\d{1,18}}/edit")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askWhatIsNew(@RestPath long shift) {
        ShiftSheet stored = book.shift(shift).orElseThrow(NotFoundException::new);
        SiteSheet sheet = plant.site(stored.siteId());
        return FormPage.show(changed(stored, shiftFields(Form.showing(stored(stored.shift()), stored.version()), sheet)));
    }

    @POST
    @Path("shifts/{shift:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response changeShift(@RestPath long shift, MultivaluedMap<String, String> sent) {
        ShiftSheet stored = book.shift(shift).orElseThrow(NotFoundException::new);
        SiteSheet sheet = plant.site(stored.siteId());
        Form form = shiftFields(Form.typed(sent), sheet);
        Optional<NewShift> entered = read(form, stored.siteId());
        return pages.save(form, () -> book.changeShift(shift, form.version(), entered.orElseThrow(), plant.by()), duty(stored.siteId()),
                () -> stored(book.shift(shift).orElseThrow().shift()), sheet.zone(), () -> changed(stored, form));
    }

    @GET
    @Path("shifts/{shift:\\d{1,18}}/stand-in")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askWhoStandsIn(@RestPath long shift) {
        ShiftSheet stored = book.shift(shift).orElseThrow(NotFoundException::new);
        return FormPage.show(standIn(stored, standInFields(Form.empty(), stored)));
    }

    @POST
    @Path("shifts/{shift:\\d{1,18}}/stand-in")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response addStandIn(@RestPath long shift, MultivaluedMap<String, String> sent) {
        ShiftSheet stored = book.shift(shift).orElseThrow(NotFoundException::new);
        Form form = standInFields(Form.typed(sent), stored);
        OptionalLong who = form.chosenId("personId");
        Optional<LocalDate> from = day(form, "from");
        Optional<LocalDate> until = day(form, "until");
        return pages.save(form, () -> book.addStandIn(shift, who.orElseThrow(), from.orElseThrow(), until.orElseThrow(), plant.by()),
                duty(stored.siteId()), Map::of, plant.site(stored.siteId()).zone(), () -> standIn(stored, form));
    }

    /** Everybody their own; those of others whoever may change who is told. */
    @GET
    @Path("{site:\\d{1,18}}/duty/absences/new")
    public Response askWhoIsAway(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        return FormPage.show(absence(sheet, absenceFields(Form.empty(), sheet)));
    }

    @POST
    @Path("{site:\\d{1,18}}/duty/absences/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.SEE)
    public Response addAbsence(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = absenceFields(Form.typed(sent), sheet);
        OptionalLong who = form.chosenId("personId");
        Optional<Instant> from = form.moment("from", sheet.zone());
        Optional<Instant> until = form.moment("until", sheet.zone());
        return pages.save(form, () -> book.addAbsence(who.orElseThrow(), from.orElseThrow(), until.orElseThrow(), plant.by()), duty(site), Map::of,
                sheet.zone(), () -> absence(sheet, form));
    }

    private List<String> fallback(OnNow role, long site, Map<Long, String> names, Instant now) {
        return role.people().isEmpty() ? DutyWords.named(book.on(site, role.role(), now), names) : List.of();
    }

    private Map<Long, String> names(Rota rota, long site, Instant now) {
        List<Long> ids = new ArrayList<>();
        rota.shifts().forEach(shift -> shift.personId().ifPresent(ids::add));
        rota.standIns().forEach(one -> ids.add(one.personId()));
        for (DutyRole role : DutyRole.values()) {
            ids.addAll(book.on(site, role, now));
        }
        Map<Long, String> names = new HashMap<>();
        people.find(ids).values().forEach(contact -> names.put(contact.personId(), contact.name()));
        return names;
    }

    /** One that has begun before today stands with today. */
    private static LocalDate begins(Stretch stretch, SiteSheet site, LocalDate today) {
        LocalDate day = stretch.from().atZone(site.zone()).toLocalDate();
        return day.isBefore(today) ? today : day;
    }

    private static String line(Stretch stretch, SiteSheet site, Map<Long, String> names) {
        return TIME.format(stretch.from().atZone(site.zone())) + " to " + TIME.format(stretch.until().atZone(site.zone())) + " "
                + names.getOrDefault(stretch.personId(), "somebody") + ", " + stretch.role().words() + (stretch.isStandIn() ? " (stand-in)" : "");
    }

    private static ShiftLine line(ShiftSheet sheet, Map<Long, String> names, boolean may) {
        Shift shift = sheet.shift();
        String who = shift.personId().isPresent() ? names.getOrDefault(shift.personId().getAsLong(), "somebody") : "nobody yet";
        return new ShiftLine(shift.role().words(), who, DutyWords.pattern(shift), may ? "/sites/shifts/" + shift.id() : "");
    }

    private List<Link> links(long site, boolean may) {
        List<Link> links = new ArrayList<>();
        if (may) {
            links.add(new Link("Add a shift", duty(site) + "/shifts/new"));
        }
        links.add(new Link("Enter an absence", duty(site) + "/absences/new"));
        return links;
    }

    private Form shiftFields(Form form, SiteSheet site) {
        form.add(Input.choice("role", "On duty as", Stream.of(DutyRole.values()).map(role -> new Choice(role.name(), role.words())).toList()))
                .add(Input.choice("personId", "Who", Stream.concat(Stream.of(new Choice(NOBODY, "nobody yet")), choices(site)).toList()));
        for (DayOfWeek day : DayOfWeek.values()) {
            form.add(Input.tick("days." + day.name(), DutyWords.day(day)));
        }
        String zone = "On the clocks of " + site.name() + ": " + SupplyPage.zoneName(site.zone()) + ".";
        return form.add(Input.text("from", "Begins at").hint("As 22:00. " + zone))
                .add(Input.text("to", "Ends at").hint("As 06:00: on the following day where it is not later than the beginning."))
                .add(Input.whole("everyWeeks", "Comes again every", "weeks").hint("1: every week. Counted from the week of the first day."))
                .add(Input.date("validFrom", "First day"))
                .add(Input.date("validUntil", "Last day on which it begins").hint("Empty: until further notice. To end a shift, say its last day.").orNot());
    }

    private Stream<Choice> choices(SiteSheet site) {
        Map<Long, String> offered = new LinkedHashMap<>();
        sitePeople.everybody(site.id(), plant.now()).forEach(contact -> offered.put(contact.personId(), contact.name()));
        people.find(book.shifts(site.id()).stream().flatMapToLong(one -> one.shift().personId().stream()).boxed().toList()).values()
                .forEach(contact -> offered.putIfAbsent(contact.personId(), contact.name()));
        return offered.entrySet().stream().map(each -> new Choice(each.getKey().toString(), each.getValue()));
    }

    private static Optional<NewShift> read(Form form, long site) {
        Optional<DutyRole> role = form.choice("role", DutyRole.class);
        OptionalLong who = form.chosenId("personId");
        Set<DayOfWeek> days = EnumSet.noneOf(DayOfWeek.class);
        Stream.of(DayOfWeek.values()).filter(day -> form.isTicked("days." + day.name())).forEach(days::add);
        Optional<LocalTime> from = time(form, "from");
        Optional<LocalTime> to = time(form, "to");
        int everyWeeks = form.whole("everyWeeks", "1");
        Optional<LocalDate> validFrom = day(form, "validFrom");
        Optional<LocalDate> validUntil = form.date("validUntil");
        if (role.isEmpty() || who.isEmpty() || from.isEmpty() || to.isEmpty() || validFrom.isEmpty() || !form.isFine()) {
            return Optional.empty();
        }
        NewShift entered = new NewShift(site, role.get(), who.getAsLong() == 0 ? OptionalLong.empty() : who, days, from.get(), to.get(), everyWeeks,
                validFrom.get(), validUntil);
        form.problems(entered.problems());
        return Optional.of(entered);
    }

    private static Optional<LocalTime> time(Form form, String name) {
        try {
            return Optional.of(LocalTime.parse(form.text(name)));
        } catch (DateTimeException notATime) {
            form.problem(name, "is not a time of day, must be written like 22:00");
            return Optional.empty();
        }
    }

    /** One that must be given. */
    private static Optional<LocalDate> day(Form form, String name) {
        if (form.text(name).isEmpty()) {
            form.problem(name, "is empty, must be a day like 2026-11-25");
        }
        return form.date(name);
    }

    private static Map<String, String> stored(Shift shift) {
        Map<String, String> stored = new HashMap<>(Map.of("role", shift.role().name(), "personId",
                shift.personId().isPresent() ? "" + shift.personId().getAsLong() : NOBODY, "from", TIME.format(shift.from()), "to",
                TIME.format(shift.to()), "everyWeeks", "" + shift.everyWeeks(), "validFrom", shift.validFrom().toString(), "validUntil",
                shift.validUntil().map(LocalDate::toString).orElse("")));
        for (DayOfWeek day : DayOfWeek.values()) {
            stored.put("days." + day.name(), shift.days().contains(day) ? "yes" : "");
        }
        return stored;
    }

    private FormView newShift(SiteSheet site, Form form) {
        return new FormView(pages.frame("A shift at " + site.name(), "supply"), "Who is on at " + site.name() + ", and when?", "", List.of(), form,
                duty(site.id()) + "/shifts/new", "Add the shift", back(site.id()), List.of());
    }

    private FormView changed(ShiftSheet stored, Form form) {
        SiteSheet site = plant.site(stored.siteId());
        String address = "/sites/shifts/" + stored.shift().id();
        return new FormView(pages.frame("Change a shift at " + site.name(), "supply"), "What is different with this shift at " + site.name() + "?", "",
                List.of(), form, address + "/edit", "Save", back(site.id()), List.of(new Link("Somebody stands in", address + "/stand-in")));
    }

    private Form standInFields(Form form, ShiftSheet stored) {
        SiteSheet site = plant.site(stored.siteId());
        return form.add(Input.choice("personId", "Who stands in", choices(site).toList())).add(Input.date("from", "From the shift of"))
                .add(Input.date("until", "To the shift of").hint("The last day on whose shift they stand in. For one shift, the same day."));
    }

    private FormView standIn(ShiftSheet stored, Form form) {
        SiteSheet site = plant.site(stored.siteId());
        return new FormView(pages.frame("A stand-in at " + site.name(), "supply"), "Who does this shift at " + site.name() + " instead?",
                DutyWords.pattern(stored.shift()) + ".", List.of(), form, "/sites/shifts/" + stored.shift().id() + "/stand-in", "They stand in",
                back(site.id()), List.of());
    }

    private Form absenceFields(Form form, SiteSheet site) {
        Contact self = people.contact(caller.get().personId());
        Map<String, String> offered = new LinkedHashMap<>(Map.of("" + self.personId(), self.name()));
        if (plant.may(Right.EDIT_CALL_OUT, site.id())) {
            choices(site).forEach(choice -> offered.putIfAbsent(choice.value(), choice.label()));
        }
        String zone = "On the clocks of " + site.name() + ": " + SupplyPage.zoneName(site.zone()) + ".";
        return form.add(Input.choice("personId", "Who", offered.entrySet().stream().map(each -> new Choice(each.getKey(), each.getValue())).toList()))
                .add(Input.moment("from", "Away from").hint(zone)).add(Input.moment("until", "Away until").hint(zone));
    }

    private FormView absence(SiteSheet site, Form form) {
        return new FormView(pages.frame("An absence", "supply"), "Who is away, and when?",
                "Whoever is away is on for nothing, at no site. A shift of theirs without a stand-in is shown as one without anybody.", List.of(), form,
                duty(site.id()) + "/absences/new", "Enter it", back(site.id()), List.of());
    }

    private static Link back(long site) {
        return new Link("Back without saving", duty(site));
    }

    private static String duty(long site) {
        return "/sites/" + site + "/duty";
    }
}
