package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.CallOuts;
import org.lampkeeper.callout.Due;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CallOutLists;

/** Runs the call-outs: who is told, when the next one is, when it rests and when it ends. Called holding the site's lock. */
@ApplicationScoped
class CallOutKeeper {

    /** Ours: how long until an empty list is looked at again; somebody may have filled it. */
    private static final Duration NOBODY_RETRY = Duration.ofMinutes(5);

    private final CallOutBook book;
    private final Alarms alarms;
    private final CallOutLists lists;
    private final Deadlines deadlines;
    private final Letters letters;
    private final Journal journal;

    CallOutKeeper(CallOutBook book, Alarms alarms, CallOutLists lists, Deadlines deadlines, Letters letters, Journal journal) {
        this.book = book;
        this.alarms = alarms;
        this.lists = lists;
        this.deadlines = deadlines;
        this.letters = letters;
        this.journal = journal;
    }

    CallOutList listOf(long siteId) {
        return lists.ofSite(siteId);
    }

    /** Makes an unacknowledged alarm reach people: in the call-out it belongs to, or in one of its own. */
    void startOrResume(AlarmRecord alarm, Instant now) {
        Optional<CallOutRecord> own = callOutOf(alarm);
        if (own.isPresent() && !own.get().isEnded()) {
            if (!own.get().isClimbing()) {
                own.get().resume();
                letters.tellAgain(alarm, own.get(), now);
                advance(own.get(), now);
            }
            return;
        }
        Optional<CallOutRecord> joined = siteWideCallOut(alarm);
        if (joined.isPresent()) {
            alarm.joins(joined.get());
            journal.append(AlarmKeeper.entry(alarm, "alarm-joined-call-out", now).with("call-out", joined.get().id()));
            return;
        }
        CallOutRecord opened = new CallOutRecord(alarm.siteId(), now);
        book.persist(opened);
        alarm.joins(opened);
        journal.append(AlarmKeeper.entry(alarm, "call-out-opened", now).with("call-out", opened.id()));
        alarms.flush();
        CallOutList list = listOf(alarm.siteId());
        Duration first = CallOuts.firstAfter(list).orElse(Duration.ZERO);
        if (first.isZero()) {
            advance(opened, list, now);
        } else {
            opened.hasTold(0, now.plus(first));
            deadlines.add(DeadlineKind.CALL_OUT, opened.id(), opened.version(), now.plus(first));
        }
    }

    /** A probable loss of a whole site takes over the call-outs of its single sensors: one call-out, and nobody is called twice. */
    void gather(AlarmRecord siteAlarm, Instant now) {
        CallOutRecord whole = callOutOf(siteAlarm).orElse(null);
        if (whole == null || whole.isEnded()) {
            return;
        }
        for (AlarmRecord single : alarms.openAt(siteAlarm.siteId(), AlarmKind.NOT_HEARD)) {
            Optional<CallOutRecord> its = callOutOf(single);
            if (its.isEmpty() || its.get().id() == whole.id() || its.get().isEnded()) {
                continue;
            }
            its.get().end(now);
            single.joins(whole);
            journal.append(AlarmKeeper.entry(single, "alarm-joined-call-out", now).with("call-out", whole.id()));
        }
        alarms.flush();
    }

    /** Tells whoever is next, now. */
    void advance(CallOutRecord callOut, Instant now) {
        advance(callOut, listOf(callOut.siteId()), now);
    }

    private void advance(CallOutRecord callOut, CallOutList list, Instant now) {
        List<AlarmRecord> led = openAlarmsOf(callOut);
        if (led.isEmpty() || callOut.isEnded() || callOut.takenAt().isPresent()) {
            return;
        }
        Due due = CallOuts.due(list, callOut.told());
        Instant next;
        if (due instanceof Due.Tell tell) {
            next = now.plus(tell.next());
            callOut.hasTold(tell.told(), next);
            boolean reached = false;
            for (long personId : tell.personIds()) {
                reached |= letters.tell(led, callOut, personId, CallOuts.upcoming(list, tell.told()), next, now);
            }
            if (!reached && tell.told() < list.turns().size()) {
                // Nobody of this turn has a way to be told: waiting for them would only lose time.
                advance(callOut, list, now);
                return;
            }
        } else {
            next = now.plus(NOBODY_RETRY);
            callOut.hasTold(callOut.told(), next);
            journal.append(AlarmKeeper.entry(led.get(0), "nobody-to-tell", now).with("call-out", callOut.id()));
        }
        deadlines.add(DeadlineKind.CALL_OUT, callOut.id(), callOut.version(), next);
        book.flush();
    }

