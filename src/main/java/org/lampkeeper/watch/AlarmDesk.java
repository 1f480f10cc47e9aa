package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.callout.Fact;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;

/** What a person can do about an alarm. Each method is one transaction and bears a repeat. */
@ApplicationScoped
public class AlarmDesk {

    /** Ours, from the design: a test press is over within two minutes or it is a loss. */
    static final Duration TEST_PRESS = Duration.ofMinutes(2);

    /** Ours: whoever needs longer does not go there now. */
    public static final Duration FARTHEST_ARRIVAL = Duration.ofHours(12);

    /** Ours: a form says "now" in whole minutes, and takes a while to fill in. */
    private static final Duration STILL_NOW = Duration.ofMinutes(10);

    /** Ours: what is farther ahead is a slip of the pen. */
    private static final Duration FARTHEST_AHEAD = Duration.ofDays(366);

    /** The width of the column. */
    private static final int LONGEST_REASON = 400;

    private final Alarms alarms;
    private final AlarmKeeper keeper;
    private final CallOutKeeper callOuts;
    private final SitePeople sitePeople;
    private final SiteWatches sites;
    private final Suppressions suppressions;
    private final Deadlines deadlines;
    private final Register register;
    private final People people;
    private final PersonChannels channels;
    private final Journal journal;
    private final WatchConfig config;
    private final Clock clock;

