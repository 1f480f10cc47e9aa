package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;
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
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckPlan;
import org.lampkeeper.check.Recurrence;
import org.lampkeeper.check.Rhythm;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CheckPlanSheet;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.ClosedDays;
import org.lampkeeper.register.Holidays;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.SupplyView.Link;

/** How often is each cabinet of this site looked at, by whom, and on which days not? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class CheckPlansResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");
    private static final String NOBODY = "nobody";
    /** The rule stays as it is: no form makes it. */
    private static final String AS_IT_IS = "AS_IT_IS";

    /** By check_due_by_site_and_day. */
    private static final String NEXT_DUE = """
            SELECT plan_id, MIN(opens_at) AS next_at FROM check_due WHERE site_id = ? AND opens_at > ? AND withdrawn_at IS NULL GROUP BY plan_id""";

    private final CheckPlans plans;
    private final ClosedDays closedDays;
    private final Register register;
    private final SitePeople sitePeople;
    private final People people;
    private final Plant plant;
    private final FormPage pages;
    private final Reads reads;

    CheckPlansResource(CheckPlans plans, ClosedDays closedDays, Register register, SitePeople sitePeople, People people, Plant plant, FormPage pages,
            Reads reads) {
        this.plans = plans;
        this.closedDays = closedDays;
        this.register = register;
        this.sitePeople = sitePeople;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
        this.reads = reads;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance plans(PlansView view);
    }

    /**
     * @param holidays the calendar of public holidays, in words; empty for none
     * @param remove   where a closed day is taken away; empty for whoever may not
     * @param links    what the caller may do here
     */
    record PlansView(Frame frame, String headline, String site, String back, String zoneName, List<PlanLine> plans, List<DayLine> closedDays, String holidays,
            String remove, List<Link> links) {
    }

    /** @param edit empty for whoever may not change it */
    record PlanLine(String cabinet, String what, String pattern, String asked, String next, String edit) {
    }

    record DayLine(String day, String name) {
    }

    @GET
    @Path("{site:\\d{1,18}}/checks/plans")
    public Response show(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        boolean may = plant.may(Right.EDIT_CALL_OUT, site);
        List<CheckPlanSheet> all = plans.ofSite(site);
        Map<Long, CabinetSheet> cabinets = cabinets(site);
        Map<Long, String> names = names(all);
        Map<Long, Instant> next = new HashMap<>();
        reads.list(NEXT_DUE, row -> Map.entry(row.number("plan_id"), row.instant("next_at")), site, now)
                .forEach(each -> next.put(each.getKey(), each.getValue()));
        Set<Long> looked = all.stream().map(CheckPlanSheet::cabinetId).collect(Collectors.toSet());
        List<PlanLine> lines = all.stream().filter(plan -> cabinets.containsKey(plan.cabinetId())).map(plan -> new PlanLine(
                cabinets.get(plan.cabinetId()).name(), plan.plan().kind().task(), CheckWords.pattern(plan.plan()), CheckWords.asked(plan, names),
                Optional.ofNullable(next.get(plan.id())).map(at -> "next on " + Sentences.clock(at, sheet.zone(), now)).orElse("none in the coming days"),
                may ? "/sites/checks/plans/" + plan.id() : "")).toList();
        LocalDate today = LocalDate.ofInstant(now, sheet.zone());
        List<DayLine> days = closedDays.ofSite(site).entrySet().stream().filter(each -> !each.getKey().isBefore(today))
                .map(each -> new DayLine(each.getKey().toString(), each.getValue())).toList();
        List<Link> links = may ? List.of(new Link("Add a plan", checks(site) + "/plans/new"), new Link("Add a closed day", checks(site) + "/closed-days/new"),
                new Link("Public holidays", checks(site) + "/holidays")) : List.of();
        PlansView view = new PlansView(pages.frame("Plans of looks at " + sheet.name(), "supply"), CheckWords.headline(sheet.name(), cabinets.size(),
                cabinets.values().stream().filter(cabinet -> !looked.contains(cabinet.cabinetId())).map(CabinetSheet::name).toList()), sheet.name(),
                "/sites/" + site, SupplyPage.zoneName(sheet.zone()), lines, days, closedDays.holidays(site).map(Holidays::words).orElse(""),
                may ? checks(site) + "/closed-days/remove" : "", links);
        return Response.ok(Templates.plans(view).render()).type(HTML).build();
    }

    @GET
    @Path("{site:\\d{1,18}}/checks/plans/new")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askForPlan(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Form form = planFields(whichCabinets(Form.empty(), site), sheet, Optional.empty()).preset("every", "1").preset("opens", "09:00").preset("closes", "12:00")
                .preset("graceMinutes", "30").preset("first", LocalDate.ofInstant(plant.now(), sheet.zone()).toString()).preset("kind", CheckKind.LAMP.name())
                .preset("pace", Rhythm.Pace.EVERY_DAY.name()).preset("whenClosed", WhenClosed.SKIP.name()).preset("asked", DutyRole.SITE_DUTY.name())
                .preset("askedWhenClosed", NOBODY);
        return FormPage.show(newPlan(sheet, form));
    }

    @POST
    @Path("{site:\\d{1,18}}/checks/plans/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response addPlan(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = planFields(whichCabinets(Form.typed(sent), site), sheet, Optional.empty());
        Set<Long> chosen = new TreeSet<>(cabinets(site).keySet());
        chosen.removeIf(cabinet -> !form.isTicked("cabinets." + cabinet));
        Optional<NewCheckPlan> entered = read(form, Optional.empty());
        return pages.save(form, () -> plans.add(chosen, entered.orElseThrow(), plant.by()), checks(site) + "/plans", Map::of, sheet.zone(),
                () -> newPlan(sheet, form));
    }

    @GET
    @Path("checks/plans/{plan:\\d{1,18}}/edit")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askWhatIsNew(@RestPath long plan) {
        CheckPlanSheet stored = plan(plan);
        SiteSheet sheet = plant.site(stored.siteId());
        return FormPage.show(changed(stored, planFields(Form.showing(stored(stored), stored.version()), sheet, Optional.of(stored))));
    }

    @POST
    @Path("checks/plans/{plan:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response changePlan(@RestPath long plan, MultivaluedMap<String, String> sent) {
        CheckPlanSheet stored = plan(plan);
        SiteSheet sheet = plant.site(stored.siteId());
        Form form = planFields(Form.typed(sent), sheet, Optional.of(stored));
        Optional<NewCheckPlan> entered = read(form, Optional.of(stored));
        return pages.save(form, () -> plans.change(plan, form.version(), entered.orElseThrow(), plant.by()), checks(stored.siteId()) + "/plans",
                () -> stored(plan(plan)), sheet.zone(), () -> changed(stored, form));
    }

    @GET
    @Path("checks/plans/{plan:\\d{1,18}}/end")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askWhetherToEnd(@RestPath long plan) {
        CheckPlanSheet stored = plan(plan);
        SiteSheet sheet = plant.site(stored.siteId());
        return FormPage.show(new FormView(pages.frame("End a plan at " + sheet.name(), "supply"),
                "Is " + register.sheet(stored.cabinetId()).name() + " not to be looked at by this plan any more?",
                CheckWords.pattern(stored.plan()) + ". What was looked at stays on record.", List.of(), Form.empty(), "/sites/checks/plans/" + plan + "/end",
                "End the plan", back(sheet.id()), List.of()));
    }

    @POST
    @Path("checks/plans/{plan:\\d{1,18}}/end")
    @Needs(Right.EDIT_CALL_OUT)
    public Response endPlan(@RestPath long plan) {
        CheckPlanSheet stored = plans.find(plan).orElseThrow(NotFoundException::new);
        plans.end(plan, plant.by());
        return FormPage.done(checks(stored.siteId()) + "/plans");
    }

    @GET
    @Path("{site:\\d{1,18}}/checks/closed-days/new")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askForClosedDay(@RestPath long site) {
        return FormPage.show(closedDay(plant.site(site), closedDayFields(Form.empty())));
    }

    @POST
    @Path("{site:\\d{1,18}}/checks/closed-days/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response addClosedDay(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = closedDayFields(Form.typed(sent));
        Optional<LocalDate> day = form.dayGiven("day");
        return pages.save(form, () -> closedDays.add(site, day.orElseThrow(), form.text("name"), plant.by()), checks(site) + "/plans", Map::of, sheet.zone(),
                () -> closedDay(sheet, form));
    }

    /** A day that is none is nothing to take away. */
    @POST
    @Path("{site:\\d{1,18}}/checks/closed-days/remove")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response removeClosedDay(@RestPath long site, MultivaluedMap<String, String> sent) {
        Form form = closedDayFields(Form.typed(sent));
        form.date("day").ifPresent(day -> closedDays.remove(site, day, plant.by()));
        return FormPage.done(checks(site) + "/plans");
    }

    @GET
    @Path("{site:\\d{1,18}}/checks/holidays")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askForHolidays(@RestPath long site) {
        return FormPage.show(holidays(plant.site(site), holidayFields(Form.empty()).preset("calendar", closedDays.holidays(site).map(Holidays::code).orElse(""))));
    }

    @POST
    @Path("{site:\\d{1,18}}/checks/holidays")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response keepHolidays(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = holidayFields(Form.typed(sent));
        return pages.save(form, () -> closedDays.keepHolidays(site, Optional.of(form.text("calendar")).filter(code -> !code.isEmpty()), plant.by()),
                checks(site) + "/plans", Map::of, sheet.zone(), () -> holidays(sheet, form));
    }

    private CheckPlanSheet plan(long planId) {
        return plans.find(planId).filter(plan -> plan.endedAt().isEmpty()).orElseThrow(NotFoundException::new);
    }

    private Map<Long, CabinetSheet> cabinets(long site) {
        Map<Long, CabinetSheet> cabinets = new LinkedHashMap<>();
        register.sheetsOfSite(site).forEach(cabinet -> cabinets.put(cabinet.cabinetId(), cabinet));
        return cabinets;
    }

    private Map<Long, String> names(List<CheckPlanSheet> all) {
        Map<Long, String> names = new HashMap<>();
        people.find(all.stream().flatMap(plan -> Stream.concat(Stream.of(plan.asked()), plan.askedWhenClosed().stream()))
                .filter(Whom.Person.class::isInstance).map(whom -> ((Whom.Person) whom).personId()).toList())
                .values().forEach(contact -> names.put(contact.personId(), contact.name()));
        return names;
    }

    private Form whichCabinets(Form form, long site) {
        form.section("Which cabinets?", "");
        cabinets(site).values().forEach(cabinet -> form.add(Input.tick("cabinets." + cabinet.cabinetId(), cabinet.name() + ", " + cabinet.code())));
        return form;
    }

    private Form planFields(Form form, SiteSheet site, Optional<CheckPlanSheet> stored) {
        List<Choice> paces = new ArrayList<>(List.of(new Choice(Rhythm.Pace.EVERY_DAY.name(), "every day"),
                new Choice(Rhythm.Pace.WEEKDAYS.name(), "Monday to Friday"), new Choice(Rhythm.Pace.WEEKS.name(), "on the weekdays below"),
                new Choice(Rhythm.Pace.MONTHS.name(), "once a month")));
        stored.filter(plan -> Rhythm.of(plan.plan().recurrence()).isEmpty())
                .ifPresent(plan -> paces.add(new Choice(AS_IT_IS, "as it is: " + plan.plan().recurrence().rule())));
        form.section("What, and how often?", "")
                .add(Input.choice("kind", "They are asked to", Stream.of(CheckKind.values()).map(kind -> new Choice(kind.name(), kind.task())).toList()))
                .add(Input.choice("pace", "How often", paces))
                .add(Input.whole("every", "Only every", "weeks or months").hint("1: each. 6 with once a month: every six months. Counted from the first day."));
        form.addWeekdays().add(Input.date("first", "First day"));
        form.section("Between when?", CheckWords.clocks(site.name(), site.zone()))
                .add(Input.text("opens", "They are asked from").hint("As 09:00."))
                .add(Input.text("closes", "To be done by").hint("As 12:00: on the following day where it is not later."))
                .add(Input.whole("graceMinutes", "It is missed", "minutes later").hint("Then it is an alarm."));
        form.section("Who?", "").add(Input.choice("asked", "Who is asked", whom(site, stored.map(CheckPlanSheet::asked))))
                .add(Input.choice("whenClosed", "On closed days", Stream.of(WhenClosed.values()).map(when -> new Choice(when.name(), CheckWords.closed(when))).toList()))
                .add(Input.choice("askedWhenClosed", "Who is asked on closed days", Stream.concat(Stream.of(new Choice(NOBODY, "nobody else")),
                        whom(site, stored.flatMap(CheckPlanSheet::askedWhenClosed)).stream()).toList()))
                .add(Input.tick("sensorCounts", "A sensor that says healthy stands in for the look").hint("Of the lamp only. Then nobody is asked while it does."))
                .add(Input.tick("asksCode", "The code on the label is asked for").hint("With it a look is recorded as taken at the cabinet; without it all the same, but not as that."
                        + " Labels that were printed before there was a code have to be replaced."));
        return form;
    }

    /** The roles, then the people of the site, then whoever is asked already. */
    private List<Choice> whom(SiteSheet site, Optional<Whom> stored) {
        Map<String, String> offered = new LinkedHashMap<>();
        for (DutyRole role : DutyRole.values()) {
            offered.put(role.name(), "whoever is on as " + role.words());
        }
        sitePeople.everybody(site.id(), plant.now()).forEach(contact -> offered.put("" + contact.personId(), contact.name()));
        stored.filter(Whom.Person.class::isInstance).flatMap(whom -> people.find(((Whom.Person) whom).personId()))
                .ifPresent(contact -> offered.putIfAbsent("" + contact.personId(), contact.name()));
        return offered.entrySet().stream().map(each -> new Choice(each.getKey(), each.getValue())).toList();
    }

    private static Optional<NewCheckPlan> read(Form form, Optional<CheckPlanSheet> stored) {
        Optional<CheckKind> kind = form.choice("kind", CheckKind.class);
        Optional<LocalDate> first = form.dayGiven("first");
        Optional<Recurrence> recurrence = first.flatMap(day -> recurrence(form, day, stored));
        Optional<LocalTime> opens = form.timeOfDay("opens", "09:00");
        Optional<LocalTime> closes = form.timeOfDay("closes", "09:00");
        int grace = form.whole("graceMinutes", 0, (int) CheckPlan.LONGEST_GRACE.toMinutes());
        Optional<WhenClosed> whenClosed = form.choice("whenClosed", WhenClosed.class);
        Optional<Whom> asked = chosen(form, "asked");
        Optional<Whom> askedWhenClosed = form.text("askedWhenClosed").equals(NOBODY) ? Optional.empty() : chosen(form, "askedWhenClosed");
        if (!form.isFine()) {
            return Optional.empty();
        }
        NewCheckPlan entered = new NewCheckPlan(kind.orElseThrow(), recurrence.orElseThrow().rule(), first.orElseThrow(), opens.orElseThrow(), closes.orElseThrow(),
                grace, whenClosed.orElseThrow(), asked.orElseThrow(), askedWhenClosed, form.isTicked("sensorCounts"), form.isTicked("asksCode"));
        form.problems(entered.problems());
        return Optional.of(entered);
    }

    private static Optional<Recurrence> recurrence(Form form, LocalDate first, Optional<CheckPlanSheet> stored) {
        if (form.text("pace").equals(AS_IT_IS) && stored.isPresent()) {
            return Optional.of(new Recurrence(stored.get().plan().recurrence().rule(), first));
        }
        Optional<Rhythm.Pace> pace = form.choice("pace", Rhythm.Pace.class);
        int every = form.whole("every", 1, Rhythm.MOST);
        Set<DayOfWeek> days = form.weekdays();
        if (pace.isEmpty() || !form.isFine()) {
            return Optional.empty();
        }
        boolean isCounted = pace.get().isCounted();
        if (!isCounted && every > 1) {
            form.problem("every", "is for weeks and months, must be 1 here");
            return Optional.empty();
        }
        return Optional.of(new Rhythm(pace.get(), every, pace.get() == Rhythm.Pace.WEEKS ? days : Set.of()).from(first));
    }

    private static Optional<Whom> chosen(Form form, String name) {
        String value = form.text(name);
        boolean isOffered = form.field(name).choices().stream().anyMatch(choice -> choice.value().equals(value));
        if (!isOffered || value.equals(NOBODY)) {
            form.problem(name, "nobody is chosen, choose somebody");
            return Optional.empty();
        }
        return Optional.of(value.matches("\\d{1,18}") ? new Whom.Person(Long.parseLong(value)) : new Whom.OnDutyFor(DutyRole.valueOf(value)));
    }

    private static Map<String, String> stored(CheckPlanSheet sheet) {
        CheckPlan plan = sheet.plan();
        Optional<Rhythm> rhythm = Rhythm.of(plan.recurrence());
        Map<String, String> stored = new HashMap<>(Map.of("kind", plan.kind().name(), "pace", rhythm.map(it -> it.pace().name()).orElse(AS_IT_IS), "every",
                "" + rhythm.map(Rhythm::every).orElse(1), "first", plan.recurrence().first().toString(), "opens", CheckWords.TIME.format(plan.opens()), "closes",
                CheckWords.TIME.format(plan.closes()), "graceMinutes", "" + plan.grace().toMinutes(), "whenClosed", plan.whenClosed().name(), "asked",
                value(sheet.asked()), "askedWhenClosed", sheet.askedWhenClosed().map(CheckPlansResource::value).orElse(NOBODY)));
        Form.storedWeekdays(stored, rhythm.map(Rhythm::days).orElse(Set.of()));
        stored.put("sensorCounts", sheet.sensorCounts() ? "yes" : "");
        stored.put("asksCode", sheet.asksCode() ? "yes" : "");
        return stored;
    }

    private static String value(Whom whom) {
        return whom instanceof Whom.Person person ? "" + person.personId() : ((Whom.OnDutyFor) whom).role().name();
    }

    private FormView newPlan(SiteSheet site, Form form) {
        return new FormView(pages.frame("A plan of looks at " + site.name(), "supply"), "How often is " + site.name() + " looked at, and by whom?",
                "A lamp helps only if somebody looks. At opening they are sent a link, by their own channel; half-way and shortly before the end once more.",
                List.of(), form, checks(site.id()) + "/plans/new", "Add the plan", back(site.id()), List.of());
    }

    private FormView changed(CheckPlanSheet stored, Form form) {
        String cabinet = register.findSheet(stored.cabinetId()).map(CabinetSheet::name).orElse("a cabinet");
        String address = "/sites/checks/plans/" + stored.id();
        return new FormView(pages.frame("Change a plan of " + cabinet, "supply"), "What is different with the looks at " + cabinet + "?",
                "What has opened already stays as it was asked for.", List.of(), form, address + "/edit", "Save", back(stored.siteId()),
                List.of(new Link("End this plan", address + "/end")));
    }

    private static Form closedDayFields(Form form) {
        return form.add(Input.date("day", "Closed day")).add(Input.text("name", "What is on").hint("As stocktaking."));
    }

    private FormView closedDay(SiteSheet site, Form form) {
        return new FormView(pages.frame("A closed day at " + site.name(), "supply"), "On which day is nobody at " + site.name() + "?",
                "What becomes of a look on such a day is said in its plan.", List.of(), form, checks(site.id()) + "/closed-days/new", "Add the day", back(site.id()),
                List.of());
    }

    private static Form holidayFields(Form form) {
        return form.add(Input.text("calendar", "Calendar").hint("The country as gb or de; with its part as gb_sct. Empty: none is kept.").orNot());
    }

    private FormView holidays(SiteSheet site, Form form) {
        return new FormView(pages.frame("Public holidays at " + site.name(), "supply"), "Which public holidays does " + site.name() + " keep?",
                "Its days count as closed days.", List.of(), form, checks(site.id()) + "/holidays", "Save", back(site.id()), List.of());
    }

    private static Link back(long site) {
        return new Link("Back without saving", checks(site) + "/plans");
    }

    private static String checks(long site) {
        return "/sites/" + site + "/checks";
    }
}
