package org.lampkeeper.alarm;

import org.lampkeeper.alarm.Outcome.Changed;
import org.lampkeeper.alarm.Outcome.Refused;
import org.lampkeeper.alarm.Outcome.Unchanged;

/**
 * Where one alarm stands in its life cycle. The end of a hold is not kept here: who stores the alarm stores it, and sends the event
 * when it has come.
 *
 * @param live whether the condition is there. It follows from the state except during a hold, where it is remembered, so that at the
 *             end of the hold the condition counts at once
 */
public record AlarmLife(AlarmState state, boolean live) {

    public static final AlarmLife NORMAL = new AlarmLife(AlarmState.NORMAL, false);

    public AlarmLife {
        boolean possible = switch (state) {
            case NORMAL, RETURNED_UNACKNOWLEDGED -> !live;
            case UNACKNOWLEDGED, ACKNOWLEDGED -> live;
            case SHELVED, SUPPRESSED_BY_DESIGN, OUT_OF_SERVICE -> true;
        };
        if (!possible) {
            throw new IllegalArgumentException("an alarm that is " + state + " cannot be " + (live ? "live" : "over"));
        }
    }

    public Outcome on(AlarmEvent event) {
        return event.happensTo(this);
    }

    Outcome becomes(AlarmState nextState, boolean nextLive) {
        AlarmLife next = new AlarmLife(nextState, nextLive);
        return next.equals(this) ? new Unchanged(this) : new Changed(next);
    }

    Outcome stays() {
        return new Unchanged(this);
    }

    /** Into a hold from one of the states A to D; a hold on top of another would let the first end go unnoticed. */
    Outcome heldAs(AlarmState hold) {
        return switch (state) {
            case NORMAL, UNACKNOWLEDGED, ACKNOWLEDGED, RETURNED_UNACKNOWLEDGED -> becomes(hold, live);
            case SHELVED -> new Refused("It is shelved already: end that first.");
            case SUPPRESSED_BY_DESIGN -> new Refused("It is suppressed already, by announced work or a test: end that first.");
            case OUT_OF_SERVICE -> new Refused("It is out of service already: return it to service first.");
        };
    }

    /** Out of that hold, into what the condition is now. The end of a hold that is not on is stale and does nothing. */
    Outcome released(AlarmState hold) {
        if (state != hold) {
            return stays();
        }
        return live ? becomes(AlarmState.UNACKNOWLEDGED, true) : becomes(AlarmState.NORMAL, false);
    }
}
