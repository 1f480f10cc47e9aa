package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.alarm.AlarmEvent;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmLife;
import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.alarm.Outcome;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.By;
import org.lampkeeper.register.People;
import org.lampkeeper.watch.Suppressions.Hold;

/**
 * Moves alarms through their life and hands what calls for people to the call-out. Every method is called inside a transaction that
 * holds the site's lock ({@link SiteWatches}).
 */
@ApplicationScoped
class AlarmKeeper {

    private final Alarms alarms;
    private final CallOutKeeper callOuts;
    private final WarmthBook warmth;
    private final Suppressions suppressions;
    private final Deadlines deadlines;
    private final Journal journal;
    private final People people;

    AlarmKeeper(Alarms alarms, CallOutKeeper callOuts, WarmthBook warmth, Suppressions suppressions, Deadlines deadlines, Journal journal,
            People people) {
        this.alarms = alarms;
        this.callOuts = callOuts;
        this.warmth = warmth;
        this.suppressions = suppressions;
        this.deadlines = deadlines;
        this.journal = journal;
        this.people = people;
    }

    /** The condition is there since {@code since}: a new alarm, the open one again, or nothing where it is live already. */
    AlarmRecord occurs(AlarmKind kind, long siteId, OptionalLong cabinetId, Instant since, Instant now) {
        Optional<AlarmRecord> open = alarms.open(kind, siteId, cabinetId);
        if (open.isPresent() && open.get().life().live()) {
            // Seen again is not occurred again: whoever has acknowledged it must not be called anew at every look.
            return open.get();
        }
        AlarmRecord alarm = open.orElseGet(() -> new AlarmRecord(kind, siteId, cabinetId, since, now));
        if (alarm.life().on(new AlarmEvent.Occurred()) instanceof Outcome.Changed changed) {
            alarm.become(changed.next(), now);
        }
        if (open.isPresent()) {
            alarm.occursAgain(since);
        } else {
            alarms.persist(alarm);
        }
        Entry raised = entry(alarm, open.isPresent() ? "alarm-raised-again" : "alarm-raised", now).with("since", since);
        Outlooks outlooks = Outlooks.at(warmth, now);
        journal.append(withForecast(alarm, raised, outlooks, now));
        if (alarm.life().state() == AlarmState.UNACKNOWLEDGED) {
            holdOrCallOut(alarm, outlooks, now);
        }
        alarms.flush();
        return alarm;
    }

    /** What was forecast when the supply was lost stays on record, and programs outside hear it. */
    private static Entry withForecast(AlarmRecord alarm, Entry raised, Outlooks outlooks, Instant now) {
        if (alarm.kind() != AlarmKind.SUPPLY_LOST || alarm.cabinetId().isEmpty()) {
            return raised;
        }
        return outlooks.of(alarm.cabinetId().getAsLong())
                .map(outlook -> raised.with("forecast", String.join(" ", outlook.sentences(now))).with("past-limit-early", outlook.pastAt())).orElse(raised);
    }

    /** The condition is gone as of {@code at}. The alarm itself stays open until somebody has acknowledged it. */
    void returns(AlarmKind kind, long siteId, OptionalLong cabinetId, Instant at, Instant now) {
        alarms.open(kind, siteId, cabinetId).ifPresent(alarm -> {
            if (alarm.life().on(new AlarmEvent.Returned()) instanceof Outcome.Changed changed) {
                alarm.become(changed.next(), now);
                journal.append(entry(alarm, "alarm-returned", now).with("at", at));
                alarms.flush();
                callOuts.conditionReturned(alarm, now);
                alarms.flush();
            }
        });
    }

    /**
     * Nothing will ever say again whether the condition is there: the alarm is over, whatever it was. Those who were told hear it, so
     * that nobody is still on their way for it, and nobody believes that the supply is back.
     */
    void endsWithItsSensor(AlarmKind kind, long siteId, OptionalLong cabinetId, By by) {
        endsForGood(kind, siteId, cabinetId, "alarm-ended-with-sensor", by);
    }

    /** The same of what people said about a cabinet that is not in use any more. */
    void endsOutOfUse(AlarmKind kind, long siteId, long cabinetId, By by) {
        endsForGood(kind, siteId, OptionalLong.of(cabinetId), "alarm-ended-out-of-use", by);
    }

    private void endsForGood(AlarmKind kind, long siteId, OptionalLong cabinetId, String journalKind, By by) {
        alarms.open(kind, siteId, cabinetId).ifPresent(alarm -> {
            AlarmLife next = alarm.life();
            for (AlarmEvent event : List.of(new AlarmEvent.Returned(), new AlarmEvent.ShelfEnded(), new AlarmEvent.SuppressionEnded(),
                    new AlarmEvent.ReturnedToService(), new AlarmEvent.Acknowledged())) {
                if (next.on(event) instanceof Outcome.Changed changed) {
                    next = changed.next();
                }
            }
            if (next.state() != AlarmState.NORMAL) {
                throw new IllegalStateException("alarm " + alarm.id() + " did not end: " + next);
            }
            alarm.become(next, by.at());
            journal.append(entry(alarm, journalKind, by.at()).with("person", people.reference(by.personId())));
            alarms.flush();
            callOuts.sensorRetired(alarm, by);
            alarms.flush();
        });
    }

