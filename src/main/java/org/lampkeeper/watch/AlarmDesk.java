package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;

/** What a person can do about an alarm. Each method is one transaction and bears a repeat. */
@ApplicationScoped
public class AlarmDesk {

    /** Ours, from the design: a test press is over within two minutes or it is a loss. */
    static final Duration TEST_PRESS = Duration.ofMinutes(2);

    private final Alarms alarms;
    private final AlarmKeeper keeper;
    private final CallOutKeeper callOuts;
    private final SiteWatches sites;
    private final Suppressions suppressions;
    private final People people;
    private final Journal journal;
    private final WatchConfig config;
    private final Clock clock;

    AlarmDesk(Alarms alarms, AlarmKeeper keeper, CallOutKeeper callOuts, SiteWatches sites, Suppressions suppressions, People people,
            Journal journal, WatchConfig config, Clock clock) {
        this.alarms = alarms;
        this.keeper = keeper;
        this.callOuts = callOuts;
        this.sites = sites;
        this.suppressions = suppressions;
        this.people = people;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    /** What became of "I take this". */
    public sealed interface TakeResult {
        /** It is this person's since {@code at}; pressed again, the first time still counts. */
        record Yours(Instant at) implements TakeResult {
        }

        /** Somebody else had it first. */
        record AlreadyTaken(String byName, Instant at) implements TakeResult {
        }

        /** The alarm is closed, or does not need anybody now (shelved or suppressed). */
        record NotNeeded(String why) implements TakeResult {
        }

        /** No such alarm or person. */
        record NotFound() implements TakeResult {
        }
    }

    /** What became of "I can't: tell the next now". */
    public sealed interface PassResult {
        /** The next person has been told. */
        record PassedOn() implements PassResult {
        }

        /** There was nothing to pass on: somebody has it, or it is over. */
        record NotNeeded(String why) implements PassResult {
        }

        /** No such alarm or person. */
        record NotFound() implements PassResult {
        }
    }

    /** What became of a wish to hold an alarm back. */
    public sealed interface HoldResult {
        /** Held back until {@code until}; then the state counts at once. */
        record Held(Instant until) implements HoldResult {
        }

        /** Not held: why, and what would be right. */
        record Refused(String why) implements HoldResult {
        }
    }

    /** "I take this": acknowledges the alarm and all others of its call-out, and stops the climbing. It clears nothing. */
    @Transactional
    public TakeResult take(long alarmId, long personId) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> person = people.find(personId);
        if (found.isEmpty() || person.isEmpty()) {
            return new TakeResult.NotFound();
        }
        Instant now = clock.instant();
        AlarmRecord alarm = found.get();
        Optional<CallOutRecord> callOut = callOuts.callOutOf(alarm);
        if (callOut.isPresent() && callOut.get().takenBy().isPresent()) {
            return takenBefore(callOut.get(), personId);
        }
        if (!alarm.isOpen()) {
            return new TakeResult.NotNeeded("This alarm is over and closed.");
        }
        boolean changed = keeper.acknowledge(alarm, personId, person.get().reference(), now);
        if (callOut.isPresent()) {
            for (AlarmRecord other : callOuts.openAlarmsOf(callOut.get())) {
                changed |= keeper.acknowledge(other, personId, person.get().reference(), now);
            }
        }
        if (!changed) {
            return new TakeResult.NotNeeded("This alarm is held back on purpose; nobody has to take it now.");
        }
        callOut.ifPresent(record -> {
            callOuts.take(record, alarm, personId, now);
            callOuts.endIfNothingIsOpen(record, now);
        });
        return new TakeResult.Yours(now);
    }

