package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.Function;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.callout.Whom;
import org.lampkeeper.register.Facts.Change;
import org.lampkeeper.register.Locks.OptionalVersion;

/**
 * How often each cabinet is looked at, and who is asked. Each verb is one transaction, or part of the caller's; {@link Edited} and
 * {@link CheckPlansChanged} are fired inside it.
 */
@ApplicationScoped
@Transactional
public class CheckPlans {

    /** Ours: a plan of each kind and some for other days; more would be the same look asked for twice. */
    private static final int MOST_PER_CABINET = 12;

    private static final String THING = "check-plan";

    private static final String NAMING = """
            FROM StoredCheckPlan p WHERE p.askedPersonId = :person OR p.closedPersonId = :person ORDER BY p.id""";

    /** Whoever looks after the site is asked instead: that nobody is must not be found out at the next closing. */
    private static final List<String> FORGET = List.of("""
            UPDATE check_plan SET asked_person_id = NULL, asked_role = 'SITE_DUTY', version = version + 1 WHERE asked_person_id = :person""", """
            UPDATE check_plan SET closed_person_id = NULL, closed_role = 'SITE_DUTY', version = version + 1 WHERE closed_person_id = :person""");

    private final EntityManager entities;
    private final Locks locks;
    private final CabinetRepository cabinets;
    private final PersonRepository people;
    private final Event<Edited> edited;
    private final Event<CheckPlansChanged> changed;

    CheckPlans(EntityManager entities, Locks locks, CabinetRepository cabinets, PersonRepository people, Event<Edited> edited,
            Event<CheckPlansChanged> changed) {
        this.entities = entities;
        this.locks = locks;
        this.cabinets = cabinets;
        this.people = people;
        this.edited = edited;
        this.changed = changed;
    }

    /** The same plan for each of these cabinets, in the order of their numbers. */
    public List<CheckPlanSheet> add(Collection<Long> cabinetIds, NewCheckPlan entered, By by) {
        String thing = "check plan";
        NotRegistered.unlessEmpty(thing, new Problems().must("cabinets", !cabinetIds.isEmpty(), "no cabinet is chosen, choose one at least")
                .list(entered.problems()).list(peopleOf(entered)).list());
        Set<Long> inOrder = new TreeSet<>(cabinetIds);
        inOrder.forEach(cabinetId -> locks.cabinet(cabinetId, OptionalVersion.ANY));
        // All of a kind together, for hundreds may be ticked: each statement looks through all that is loaded for what has changed.
        Map<Long, Cabinet> found = cabinets.list("id IN ?1", inOrder).stream().collect(Collectors.toMap(Cabinet::id, Function.identity()));
        Map<Long, Long> plansBefore = counts(inOrder);
        List<StoredCheckPlan> added = new ArrayList<>();
        for (long cabinetId : inOrder) {
            Cabinet cabinet = found.get(cabinetId);
            NotRegistered.unlessEmpty(thing, new Problems()
                    .must("cabinets", cabinet != null && cabinet.isInUse(), "cabinet " + cabinetId + " is not in use")
                    .must("cabinets", plansBefore.getOrDefault(cabinetId, 0L) < MOST_PER_CABINET,
                            "cabinet " + cabinetId + " has " + MOST_PER_CABINET + " plans already, end some first")
                    .list());
            added.add(new StoredCheckPlan(NotRegistered.unlessThere(cabinet, "cabinet " + cabinetId).site().id(), cabinetId, entered, by));
        }
        added.forEach(entities::persist);
        entities.flush();
        List<CheckPlanSheet> sheets = added.stream().map(StoredCheckPlan::sheet).toList();
        sheets.forEach(sheet -> fire(sheet, "registered", Facts.between(Facts.none(), facts(sheet)), by));
        changed.fire(new CheckPlansChanged(sheets.stream().map(CheckPlanSheet::id).toList(), by.at()));
        return sheets;
    }

    public CheckPlanSheet change(long planId, int version, NewCheckPlan entered, By by) {
        String thing = "check plan " + planId;
        NotRegistered.unlessEmpty(thing, new Problems().list(entered.problems()).list(peopleOf(entered)).list());
        StoredCheckPlan plan = held(planId, OptionalVersion.of(version));
        NotRegistered.unlessEmpty(thing, new Problems().must("", plan.sheet().endedAt().isEmpty(), "has ended, add a plan instead").list());
        SortedMap<String, Object> before = facts(plan.sheet());
        plan.take(entered, by);
        entities.flush();
        CheckPlanSheet now = plan.sheet();
        Change change = Facts.between(before, facts(now));
        if (!change.before().isEmpty() || !change.after().isEmpty()) {
            fire(now, "changed", change, by);
        }
        changed.fire(new CheckPlansChanged(List.of(planId), by.at()));
        return now;
    }

