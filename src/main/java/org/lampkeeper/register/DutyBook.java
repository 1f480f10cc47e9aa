package org.lampkeeper.register;

import java.time.Instant;
import java.time.LocalDate;
import java.util.Collection;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.callout.Absence;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Rota;
import org.lampkeeper.callout.Shift;
import org.lampkeeper.callout.StandIn;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.register.Facts.Change;
import org.lampkeeper.register.Locks.OptionalVersion;

/**
 * Who is on duty at a site, as it is planned. The verbs behave as those of {@link Registration}: each is one transaction or part of the
 * caller's, is refused with {@link NotRegistered} or {@link ChangedMeanwhile}, and fires {@link Edited}; what puts
 * other people on duty fires {@link RotaChanged} as well.
 */
@ApplicationScoped
@Transactional
public class DutyBook {

    // Ours: more than anybody could plan by hand.
    private static final int MOST_SHIFTS = 200;
    private static final int MOST_ON_FALLBACK = 30;

    private static final String FALLBACK = """
            SELECT person_id FROM duty_fallback WHERE site_id = :site AND role = :role ORDER BY position""";
    private static final String WITH_A_ROLE = """
            SELECT g.person_id FROM role_grant g WHERE g.site_id = :site OR g.site_id IS NULL
             GROUP BY g.person_id ORDER BY MAX(g.holds_at) DESC, g.person_id""";
    private static final String DROP_FALLBACK = "DELETE FROM duty_fallback WHERE site_id = :site AND role = :role";
    private static final String ADD_FALLBACK = """
            INSERT INTO duty_fallback (site_id, role, position, person_id) VALUES (:site, :role, :position, :person)""";
    private static final String DROP_CALENDAR = "DELETE FROM duty_calendar WHERE person_id = :person";
    private static final String ADD_CALENDAR = "INSERT INTO duty_calendar (person_id, token_hash, made_at) VALUES (:person, :hash, :at)";
    private static final String WHOSE_CALENDAR = "SELECT person_id FROM duty_calendar WHERE token_hash = :hash";
    private static final String HAS_CALENDAR = "SELECT person_id FROM duty_calendar WHERE person_id = :person";
    private static final String SITES_OF_PERSON = """
            SELECT s.site_id FROM duty_shift s WHERE s.person_id = :person
            UNION SELECT s.site_id FROM duty_stand_in i JOIN duty_shift s ON s.id = i.shift_id WHERE i.person_id = :person""";

    /** A shift of somebody who is erased stays, without anybody: that it is empty must be seen. */
    private static final List<String> FORGET = List.of(
            "UPDATE duty_shift SET person_id = NULL, version = version + 1 WHERE person_id = :person",
            "DELETE FROM duty_stand_in WHERE person_id = :person",
            "DELETE FROM duty_absence WHERE person_id = :person",
            "DELETE FROM duty_fallback WHERE person_id = :person",
            DROP_CALENDAR);

    private final EntityManager entities;
    private final Locks locks;
    private final SiteRepository sites;
    private final PersonRepository people;
    private final CallOutLists lists;
    private final Event<Edited> edited;
    private final Event<RotaChanged> rotaChanged;

    DutyBook(EntityManager entities, Locks locks, SiteRepository sites, PersonRepository people, CallOutLists lists, Event<Edited> edited,
            Event<RotaChanged> rotaChanged) {
        this.entities = entities;
        this.locks = locks;
        this.sites = sites;
        this.people = people;
        this.lists = lists;
        this.edited = edited;
        this.rotaChanged = rotaChanged;
    }

    /** The rota of a site; empty where there is no such site. */
    public Optional<Rota> rota(long siteId) {
        return sites.findByIdOptional(siteId).map(site -> {
            List<Shift> shifts = shifts(siteId).stream().map(ShiftSheet::shift).toList();
            List<StandIn> standIns = standIns(siteId);
            Set<Long> named = new HashSet<>();
            shifts.forEach(shift -> shift.personId().ifPresent(named::add));
            standIns.forEach(standIn -> named.add(standIn.personId()));
            return new Rota(site.sheet().zone(), shifts, standIns, absences(named));
        });
    }

    /** In the order of role and time. */
    public List<ShiftSheet> shifts(long siteId) {
        return entities.createQuery("FROM DutyShift s WHERE s.siteId = :site ORDER BY s.role, s.fromMinute, s.id", DutyShift.class)
                .setParameter("site", siteId).getResultList().stream().map(DutyShift::sheet).toList();
    }

    public Optional<ShiftSheet> shift(long shiftId) {
        return Optional.ofNullable(entities.find(DutyShift.class, shiftId)).map(DutyShift::sheet);
    }