    AlarmDesk(Alarms alarms, AlarmKeeper keeper, CallOutKeeper callOuts, SitePeople sitePeople, SiteWatches sites, Suppressions suppressions, Deadlines deadlines,
            Register register, People people, PersonChannels channels, Journal journal, WatchConfig config, Clock clock) {
        this.alarms = alarms;
        this.keeper = keeper;
        this.callOuts = callOuts;
        this.sitePeople = sitePeople;
        this.sites = sites;
        this.suppressions = suppressions;
        this.deadlines = deadlines;
        this.register = register;
        this.people = people;
        this.channels = channels;
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

        /** The alarm is closed, or does not need anybody now (shelved or suppressed), or the arrival cannot be. */
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

    /** What became of "hand on to …". */
    public sealed interface HandResult {
        /** This person is asked; until they take it, it stays where it is. */
        record Asked(String name) implements HandResult {
        }

        /** Not handed on: why, and what would be right. */
        record Refused(String why) implements HandResult {
        }

        /** No such alarm or person. */
        record NotFound() implements HandResult {
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

    /** What became of work that somebody announced. */
    public sealed interface WorkResult {
        /** It stands, and holds back from its beginning to its end. */
        record Announced(Work work) implements WorkResult {
        }

        /** Not announced: why, and what would be right, by field ({@code from}, {@code until}, {@code where}, {@code reason}). */
        record Refused(List<Problem> problems) implements WorkResult {
            public Refused {
                problems = List.copyOf(problems);
            }
        }
    }

    /** What became of a wish to end announced work early. */
    public sealed interface EndResult {
        /** It is over; what is true counts from then on. */
        record Ended(Instant at) implements EndResult {
        }

        /** It was over before. */
        record NotNeeded(String why) implements EndResult {
        }

        /** No such work. */
        record NotFound() implements EndResult {
        }
    }

    /** "I take this", without a word about when they will be there. */
    @Transactional
    public TakeResult take(long alarmId, long personId) {
        return take(alarmId, personId, Optional.empty());
    }

    /**
     * "I take this": acknowledges the alarm and all others of its call-out, and stops the climbing. It clears nothing. Whoever was asked to
     * take it over has it from then on; whoever has it already may say when they will be there.
     *
     * @param arrival when they will be there; after now and within {@link #FARTHEST_ARRIVAL}
     */
    @Transactional
    public TakeResult take(long alarmId, long personId, Optional<Instant> arrival) {
        return take(alarmId, personId, arrival, Optional.empty());
    }

    /** The same, in answer to a message by that channel. */
    @Transactional
    public TakeResult take(long alarmId, long personId, Optional<Instant> arrival, Optional<String> channel) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> person = people.find(personId);
        if (found.isEmpty() || person.isEmpty()) {
            return new TakeResult.NotFound();
        }
        Instant now = clock.instant();
        AlarmRecord alarm = found.get();
        if (arrival.filter(at -> !at.isAfter(now) || at.isAfter(now.plus(FARTHEST_ARRIVAL))).isPresent()) {
            return new TakeResult.NotNeeded("Say a time of arrival that lies ahead, at most " + FARTHEST_ARRIVAL.toHours() + " hours.");
        }
        Optional<CallOutRecord> callOut = callOuts.callOutOf(alarm);
        if (callOut.filter(it -> it.takenBy().isPresent()).isPresent() && alarm.life().state() != AlarmState.UNACKNOWLEDGED) {
            return takenBefore(callOut.get(), person.get(), arrival, channel, now);
        }
        if (!alarm.isOpen()) {
            return new TakeResult.NotNeeded("This alarm is over and closed.");
        }
        boolean changed = keeper.acknowledge(alarm, personId, person.get().reference(), channel, now);
        for (AlarmRecord other : callOut.map(callOuts::openAlarmsOf).orElse(List.of())) {
            changed |= keeper.acknowledge(other, personId, person.get().reference(), channel, now);
        }
        if (!changed) {
            return new TakeResult.NotNeeded("This alarm is held back on purpose; nobody has to take it now.");
        }
        callOut.ifPresent(record -> handAllOver(record, person.get(), channel, now));
        alarms.flush();
        callOut.ifPresent(record -> {
            if (record.phase().isTaken() && record.takenBy().orElseThrow() == personId) {
                callOuts.takesMore(record, personId, now);
            } else if (callOuts.wouldRefuse(record, new Fact.Taken(personId, arrival), now).isPresent()) {
                // Somebody has the rest, and has not been told yet of what has joined: who takes that has all of it from now on.
                callOuts.apply(record, new Fact.MoreJoined(), now);
            }
            callOuts.apply(record, new Fact.Taken(personId, arrival), now);
            arrival.ifPresent(at -> promised(alarm, person.get(), at, now));
            callOuts.endIfNothingIsOpen(record, now);
        });
        return new TakeResult.Yours(now);
    }

    /** A call-out is with one person: what another had of it goes to the one who takes it now. */
    private void handAllOver(CallOutRecord callOut, Contact person, Optional<String> channel, Instant now) {
        callOuts.openAlarmsOf(callOut).stream()
                .filter(other -> other.life().state() == AlarmState.ACKNOWLEDGED && other.acknowledgedBy().orElseThrow() != person.personId())
                .forEach(other -> keeper.handOver(other, person.personId(), person.reference(), channel, now));
    }

    /** "I can't: tell the next now", by a button. */
    @Transactional
    public PassResult cannot(long alarmId, long personId) {
        return cannot(alarmId, personId, Optional.empty());
    }

    /**
     * "I can't: tell the next now", also of somebody who took it and cannot after all, and of who was asked to take it over. Said again
     * before they are told again, it is the same: nobody is passed over.
     *
     * @param channel by which they answered a message; empty where they pressed a button
     */
    @Transactional
    public PassResult cannot(long alarmId, long personId, Optional<String> channel) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> person = people.find(personId);
        if (found.isEmpty() || person.isEmpty()) {
            return new PassResult.NotFound();
        }
        Instant now = clock.instant();
        Optional<CallOutRecord> callOut = callOuts.callOutOf(found.get());
        if (callOut.isEmpty()) {
            return new PassResult.NotNeeded("Nobody is called out for this.");
        }
        if (callOut.get().phase().isCalling() && callOuts.hasPassedOn(callOut.get(), personId)) {
            return new PassResult.PassedOn();
        }
        Fact fact = new Fact.CannotCome(personId);
        Optional<String> refused = callOuts.wouldRefuse(callOut.get(), fact, now);
        if (refused.isPresent()) {
            return new PassResult.NotNeeded(refused.get());
        }
        journal.append(AlarmKeeper.entry(found.get(), "person-cannot-come", now).with("person", person.get().reference()).with("channel", channel));
        callOuts.passesOn(callOut.get(), personId);
        callOuts.apply(callOut.get(), fact, now);
        return new PassResult.PassedOn();
    }

    /**
     * Asks another to take over what the first has. Until that one presses "I take this", it stays with the first, also when the other
     * does not answer.
     */
    @Transactional
    public HandResult handOn(long alarmId, long fromId, long toId) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> from = people.find(fromId);
        if (found.isEmpty() || from.isEmpty()) {
            return new HandResult.NotFound();
        }
        Instant now = clock.instant();
        AlarmRecord alarm = found.get();
        Optional<Contact> to = sitePeople.everybody(alarm.siteId(), now).stream().filter(each -> each.personId() == toId).findFirst();
        if (to.isEmpty()) {
            return new HandResult.Refused("This person does not belong to the site; choose one of those offered.");
        }
        if (!channels.isReachable(toId)) {
            return new HandResult.Refused(to.get().name() + " has no channel and cannot be asked; choose another.");
        }
        Optional<CallOutRecord> callOut = callOuts.callOutOf(alarm);
        if (callOut.isEmpty()) {
            return new HandResult.Refused("Nobody is called out for this.");
        }
        Fact fact = new Fact.HandedOn(fromId, toId);
        Optional<String> refused = callOuts.wouldRefuse(callOut.get(), fact, now);
        if (refused.isPresent()) {
            return new HandResult.Refused(refused.get());
        }
        boolean isNew = callOut.get().climb().asked().filter(asked -> asked.personId() == toId).isEmpty();
        if (isNew) {
            journal.append(AlarmKeeper.entry(alarm, "alarm-handed-on", now).with("person", from.get().reference())
                    .with("to", to.get().reference()));
        }
        callOuts.apply(callOut.get(), fact, now);
        return new HandResult.Asked(to.get().name());
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
        if (!found.get().isOpen()) {
            return new HoldResult.Refused("This alarm is over and closed; there is nothing to hold back.");
        }
        return keeper.shelve(found.get(), until, reason, people.reference(personId), now)
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
        WorkResult result = announce(kind, siteId, boardId, cabinetId, now, until, reason, personId);
        if (result instanceof WorkResult.Announced announced) {
            return new HoldResult.Held(announced.work().until());
        }
        return new HoldResult.Refused(((WorkResult.Refused) result).problems().stream().map(Problem::text)
                .collect(Collectors.joining(" ")));
    }