    /**
     * Whether the alarm changed; an acknowledgement of one that nobody has to acknowledge any more changes nothing. For the caller to
     * flush: thousands may be taken at once.
     *
     * @param channel by which the person answered a message; empty where they pressed a button
     */
    boolean acknowledge(AlarmRecord alarm, long personId, String personReference, Optional<String> channel, Instant now) {
        if (!(alarm.life().on(new AlarmEvent.Acknowledged()) instanceof Outcome.Changed changed)) {
            return false;
        }
        alarm.acknowledgedBy(personId, now);
        alarm.become(changed.next(), now);
        journal.append(entry(alarm, "alarm-acknowledged", now).with("person", personReference).with("channel", channel));
        return true;
    }

    /** Another has it now than the one who acknowledged it. For the caller to flush. {@code channel}: as above. */
    void handOver(AlarmRecord alarm, long personId, String personReference, Optional<String> channel, Instant now) {
        alarm.acknowledgedBy(personId, now);
        journal.append(entry(alarm, "alarm-taken-over", now).with("person", personReference).with("channel", channel));
    }

    /** Holds the alarm back until {@code until}; the reason for a refusal where the life cycle does not allow it. */
    Optional<String> shelve(AlarmRecord alarm, Instant until, String reason, Optional<String> personReference, Instant now) {
        Outcome outcome = alarm.life().on(new AlarmEvent.Shelved(until));
        if (outcome instanceof Outcome.Refused refused) {
            return Optional.of(refused.reason());
        }
        if (outcome instanceof Outcome.Changed changed) {
            hold(alarm, changed.next(), until, now);
            Entry entry = entry(alarm, "alarm-shelved", now).with("until", until).with("reason", reason);
            journal.append(personReference.map(reference -> entry.with("person", reference)).orElse(entry));
            callOuts.pause(alarm, now);
            alarms.flush();
        }
        return Optional.empty();
    }

    /** A hold has come to its end: what is true now counts at once. */
    void holdEnded(AlarmRecord alarm, Instant now) {
        Optional<Hold> another = alarm.life().state() == AlarmState.SHELVED ? Optional.empty()
                : suppressions.activeFor(alarm.kind(), alarm.siteId(), alarm.cabinetId(), now);
        if (another.isPresent()) {
            alarm.holdUntil(another.get().until());
            deadlines.add(DeadlineKind.HOLD_END, alarm.id(), alarm.version(), another.get().until());
            return;
        }
        AlarmEvent end = switch (alarm.life().state()) {
            case SHELVED -> new AlarmEvent.ShelfEnded();
            case SUPPRESSED_BY_DESIGN -> new AlarmEvent.SuppressionEnded();
            case OUT_OF_SERVICE -> new AlarmEvent.ReturnedToService();
            case NORMAL, UNACKNOWLEDGED, ACKNOWLEDGED, RETURNED_UNACKNOWLEDGED ->
                    throw new IllegalStateException("alarm " + alarm.id() + " is not held: " + alarm.life());
        };
        if (alarm.life().on(end) instanceof Outcome.Changed changed) {
            alarm.become(changed.next(), now);
            journal.append(entry(alarm, "alarm-hold-ended", now));
            alarms.flush();
            if (alarm.life().state() == AlarmState.UNACKNOWLEDGED) {
                alarm.needsSomebodyAgain();
                holdOrCallOut(alarm, Outlooks.at(warmth, now), now);
            } else {
                callOuts.conditionReturned(alarm, now);
            }
            alarms.flush();
        }
    }

    private void holdOrCallOut(AlarmRecord alarm, Outlooks outlooks, Instant now) {
        Optional<Hold> held = suppressions.activeFor(alarm.kind(), alarm.siteId(), alarm.cabinetId(), now);
        if (held.isPresent() && alarm.life().on(held.get().asEvent()) instanceof Outcome.Changed suppressed) {
            hold(alarm, suppressed.next(), held.get().until(), now);
            journal.append(entry(alarm, "alarm-suppressed", now).with("by", held.get().kind().name()).with("until", held.get().until())
                    .with("reason", held.get().reason()).with("person", people.reference(held.get().personId())));
            return;
        }
        if (alarm.kind().callsOut()) {
            callOuts.startOrResume(alarm, outlooks, now);
        }
    }

    private void hold(AlarmRecord alarm, AlarmLife next, Instant until, Instant now) {
        alarm.become(next, now);
        alarm.holdUntil(until);
        deadlines.add(DeadlineKind.HOLD_END, alarm.id(), alarm.version(), until);
    }

    static Entry entry(AlarmRecord alarm, String kind, Instant now) {
        Entry entry = Entry.of(now, kind).site(alarm.siteId()).alarm(alarm.id())
                .with("alarm-kind", alarm.kind().name()).with("state", alarm.life().state().name()).with("live", alarm.life().live());
        return alarm.cabinetId().isPresent() ? entry.cabinet(alarm.cabinetId().getAsLong()) : entry;
    }
}
