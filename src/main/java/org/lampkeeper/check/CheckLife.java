package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

/**
 * A due check from opening to the end. {@code (state, fact, now) → (new state, decisions)}; repeats and late facts do no harm.
 *
 * @param due    its times
 * @param state  where it stands
 * @param latest what was seen at the latest look, by the time of looking; none before the first
 */
public record CheckLife(CheckDue due, CheckState state, Optional<Seen> latest) {

    /** Ours: whoever was on a roof at nine is back at half past; then they, or the next, are asked again. */
    public static final Duration ASKED_AGAIN_AFTER = Duration.ofMinutes(30);

    /** Ours: a phone finds a network within a day; what arrives later is kept and shown, and counts for nothing. */
    public static final Duration RECEIVED_WITHIN = Duration.ofHours(24);

    /** @param at when they looked */
    public record Seen(Answer answer, Instant at) {
    }

    /** What follows. */
    public enum Decision {
        /** Ask whoever is asked. */
        ASK,
        /** Nobody looked: an alarm. */
        RAISE_MISSED,
        /** Somebody looked after all: the alarm about the missed look is over; that it was missed stays on record. */
        END_MISSED,
        /** The lamp is out, by a person's word: an alarm at once. */
        RAISE_OUT,
        /** Something is damaged or missing: an alarm at once. */
        RAISE_DAMAGED,
        /** A person at the cabinet says that all is well: what was raised on a person's word is over. */
        END_REPORTED
    }

    /**
     * @param next      when this is to be looked at again without a fact; none when it is over
     * @param isCounted whether the look was one of this check's window, and came in time to count
     */
    public record Step(CheckLife life, List<Decision> decisions, Optional<Instant> next, boolean isCounted) {

        public Step {
            decisions = List.copyOf(decisions);
        }
    }

    /** Opens at its time or, after an outage, as soon as may be; one that is over by then was missed. */
    public static Step open(CheckDue due, Instant now) {
        CheckLife fresh = new CheckLife(due, CheckState.OPEN, Optional.empty());
        if (!now.isBefore(due.missedAt())) {
            return fresh.timePassed(now);
        }
        return new Step(fresh, List.of(Decision.ASK), Optional.of(due.nextAfter(now)), false);
    }

    /** A moment that was waited for has come. */
    public Step timePassed(Instant now) {
        if (state.isOver()) {
            return new Step(this, List.of(), Optional.empty(), false);
        }
        if (!now.isBefore(due.missedAt())) {
            return new Step(new CheckLife(due, CheckState.MISSED, latest), List.of(Decision.RAISE_MISSED), Optional.empty(), false);
        }
        // Between closing and the end of the grace nobody is asked: it would be too late to be on time.
        List<Decision> decisions = now.isBefore(due.closes()) ? List.of(Decision.ASK) : List.of();
        return new Step(this, decisions, Optional.of(due.nextAfter(now)), false);
    }

    /** Somebody says what they saw. */
    public Step looked(Answer answer, LookTime time) {
        boolean isNewest = latest.filter(seen -> seen.at().isAfter(time.at())).isEmpty();
        boolean cameInTime = Duration.between(time.at(), time.receivedAt()).compareTo(RECEIVED_WITHIN) <= 0;
        boolean isCounted = answer.isLook() && cameInTime && due.isOnTime(time.at());
        List<Decision> decisions = new ArrayList<>();
        if (answer.isLook() && isNewest) {
            decisions.addAll(onSeen(answer));
        }
        if (answer.isLook() && state == CheckState.MISSED && !time.at().isBefore(due.opens())) {
            decisions.add(Decision.END_MISSED);
        }
        // A missed one stays missed for a look that came too late, not for one that was under way when it closed.
        CheckState next = isCounted ? CheckState.DONE : state;
        Optional<Seen> seen = answer.isLook() && isNewest ? Optional.of(new Seen(answer, time.at())) : latest;
        return new Step(new CheckLife(due, next, seen), decisions, next.isOver() ? Optional.empty() : Optional.of(whenAskedNext(answer, time)), isCounted);
    }

    /**
     * Whoever said before what they saw says that it was tapped wrong, and that they could not see it: nobody has looked then. What was
     * raised on their first word stays; doubt clears nothing.
     */
    public Step tookBack(Instant now) {
        if (state != CheckState.DONE) {
            return new Step(this, List.of(), state.isOver() ? Optional.empty() : Optional.of(due.nextAfter(now)), false);
        }
        CheckLife open = new CheckLife(due, CheckState.OPEN, Optional.empty());
        return now.isBefore(due.missedAt()) ? new Step(open, List.of(), Optional.of(due.nextAfter(now)), false) : open.timePassed(now);
    }

    private static List<Decision> onSeen(Answer answer) {
        return switch (answer) {
            case LIT -> List.of(Decision.END_REPORTED);
            case OUT -> List.of(Decision.RAISE_OUT);
            case DAMAGED -> List.of(Decision.RAISE_DAMAGED);
            case NOT_SEEN -> List.of();
        };
    }

    private Instant whenAskedNext(Answer answer, LookTime time) {
        Instant planned = due.nextAfter(time.receivedAt());
        Instant again = time.receivedAt().plus(ASKED_AGAIN_AFTER);
        return answer == Answer.NOT_SEEN && again.isBefore(due.closes()) && again.isBefore(planned) ? again : planned;
    }
}