    /** The next person is told now instead of later, because this one cannot, or could not be reached. */
    void hurry(CallOutRecord callOut, boolean firstRoundOnly, Instant now) {
        boolean roundOver = callOut.told() >= listOf(callOut.siteId()).turns().size();
        if (callOut.isClimbing() && !(firstRoundOnly && roundOver)) {
            advance(callOut, now);
        }
    }

    /** Somebody has it: climbing stops, and those who were told hear who has it. */
    void take(CallOutRecord callOut, AlarmRecord alarm, long personId, Instant now) {
        callOut.take(personId, now);
        book.flush();
        letters.tellTaken(alarm, callOut, personId, now);
    }

    /** One of its alarms is over for now: rest when none of them is live, end when none is open, and say so to those who were told. */
    void conditionReturned(AlarmRecord alarm, Instant now) {
        Optional<CallOutRecord> own = callOutOf(alarm);
        if (own.isEmpty() || own.get().isEnded()) {
            return;
        }
        CallOutRecord callOut = own.get();
        List<AlarmRecord> open = openAlarmsOf(callOut);
        boolean anyLive = open.stream().anyMatch(each -> each.life().live());
        if (!anyLive) {
            callOut.pause();
            letters.tellReturned(alarm, callOut, now);
        }
        if (open.isEmpty()) {
            callOut.end(now);
            journal.append(Entry.of(now, "call-out-ended").site(callOut.siteId()).with("call-out", callOut.id()));
        }
        book.flush();
    }

    /** An alarm ended with its sensor: nobody further is told of it, and those who were told hear why. */
    void sensorRetired(AlarmRecord alarm, By by) {
        pause(alarm);
        callOutOf(alarm).filter(callOut -> !callOut.isEnded()).ifPresent(callOut -> {
            letters.tellSensorRetired(alarm, callOut, by);
            endIfNothingIsOpen(callOut, by.at());
        });
        book.flush();
    }

    /** The last of its alarms may have been closed by an acknowledgement. */
    void endIfNothingIsOpen(CallOutRecord callOut, Instant now) {
        if (!callOut.isEnded() && openAlarmsOf(callOut).isEmpty()) {
            callOut.end(now);
            journal.append(Entry.of(now, "call-out-ended").site(callOut.siteId()).with("call-out", callOut.id()));
            book.flush();
        }
    }

    /** The alarm is held back: nobody further is told of it, unless another alarm of the same call-out still needs somebody. */
    void pause(AlarmRecord alarm) {
        callOutOf(alarm).filter(CallOutRecord::isClimbing).ifPresent(callOut -> {
            boolean stillNeeded = openAlarmsOf(callOut).stream()
                    .anyMatch(each -> each.id() != alarm.id() && each.life().state() == AlarmState.UNACKNOWLEDGED);
            if (!stillNeeded) {
                callOut.pause();
            }
        });
    }

    Optional<CallOutRecord> callOutOf(AlarmRecord alarm) {
        OptionalLong id = alarm.callOutId();
        return id.isPresent() ? book.findByIdOptional(id.getAsLong()) : Optional.empty();
    }

    List<AlarmRecord> openAlarmsOf(CallOutRecord callOut) {
        List<AlarmRecord> open = new ArrayList<>();
        for (AlarmRecord alarm : alarms.ofCallOut(callOut.id())) {
            if (alarm.isOpen()) {
                open.add(alarm);
            }
        }
        // The alarm of the whole site speaks for the single ones.
        open.sort(Comparator.comparing((AlarmRecord alarm) -> alarm.cabinetId().isPresent()).thenComparing(AlarmRecord::id));
        return open;
    }

    private Optional<CallOutRecord> siteWideCallOut(AlarmRecord alarm) {
        if (alarm.kind() != AlarmKind.NOT_HEARD) {
            return Optional.empty();
        }
        return alarms.open(AlarmKind.PROBABLE_SITE_LOSS, alarm.siteId(), OptionalLong.empty())
                .flatMap(this::callOutOf).filter(callOut -> !callOut.isEnded());
    }
}