    /** In the order in which they were entered. */
    public List<StandIn> standIns(long siteId) {
        return entities.createQuery("SELECT i FROM DutyStandIn i, DutyShift s WHERE s.id = i.shiftId AND s.siteId = :site ORDER BY i.id",
                DutyStandIn.class).setParameter("site", siteId).getResultList().stream().map(DutyStandIn::standIn).toList();
    }

    /** Of these people, over or not, in the order of beginning. */
    public List<Absence> absences(Set<Long> personIds) {
        if (personIds.isEmpty()) {
            return List.of();
        }
        return entities.createQuery("FROM DutyAbsence a WHERE a.personId IN :people ORDER BY a.beginsAt, a.id", DutyAbsence.class)
                .setParameter("people", personIds).getResultList().stream().map(DutyAbsence::absence).toList();
    }

    /**
     * Who is on for a role: by the rota; where that names nobody, by the fallback; where that names nobody either, whoever has a role at the
     * site or at every site. Never anybody who is erased, and nobody who is absent unless everybody is.
     *
     * @param siteId 0: the installation itself, which has no rota
     * @return ids of people in the order of telling, each once
     */
    public List<Long> on(long siteId, DutyRole role, Instant moment) {
        List<Long> onShift = there(rota(siteId).map(rota -> rota.on(role, moment)).orElse(List.of()), moment);
        if (!onShift.isEmpty()) {
            return onShift;
        }
        List<Long> fallback = fallback(siteId, role);
        List<Long> instead = there(fallback, moment);
        if (!instead.isEmpty()) {
            return instead;
        }
        List<Long> withARole = ids(entities.createNativeQuery(WITH_A_ROLE).setParameter("site", siteId).getResultList());
        List<Long> others = there(withARole, moment);
        if (!others.isEmpty()) {
            return others;
        }
        // Somebody who is away may still look at their phone.
        return fallback.isEmpty() ? withARole : fallback;
    }

    /** The same at many sites, by site: as many statements as for one, but for those at which nobody is on shift. */
    public Map<Long, List<Long>> on(Collection<Long> siteIds, DutyRole role, Instant moment) {
        Map<Long, List<Long>> onShift = rotas(siteIds).entrySet().stream().collect(Collectors.toMap(Map.Entry::getKey, it -> it.getValue().on(role, moment)));
        Set<Long> there = new HashSet<>(there(onShift.values().stream().flatMap(List::stream).distinct().toList(), moment));
        Map<Long, List<Long>> on = new HashMap<>();
        for (long siteId : new TreeSet<>(siteIds)) {
            List<Long> own = onShift.getOrDefault(siteId, List.of()).stream().filter(there::contains).toList();
            on.put(siteId, own.isEmpty() ? on(siteId, role, moment) : own);
        }
        return on;
    }

    private Map<Long, Rota> rotas(Collection<Long> siteIds) {
        Map<Long, List<Shift>> shifts = entities.createQuery("FROM DutyShift s WHERE s.siteId IN :sites ORDER BY s.role, s.fromMinute, s.id", DutyShift.class)
                .setParameter("sites", siteIds).getResultList().stream().map(DutyShift::sheet)
                .collect(Collectors.groupingBy(ShiftSheet::siteId, Collectors.mapping(ShiftSheet::shift, Collectors.toList())));
        if (shifts.isEmpty()) {
            return Map.of();
        }
        Map<Long, List<StandIn>> standIns = entities.createQuery("SELECT i FROM DutyStandIn i, DutyShift s WHERE s.id = i.shiftId AND s.siteId IN :sites ORDER BY i.id",
                DutyStandIn.class).setParameter("sites", siteIds).getResultList().stream().map(DutyStandIn::standIn)
                .collect(Collectors.groupingBy(StandIn::shiftId));
        Set<Long> named = new HashSet<>();
        shifts.values().forEach(of -> of.forEach(shift -> shift.personId().ifPresent(named::add)));
        standIns.values().forEach(of -> of.forEach(standIn -> named.add(standIn.personId())));
        Map<Long, List<Absence>> absences = absences(named).stream().collect(Collectors.groupingBy(Absence::personId));
        Map<Long, Rota> rotas = new HashMap<>();
        sites.list("id IN ?1", shifts.keySet()).stream().map(Site::sheet).forEach(site -> {
            List<Shift> own = shifts.get(site.id());
            List<StandIn> ownStandIns = own.stream().flatMap(shift -> standIns.getOrDefault(shift.id(), List.of()).stream()).toList();
            Stream<Long> people = Stream.concat(own.stream().flatMap(shift -> shift.personId().stream().boxed()), ownStandIns.stream().map(StandIn::personId));
            rotas.put(site.id(), new Rota(site.zone(), own, ownStandIns,
                    people.distinct().flatMap(person -> absences.getOrDefault(person, List.of()).stream()).toList()));
        });
        return rotas;
    }