    /**
     * Holds back alarms of a site (no board, no cabinet), of all that hangs on a board, or of a cabinet, from {@code from} until
     * {@code until}. A beginning up to ten minutes back is now. An alarm that is open already is not held back: it began before the work
     * did. A test press always ends after two minutes, whatever {@code until} says.
     */
    @Transactional
    public WorkResult announce(SuppressionKind kind, long siteId, OptionalLong boardId, OptionalLong cabinetId, Instant from, Instant until,
            String reason, OptionalLong personId) {
        Instant now = clock.instant();
        List<Problem> wrong = new ArrayList<>();
        if (from.isBefore(now.minus(STILL_NOW))) {
            wrong.add(new Problem("from", "The beginning is over; choose now or later."));
        } else if (from.isAfter(now.plus(FARTHEST_AHEAD))) {
            wrong.add(new Problem("from", "The beginning is more than " + FARTHEST_AHEAD.toDays() + " days ahead; announce it later."));
        }
        Instant begin = from.isBefore(now) ? now : from;
        Instant end = kind == SuppressionKind.TEST_PRESS ? begin.plus(TEST_PRESS) : until;
        if (!end.isAfter(now)) {
            wrong.add(new Problem("until", "The end is over; choose a later end."));
        } else if (!end.isAfter(begin)) {
            wrong.add(new Problem("until", "The end is not after the beginning; choose a later end."));
        } else if (end.isAfter(begin.plus(config.longestHold()))) {
            wrong.add(new Problem("until", "It would last longer than " + config.longestHold().toDays() + " days, the longest time;"
                    + " choose an earlier end and announce the rest later."));
        }
        wrong.addAll(Problem.ofText("reason", "reason", reason, LONGEST_REASON));
        if (register.site(siteId).isEmpty() && siteId != SiteWatches.INSTALLATION) {
            wrong.add(new Problem("", "There is no site " + siteId + "."));
        }
        if (boardId.isPresent() && register.board(boardId.getAsLong()).filter(board -> board.siteId() == siteId).isEmpty()) {
            wrong.add(new Problem("where", "This board is not at this site; choose one of its boards."));
        }
        if (cabinetId.isPresent() && register.findSheet(cabinetId.getAsLong()).filter(sheet -> sheet.site().id() == siteId).isEmpty()) {
            wrong.add(new Problem("where", "This cabinet is not in use at this site; choose one of its cabinets."));
        }
        if (!wrong.isEmpty()) {
            return new WorkResult.Refused(wrong);
        }
        sites.lock(suppressions.sitesOf(siteId, boardId));
        long id = suppressions.add(kind, siteId, boardId, cabinetId, begin, end, reason, personId);
        Work work = suppressions.find(id).orElseThrow();
        Entry entry = Suppressions.entry(work, work.hasBegun(now) ? "suppression-began" : "work-announced", now);
        journal.append(entry.with("person", people.reference(personId)));
        if (!work.hasBegun(now)) {
            deadlines.add(DeadlineKind.WORK_BEGIN, id, 0, begin);
        }
        deadlines.add(DeadlineKind.WORK_END, id, 0, end);
        return new WorkResult.Announced(work);
    }