    /** Nothing is due by it from now on; what is open stays so until it closes. Nothing happens to one that has ended. */
    public void end(long planId, By by) {
        StoredCheckPlan plan = held(planId, OptionalVersion.ANY);
        if (plan.sheet().endedAt().isPresent()) {
            return;
        }
        plan.end(by);
        entities.flush();
        CheckPlanSheet ended = plan.sheet();
        fire(ended, "ended", Facts.between(facts(ended), Facts.none()), by);
        changed.fire(new CheckPlansChanged(List.of(planId), by.at()));
    }

    /** Ended or not. */
    public Optional<CheckPlanSheet> find(long planId) {
        return Optional.ofNullable(entities.find(StoredCheckPlan.class, planId)).map(StoredCheckPlan::sheet);
    }

    /** The same for many at once, by number. */
    public Map<Long, CheckPlanSheet> find(Collection<Long> planIds) {
        return planIds.isEmpty() ? Map.of() : entities.createQuery("FROM StoredCheckPlan p WHERE p.id IN :ids", StoredCheckPlan.class).setParameter("ids", planIds)
                .getResultList().stream().map(StoredCheckPlan::sheet).collect(Collectors.toMap(CheckPlanSheet::id, Function.identity()));
    }

    /** Those that have not ended, in the order in which they were entered. */
    public List<CheckPlanSheet> ofSite(long siteId) {
        return entities.createQuery("FROM StoredCheckPlan p WHERE p.siteId = :site AND p.endedAt IS NULL ORDER BY p.id", StoredCheckPlan.class)
                .setParameter("site", siteId).getResultList().stream().map(StoredCheckPlan::sheet).toList();
    }

    void erasing(@Observes ErasingPerson event) {
        long personId = event.person().personId();
        for (StoredCheckPlan plan : entities.createQuery(NAMING, StoredCheckPlan.class).setParameter("person", personId).getResultList()) {
            fire(plan.sheet(), "asks-somebody-else", new Change(facts(plan.sheet()), Facts.none()), event.by());
        }
        FORGET.forEach(statement -> entities.createNativeQuery(statement).setParameter("person", personId).executeUpdate());
    }

    private StoredCheckPlan held(long planId, OptionalVersion version) {
        locks.checkPlan(planId, version);
        StoredCheckPlan plan = NotRegistered.unlessThere(entities.find(StoredCheckPlan.class, planId), "check plan " + planId);
        entities.refresh(plan);
        return plan;
    }

    private Map<Long, Long> counts(Collection<Long> cabinetIds) {
        return entities.createQuery("SELECT p.cabinetId, COUNT(p) FROM StoredCheckPlan p WHERE p.cabinetId IN :cabinets AND p.endedAt IS NULL GROUP BY p.cabinetId",
                Object[].class).setParameter("cabinets", cabinetIds).getResultList().stream()
                .collect(Collectors.toMap(row -> Rows.number(row[0]), row -> Rows.number(row[1])));
    }

    private List<Problem> peopleOf(NewCheckPlan entered) {
        return Stream.concat(unknown("asked", entered.asked()).stream(),
                entered.askedWhenClosed().stream().flatMap(whom -> unknown("askedWhenClosed", whom).stream())).toList();
    }

    private List<Problem> unknown(String field, Whom whom) {
        boolean isKnown = !(whom instanceof Whom.Person person)
                || people.findByIdOptional(person.personId()).filter(found -> !found.isErased()).isPresent();
        return isKnown ? List.of() : List.of(new Problem(field, "that person is not registered"));
    }

    private SortedMap<String, Object> facts(CheckPlanSheet sheet) {
        SortedMap<String, Object> facts = new TreeMap<>();
        facts.put("cabinet", sheet.cabinetId());
        facts.put("looks-at", sheet.plan().kind().name());
        facts.put("rule", sheet.plan().recurrence().rule());
        facts.put("first-day", sheet.plan().recurrence().first().toString());
        facts.put("opens", sheet.plan().opens().toString());
        facts.put("closes", sheet.plan().closes().toString());
        facts.put("grace", sheet.plan().grace().toString());
        facts.put("when-closed", sheet.plan().whenClosed().name());
        facts.put("asked", named(sheet.asked()));
        sheet.askedWhenClosed().ifPresent(whom -> facts.put("asked-when-closed", named(whom)));
        facts.put("sensor-counts", sheet.sensorCounts());
        facts.put("asks-code", sheet.asksCode());
        return facts;
    }

    private String named(Whom whom) {
        if (whom instanceof Whom.Person person) {
            return people.findByIdOptional(person.personId()).map(found -> found.contact().reference()).orElse("?");
        }
        if (whom instanceof Whom.OnDutyFor duty) {
            return duty.role().name();
        }
        throw new IllegalStateException("whom without a rule: " + whom);
    }

    private void fire(CheckPlanSheet sheet, String verb, Change change, By by) {
        edited.fire(new Edited(THING, sheet.id(), OptionalLong.of(sheet.siteId()), verb, change.before(), change.after(), by));
    }
}
