package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.HashMap;
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

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
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
    private final People people;
    private final Plant plant;
    private final FormPage pages;
    private final DutyForms forms;

    DutyResource(DutyBook book, People people, Plant plant, FormPage pages, DutyForms forms) {
        this.book = book;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
        this.forms = forms;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance duty(DutyView view);
    }

    /**
     * @param base  of what can be done here
     * @param gaps  where nobody is on in the days ahead
     * @param links what the caller may add here
     */
    record DutyView(Frame frame, String headline, String site, String base, String back, String zoneName, List<RoleLine> roles, List<String> gaps,
            List<DayLine> days, List<ShiftLine> shifts, List<EndingLine> standIns, List<EndingLine> absences, List<FallbackLine> fallbacks, List<Link> links) {
    }

    record DayLine(String name, boolean isToday, List<String> duties) {
    }

    /** {@code edit}: empty for whoever may not change it. */
    record ShiftLine(String role, String who, String pattern, String edit) {
    }

    /** Somebody instead, or nobody, for a time. {@code id}: empty for whoever may not end it. */
    record EndingLine(String words, String id) {
    }

    /** {@code edit}: empty for whoever may not change it. */
    record FallbackLine(String role, String who, String edit) {
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
                sheet.name(), DutyForms.address(site), "/sites/" + site, SupplyPage.zoneName(sheet.zone()),
                standings.stream().map(each -> RoleLine.of(each, sheet.zone(), now)).toList(),
                gaps.stream().map(gap -> DutyWords.gap(gap, sheet.zone(), now)).toList(),
                days, shifts.stream().map(one -> line(one, names, may)).toList(),
                book.standIns(site).stream().filter(one -> !one.until().isBefore(today)).map(one -> new EndingLine(names.getOrDefault(one.personId(), "somebody")
                        + " stands in from " + one.from() + " until " + one.until(), may ? "" + one.id() : "")).toList(),
                absences(sheet, now), Stream.of(DutyRole.values()).map(role -> fallback(site, role, may)).toList(),
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
        return pages.save(form, () -> book.addShift(entered.orElseThrow(), plant.by()), DutyForms.address(site), Map::of, sheet.zone(), () -> newShift(sheet, form));
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
        return pages.save(form, () -> book.changeShift(shift, form.version(), entered.orElseThrow(), plant.by()),
                DutyForms.address(stored.siteId()), () -> stored(book.shift(shift).orElseThrow().shift()), sheet.zone(), () -> changed(stored, form));
    }

    /** Of those who may be on here, those who are away or will be. */
    private List<EndingLine> absences(SiteSheet site, Instant now) {
        Map<Long, String> known = forms.known(site);
        return book.absences(known.keySet()).stream().filter(each -> each.until().isAfter(now))
                .map(each -> new EndingLine(known.get(each.personId()) + " is away from " + Sentences.day(each.from(), site.zone(), now) + " "
                        + TIME.format(each.from().atZone(site.zone())) + " until " + Sentences.day(each.until(), site.zone(), now) + " "
                        + TIME.format(each.until().atZone(site.zone())), forms.maySayAway(site, each.personId()) ? "" + each.id() : "")).toList();
    }

    private FallbackLine fallback(long site, DutyRole role, boolean may) {
        List<Long> own = book.ownFallback(site, role);
        List<Long> told = own.isEmpty() ? book.fallback(site, role) : own;
        Map<Long, Contact> contacts = people.find(told);
        String who = PeopleReading.listed(told.stream().map(id -> contacts.get(id).name()).toList());
        String words = own.isEmpty() ? "not set" + (who.isEmpty() ? ": whoever has a role here is told" : ": told would be " + who) : who;
        return new FallbackLine(Sentences.capital(role.words()), words, may ? DutyForms.address(site) + "/fallback?role=" + role : "");
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
            links.add(new Link("Add a shift", DutyForms.address(site) + "/shifts/new"));
        }
        links.add(new Link("Enter an absence", DutyForms.address(site) + "/absences/new"));
        return links;
    }

    private Form shiftFields(Form form, SiteSheet site) {
        form.add(Input.choice("role", "On duty as", Stream.of(DutyRole.values()).map(role -> new Choice(role.name(), role.words())).toList()))
                .add(Input.choice("personId", "Who", Stream.concat(Stream.of(new Choice(NOBODY, "nobody yet")), forms.people(site).stream()).toList()));
        form.addWeekdays();
        String zone = "On the clocks of " + site.name() + ": " + SupplyPage.zoneName(site.zone()) + ".";
        return form.add(Input.text("from", "Begins at").hint("As 22:00. " + zone))
                .add(Input.text("to", "Ends at").hint("As 06:00: on the following day where it is not later than the beginning."))
                .add(Input.whole("everyWeeks", "Comes again every", "weeks").hint("1: every week. Counted from the week of the first day."))
                .add(Input.date("validFrom", "First day"))
                .add(Input.date("validUntil", "Last day on which it begins").hint("Empty: until further notice. To end a shift, say its last day.").orNot());
    }

    private static Optional<NewShift> read(Form form, long site) {
        Optional<DutyRole> role = form.choice("role", DutyRole.class);
        OptionalLong who = form.chosenId("personId");
        Set<DayOfWeek> days = form.weekdays();
        Optional<LocalTime> from = form.timeOfDay("from", "22:00");
        Optional<LocalTime> to = form.timeOfDay("to", "22:00");
        int everyWeeks = form.whole("everyWeeks", "1");
        Optional<LocalDate> validFrom = form.dayGiven("validFrom");
        Optional<LocalDate> validUntil = form.date("validUntil");
        if (role.isEmpty() || who.isEmpty() || from.isEmpty() || to.isEmpty() || validFrom.isEmpty() || !form.isFine()) {
            return Optional.empty();
        }
        NewShift entered = new NewShift(site, role.get(), who.getAsLong() == 0 ? OptionalLong.empty() : who, days, from.get(), to.get(), everyWeeks,
                validFrom.get(), validUntil);
        form.problems(entered.problems());
        return Optional.of(entered);
    }

    private static Map<String, String> stored(Shift shift) {
        Map<String, String> stored = new HashMap<>(Map.of("role", shift.role().name(), "personId",
                shift.personId().isPresent() ? "" + shift.personId().getAsLong() : NOBODY, "from", TIME.format(shift.from()), "to",
                TIME.format(shift.to()), "everyWeeks", "" + shift.everyWeeks(), "validFrom", shift.validFrom().toString(), "validUntil",
                shift.validUntil().map(LocalDate::toString).orElse("")));
        Form.storedWeekdays(stored, shift.days());
        return stored;
    }

    private FormView newShift(SiteSheet site, Form form) {
        return new FormView(pages.frame("A shift at " + site.name(), "supply"), "Who is on at " + site.name() + ", and when?", "", List.of(), form,
                DutyForms.address(site.id()) + "/shifts/new", "Add the shift", DutyForms.back(site.id()), List.of());
    }

    private FormView changed(ShiftSheet stored, Form form) {
        SiteSheet site = plant.site(stored.siteId());
        String address = "/sites/shifts/" + stored.shift().id();
        return new FormView(pages.frame("Change a shift at " + site.name(), "supply"), "What is different with this shift at " + site.name() + "?", "",
                List.of(), form, address + "/edit", "Save", DutyForms.back(site.id()), List.of(new Link("Somebody stands in", address + "/stand-in")));
    }
}
