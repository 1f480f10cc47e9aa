package org.lampkeeper.alarm;

import java.time.Instant;

import org.lampkeeper.alarm.Outcome.Refused;

/** What can happen to an alarm. Whether an {@code until} lies ahead is for the caller to check: only the caller knows the time. */
public sealed interface AlarmEvent {

    /** The rule for this event; {@link AlarmLife#on} is the way to ask. */
    Outcome happensTo(AlarmLife life);

    /** The condition is there. On an alarm that is live and acknowledged: it is there once more, and somebody must look again. */
    record Occurred() implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return switch (life.state()) {
                case NORMAL, UNACKNOWLEDGED, ACKNOWLEDGED, RETURNED_UNACKNOWLEDGED -> life.becomes(AlarmState.UNACKNOWLEDGED, true);
                case SHELVED, SUPPRESSED_BY_DESIGN, OUT_OF_SERVICE -> life.becomes(life.state(), true);
            };
        }
    }

    /** A person takes it. Says nothing about the condition. */
    record Acknowledged() implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return switch (life.state()) {
                case UNACKNOWLEDGED -> life.becomes(AlarmState.ACKNOWLEDGED, life.live());
                case RETURNED_UNACKNOWLEDGED -> life.becomes(AlarmState.NORMAL, life.live());
                case ACKNOWLEDGED -> life.stays();
                case NORMAL -> new Refused("There is nothing to take: the alarm is over.");
                case SHELVED -> new Refused("It is shelved: end that before taking it.");
                case SUPPRESSED_BY_DESIGN -> new Refused("It is suppressed by announced work or a test: there is nothing to take yet.");
                case OUT_OF_SERVICE -> new Refused("It is out of service: return it to service before taking it.");
            };
        }
    }

    /** The condition went away. Says nothing about whether anybody has seen it. */
    record Returned() implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return switch (life.state()) {
                case NORMAL, RETURNED_UNACKNOWLEDGED -> life.stays();
                case UNACKNOWLEDGED -> life.becomes(AlarmState.RETURNED_UNACKNOWLEDGED, false);
                case ACKNOWLEDGED -> life.becomes(AlarmState.NORMAL, false);
                case SHELVED, SUPPRESSED_BY_DESIGN, OUT_OF_SERVICE -> life.becomes(life.state(), false);
            };
        }
    }

    /** A person sets it aside until then. A shelf cannot be prolonged by shelving again: it ends first, and the condition counts. */
    record Shelved(Instant until) implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return life.heldAs(AlarmState.SHELVED);
        }
    }

    /** The time is up, or a person takes it off the shelf. */
    record ShelfEnded() implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return life.released(AlarmState.SHELVED);
        }
    }

    /**
     * A rule holds it back until then. Suppressions may overlap (a test press during announced work): a second one changes nothing, and
     * {@link SuppressionEnded} is for the end of the last.
     */
    record SuppressionBegan(Instant until) implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return life.state() == AlarmState.SUPPRESSED_BY_DESIGN ? life.stays() : life.heldAs(AlarmState.SUPPRESSED_BY_DESIGN);
        }
    }

    /** No rule holds it back any more. */
    record SuppressionEnded() implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return life.released(AlarmState.SUPPRESSED_BY_DESIGN);
        }
    }

    /** Maintenance takes it out until then. */
    record TakenOutOfService(Instant until) implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return life.heldAs(AlarmState.OUT_OF_SERVICE);
        }
    }

    /** The time is up, or maintenance returns it. */
    record ReturnedToService() implements AlarmEvent {
        @Override
        public Outcome happensTo(AlarmLife life) {
            return life.released(AlarmState.OUT_OF_SERVICE);
        }
    }
}