    /** Ends announced work before its time, or calls it off before it begins: what is true now counts at once. */
    @Transactional
    public EndResult endEarly(long workId, OptionalLong personId) {
        Instant now = clock.instant();
        Optional<Work> found = suppressions.find(workId);
        if (found.isEmpty()) {
            return new EndResult.NotFound();
        }
        Set<Long> held = suppressions.sitesOf(found.get().siteId(), found.get().boardId());
        sites.lock(held);
        if (found.get().isOver(now) || !suppressions.end(workId, personId, now)) {
            return new EndResult.NotNeeded("It is over already.");
        }
        journal.append(Suppressions.entry(found.get(), "suppression-ended", now).with("early", true).with("person", people.reference(personId)));
        if (found.get().hasBegun(now)) {
            alarms.heldByDesign(held).forEach(alarm -> keeper.holdEnded(alarm, now));
        }
        return new EndResult.Ended(now);
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

    private TakeResult takenBefore(CallOutRecord callOut, Contact person, Optional<Instant> arrival, Optional<String> channel, Instant now) {
        long personId = person.personId();
        long holder = callOut.takenBy().orElseThrow();
        Instant at = callOut.takenAt().orElseThrow();
        if (callOut.isEnded()) {
            return holder == personId ? new TakeResult.Yours(at)
                    : new TakeResult.AlreadyTaken(people.find(holder).map(Contact::name).orElse("Somebody"), at);
        }
        boolean changed = callOuts.wouldRefuse(callOut, new Fact.Taken(personId, arrival), now).isEmpty()
                && !callOuts.apply(callOut, new Fact.Taken(personId, arrival), now).decisions().isEmpty();
        if (changed) {
            handAllOver(callOut, person, channel, now);
            alarms.flush();
        }
        if (changed || holder == personId) {
            callOuts.openAlarmsOf(callOut).stream().findFirst().ifPresent(alarm -> arrival
                    .ifPresent(there -> promised(alarm, person, there, now)));
            return new TakeResult.Yours(changed ? now : at);
        }
        return new TakeResult.AlreadyTaken(people.find(holder).map(Contact::name).orElse("Somebody"), at);
    }

    private void promised(AlarmRecord alarm, Contact person, Instant arrival, Instant now) {
        journal.append(AlarmKeeper.entry(alarm, "arrival-promised", now).with("person", person.reference()).with("at", arrival));
    }

    /** The site's lock first, then the alarm as it is under it. */
    private Optional<AlarmRecord> lockWithSite(long alarmId) {
        Optional<Long> siteId = alarms.find("select a.siteId from Alarm a where a.id = ?1", alarmId).project(Long.class)
                .firstResultOptional();
        siteId.ifPresent(sites::lock);
        return siteId.flatMap(id -> alarms.findByIdOptional(alarmId));
    }
}