    /** The own fallback of a role; empty where none is set. */
    public List<Long> ownFallback(long siteId, DutyRole role) {
        return ids(entities.createNativeQuery(FALLBACK).setParameter("site", siteId).setParameter("role", role.name()).getResultList());
    }

    /**
     * Who is told where no shift of the role is filled: its own fallback, then that of the duty managers, then the people whom the site's
     * call-out list names. Empty only where all of these are; {@link #on} goes on from there.
     */
    public List<Long> fallback(long siteId, DutyRole role) {
        Set<Long> all = new LinkedHashSet<>(ownFallback(siteId, role));
        all.addAll(ownFallback(siteId, DutyRole.DUTY_MANAGER));
        for (Turn turn : lists.ofSite(siteId).turns()) {
            turn.personId().ifPresent(all::add);
        }
        return List.copyOf(all);
    }

    public ShiftSheet addShift(NewShift entered, By by) {
        String thing = "shift at site " + entered.siteId();
        NotRegistered.unlessEmpty(thing, entered.problems());
        holdSite(entered.siteId());
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("", shifts(entered.siteId()).size() < MOST_SHIFTS, "the site has " + MOST_SHIFTS + " shifts already, end some first")
                .list(personProblems("personId", entered.personId())).list());
        DutyShift shift = new DutyShift(entered, by);
        entities.persist(shift);
        entities.flush();
        ShiftSheet sheet = shift.sheet();
        fire("duty-shift", sheet.shift().id(), sheet.siteId(), "registered", Facts.between(Facts.none(), facts(sheet.shift())), by);
        rotaChanged.fire(new RotaChanged(sheet.siteId(), by.at()));
        return sheet;
    }

    /** A shift stays at its site. One that is over for good is changed to a last day, so that what was stays to be seen. */
    public ShiftSheet changeShift(long shiftId, int version, NewShift entered, By by) {
        String thing = "shift " + shiftId;
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.dutyShift(shiftId, OptionalVersion.of(version));
        DutyShift shift = NotRegistered.unlessThere(entities.find(DutyShift.class, shiftId), thing);
        entities.refresh(shift);
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("siteId", shift.sheet().siteId() == entered.siteId(), "belongs to another site; add a shift there instead")
                .list(personProblems("personId", entered.personId())).list());
        SortedMap<String, Object> before = facts(shift.sheet().shift());
        shift.take(entered, by);
        entities.flush();
        ShiftSheet now = shift.sheet();
        Change change = Facts.between(before, facts(now.shift()));
        if (!change.after().isEmpty() || !change.before().isEmpty()) {
            fire("duty-shift", shiftId, now.siteId(), "changed", change, by);
            rotaChanged.fire(new RotaChanged(now.siteId(), by.at()));
        }
        return now;
    }

    /** @param until the last day on whose shift they stand in, included */
    public StandIn addStandIn(long shiftId, long personId, LocalDate from, LocalDate until, By by) {
        String thing = "stand-in for shift " + shiftId;
        locks.dutyShift(shiftId, OptionalVersion.ANY);
        ShiftSheet shift = NotRegistered.unlessThere(entities.find(DutyShift.class, shiftId), thing).sheet();
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("until", !until.isBefore(from), "the last day is before the first, " + from)
                .list(personProblems("personId", OptionalLong.of(personId))).list());
        DutyStandIn standIn = new DutyStandIn(shiftId, personId, from, until, by);
        entities.persist(standIn);
        entities.flush();
        fire("duty-stand-in", standIn.standIn().id(), shift.siteId(), "registered", Facts.between(Facts.none(), facts(standIn.standIn())), by);
        rotaChanged.fire(new RotaChanged(shift.siteId(), by.at()));
        return standIn.standIn();
    }

    public void removeStandIn(long standInId, By by) {
        DutyStandIn standIn = NotRegistered.unlessThere(entities.find(DutyStandIn.class, standInId), "stand-in " + standInId);
        StandIn was = standIn.standIn();
        long siteId = NotRegistered.unlessThere(entities.find(DutyShift.class, was.shiftId()), "shift " + was.shiftId()).sheet().siteId();
        entities.remove(standIn);
        entities.flush();
        fire("duty-stand-in", standInId, siteId, "removed", Facts.between(facts(was), Facts.none()), by);
        rotaChanged.fire(new RotaChanged(siteId, by.at()));
    }

    /** From all duties, at every site. */
    public Absence addAbsence(long personId, Instant from, Instant until, By by) {
        String thing = "absence of person " + personId;
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("until", until.isAfter(from), "ends before it begins, must end after it")
                .list(personProblems("personId", OptionalLong.of(personId))).list());
        DutyAbsence absence = new DutyAbsence(personId, from, until, by);
        entities.persist(absence);
        entities.flush();
        Absence stored = absence.absence();
        edited.fire(fact("duty-absence", stored.id(), OptionalLong.empty(), "registered", Facts.between(Facts.none(), facts(stored)), by));
        firePlans(personId, by);
        return stored;
    }

    public Optional<Absence> absence(long absenceId) {
        return Optional.ofNullable(entities.find(DutyAbsence.class, absenceId)).map(DutyAbsence::absence);
    }

    public void removeAbsence(long absenceId, By by) {
        DutyAbsence absence = NotRegistered.unlessThere(entities.find(DutyAbsence.class, absenceId), "absence " + absenceId);
        Absence was = absence.absence();
        entities.remove(absence);
        entities.flush();
        edited.fire(fact("duty-absence", absenceId, OptionalLong.empty(), "removed", Facts.between(facts(was), Facts.none()), by));
        firePlans(was.personId(), by);
    }

    /** Another number, below a thousand million, for another own fallback of the role. */
    public int fallbackVersion(long siteId, DutyRole role) {
        return versionOf(ownFallback(siteId, role));
    }

    private static int versionOf(List<Long> fallback) {
        return Math.floorMod(fallback.hashCode(), 1_000_000_000);
    }

    /**
     * Replaces the own fallback of a role.
     *
     * @param version   {@link #fallbackVersion} of what is to be replaced
     * @param personIds in the order of telling; none takes the own fallback away
     */
    public void setFallback(long siteId, DutyRole role, int version, List<Long> personIds, By by) {
        String thing = "fallback at site " + siteId;
        holdSite(siteId);
        List<Long> own = ownFallback(siteId, role);
        int stored = versionOf(own);
        if (stored != version) {
            throw new ChangedMeanwhile(thing, version, stored, Optional.empty(), OptionalLong.empty());
        }
        Problems problems = new Problems()
                .must("people", personIds.size() <= MOST_ON_FALLBACK, personIds.size() + " people, must be at most " + MOST_ON_FALLBACK)
                .must("people", new HashSet<>(personIds).size() == personIds.size(), "somebody is named twice, name each once");
        for (int i = 0; i < personIds.size(); i++) {
            problems.list(personProblems("people." + i, OptionalLong.of(personIds.get(i))));
        }
        NotRegistered.unlessEmpty(thing, problems.list());
        SortedMap<String, Object> before = fallbackFacts(role, own);
        entities.createNativeQuery(DROP_FALLBACK).setParameter("site", siteId).setParameter("role", role.name()).executeUpdate();
        for (int i = 0; i < personIds.size(); i++) {
            entities.createNativeQuery(ADD_FALLBACK).setParameter("site", siteId).setParameter("role", role.name()).setParameter("position", i)
                    .setParameter("person", personIds.get(i)).executeUpdate();
        }
        Change change = Facts.between(before, fallbackFacts(role, personIds));
        if (!change.before().isEmpty() || !change.after().isEmpty()) {
            fire("duty-fallback", siteId, siteId, "changed", change, by);
        }
    }

    /** Makes a new secret for a person's calendar; an older one is good no longer. Only its hash is kept. */
    public String renewCalendar(long personId, By by) {
        String thing = "calendar of person " + personId;
        locks.person(personId, OptionalVersion.ANY);
        NotRegistered.unlessEmpty(thing, personProblems("", OptionalLong.of(personId)));
        String secret = Unguessable.make();
        entities.createNativeQuery(DROP_CALENDAR).setParameter("person", personId).executeUpdate();
        entities.createNativeQuery(ADD_CALENDAR).setParameter("person", personId).setParameter("hash", Sha256.hex(secret)).setParameter("at", by.at())
                .executeUpdate();
        edited.fire(fact("duty-calendar", personId, OptionalLong.empty(), "registered", Facts.between(Facts.none(), Facts.none()), by));
        return secret;
    }

    /** The link is good no longer; nothing happens where there is none. */
    public void endCalendar(long personId, By by) {
        if (entities.createNativeQuery(DROP_CALENDAR).setParameter("person", personId).executeUpdate() > 0) {
            edited.fire(fact("duty-calendar", personId, OptionalLong.empty(), "removed", Facts.between(Facts.none(), Facts.none()), by));
        }
    }

    public boolean hasCalendar(long personId) {
        return !entities.createNativeQuery(HAS_CALENDAR).setParameter("person", personId).getResultList().isEmpty();
    }

    /** Whose calendar this secret opens; empty for any other text. */
    public OptionalLong calendarOf(String secret) {
        List<Long> found = ids(entities.createNativeQuery(WHOSE_CALENDAR).setParameter("hash", Sha256.hex(secret)).getResultList());
        return found.isEmpty() ? OptionalLong.empty() : OptionalLong.of(found.get(0));
    }

    /** The sites at which a person has a shift or stands in, whenever. */
    public List<SiteSheet> sitesOf(long personId) {
        return ids(entities.createNativeQuery(SITES_OF_PERSON).setParameter("person", personId).getResultList()).stream().sorted()
                .map(id -> sites.findById(id).sheet()).toList();
    }

    void erasing(@Observes ErasingPerson event) {
        firePlans(event.person().personId(), event.by());
        FORGET.forEach(statement -> entities.createNativeQuery(statement).setParameter("person", event.person().personId()).executeUpdate());
    }

    /** Wherever this person is planned for, other people are on. */
    private void firePlans(long personId, By by) {
        sitesOf(personId).forEach(site -> rotaChanged.fire(new RotaChanged(site.id(), by.at())));
    }

    /** Those who are neither absent nor erased, in the same order. */
    private List<Long> there(List<Long> ids, Instant moment) {
        if (ids.isEmpty()) {
            return ids;
        }
        Set<Long> away = absences(new HashSet<>(ids)).stream().filter(absence -> !moment.isBefore(absence.from()) && moment.isBefore(absence.until()))
                .map(Absence::personId).collect(Collectors.toSet());
        Set<Long> known = people.list("id IN ?1 AND salt IS NOT NULL", ids).stream().map(person -> person.contact().personId()).collect(Collectors.toSet());
        return ids.stream().filter(id -> known.contains(id) && !away.contains(id)).toList();
    }

    /** Two who change the same rota at once come one after the other. */
    private void holdSite(long siteId) {
        if (!locks.holdSite(siteId)) {
            throw new NotRegistered("site " + siteId, List.of(new Problem("siteId", "not registered")));
        }
    }

    private List<Problem> personProblems(String field, OptionalLong personId) {
        if (personId.isEmpty() || people.findByIdOptional(personId.getAsLong()).filter(person -> !person.isErased()).isPresent()) {
            return List.of();
        }
        return List.of(new Problem(field, "person " + personId.getAsLong() + " is not registered"));
    }

    private String reference(long personId) {
        return people.findByIdOptional(personId).map(person -> person.contact().reference()).orElse("?");
    }

    private SortedMap<String, Object> facts(Shift shift) {
        SortedMap<String, Object> facts = new TreeMap<>(Map.of("role", shift.role().name(), "days",
                shift.days().stream().sorted().map(Enum::name).toList(), "from", shift.from().toString(), "to", shift.to().toString(), "every-weeks",
                shift.everyWeeks(), "valid-from", shift.validFrom().toString()));
        shift.validUntil().ifPresent(day -> facts.put("valid-until", day.toString()));
        shift.personId().ifPresent(id -> facts.put("who", reference(id)));
        return facts;
    }

    private SortedMap<String, Object> facts(StandIn standIn) {
        return new TreeMap<>(Map.of("shift", standIn.shiftId(), "who", reference(standIn.personId()), "from", standIn.from().toString(), "until",
                standIn.until().toString()));
    }

    private SortedMap<String, Object> facts(Absence absence) {
        return new TreeMap<>(Map.of("who", reference(absence.personId()), "from", absence.from().toString(), "until", absence.until().toString()));
    }

    private SortedMap<String, Object> fallbackFacts(DutyRole role, List<Long> personIds) {
        return personIds.isEmpty() ? Facts.none() : new TreeMap<>(Map.of(role.name(), personIds.stream().map(this::reference).toList()));
    }

    private void fire(String thing, long id, long siteId, String verb, Change change, By by) {
        edited.fire(fact(thing, id, OptionalLong.of(siteId), verb, change, by));
    }

    private static Edited fact(String thing, long id, OptionalLong siteId, String verb, Change change, By by) {
        return new Edited(thing, id, siteId, verb, change.before(), change.after(), by);
    }

    private static List<Long> ids(List<?> rows) {
        return rows.stream().map(Rows::number).toList();
    }
}