    /** "I can't: tell the next now". */
    @Transactional
    public PassResult cannot(long alarmId, long personId) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> person = people.find(personId);
        if (found.isEmpty() || person.isEmpty()) {
            return new PassResult.NotFound();
        }
        Instant now = clock.instant();
        Optional<CallOutRecord> callOut = callOuts.callOutOf(found.get()).filter(CallOutRecord::isClimbing);
        if (callOut.isEmpty()) {
            return new PassResult.NotNeeded("Somebody has this already, or it is over.");
        }
        journal.append(AlarmKeeper.entry(found.get(), "person-cannot-come", now).with("person", person.get().reference()));
        callOuts.hurry(callOut.get(), false, now);
        return new PassResult.PassedOn();
    }

    /** Shelves an alarm until {@code until}, which must lie ahead and not beyond the configured longest hold. */
    @Transactional
    public HoldResult shelve(long alarmId, Instant until, String reason, OptionalLong personId) {
        Instant now = clock.instant();
        Optional<String> wrong = problemWith(until, reason, now);
        if (wrong.isPresent()) {
            return new HoldResult.Refused(wrong.get());
        }
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        if (found.isEmpty()) {
            return new HoldResult.Refused("There is no alarm " + alarmId + ".");
        }
        return keeper.shelve(found.get(), until, reason, reference(personId), now)
                .<HoldResult>map(HoldResult.Refused::new).orElseGet(() -> new HoldResult.Held(until));
    }

    /**
     * Holds back alarms of a site (no board, no cabinet), a board or a cabinet from now until {@code until}. A test press always ends
     * after two minutes, whatever {@code until} says.
     */
    @Transactional
    public HoldResult suppress(SuppressionKind kind, long siteId, OptionalLong boardId, OptionalLong cabinetId, Instant until,
            String reason, OptionalLong personId) {
        Instant now = clock.instant();
        Instant end = kind == SuppressionKind.TEST_PRESS ? now.plus(TEST_PRESS) : until;
        Optional<String> wrong = problemWith(end, reason, now);
        if (wrong.isPresent()) {
            return new HoldResult.Refused(wrong.get());
        }
        sites.lock(siteId);
        suppressions.add(kind, siteId, boardId, cabinetId, now, end, reason, personId);
        Entry entry = Entry.of(now, "suppression-began").site(siteId).with("by", kind.name()).with("until", end).with("reason", reason);
        if (boardId.isPresent()) {
            entry = entry.with("board", boardId.getAsLong());
        }
        if (cabinetId.isPresent()) {
            entry = entry.cabinet(cabinetId.getAsLong());
        }
        Optional<String> reference = reference(personId);
        journal.append(reference.isPresent() ? entry.with("person", reference.get()) : entry);
        return new HoldResult.Held(end);
    }

    private Optional<String> problemWith(Instant until, String reason, Instant now) {
        if (!until.isAfter(now)) {
            return Optional.of("It would end at " + until + ", which is over; choose a later end.");
        }
        if (until.isAfter(now.plus(config.longestHold()))) {
            return Optional.of("It would end at " + until + "; the longest time is " + config.longestHold().toDays() + " days.");
        }
        if (reason.isBlank()) {
            return Optional.of("Say why: the reason is empty.");
        }
        return Optional.empty();
    }

    private Optional<String> reference(OptionalLong personId) {
        return personId.isPresent() ? people.find(personId.getAsLong()).map(Contact::reference) : Optional.empty();
    }

    private TakeResult takenBefore(CallOutRecord callOut, long personId) {
        long holder = callOut.takenBy().orElseThrow();
        Instant at = callOut.takenAt().orElseThrow();
        if (holder == personId) {
            return new TakeResult.Yours(at);
        }
        return new TakeResult.AlreadyTaken(people.find(holder).map(Contact::name).orElse("Somebody"), at);
    }

    /** The site's lock first, then the alarm as it is under it. */
    private Optional<AlarmRecord> lockWithSite(long alarmId) {
        Optional<Long> siteId = alarms.find("select a.siteId from Alarm a where a.id = ?1", alarmId).project(Long.class)
                .firstResultOptional();
        siteId.ifPresent(sites::lock);
        return siteId.flatMap(id -> alarms.findByIdOptional(alarmId));
    }
}
