package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;

/** What the readings of a supplied cabinet say about its heater. */
public sealed interface HeaterVerdict {

    /** It was needed and it heats. Whether it is enough is for {@link HeaterReach#in} to say. */
    record Heats(HeaterReach reach) implements HeaterVerdict {
    }

    /**
     * The inside follows the outside, below the set point. Where no sensor reads the door, an open one looks the same: have the door looked at first.
     *
     * @param most K, that it lifts the inside at best
     */
    record DoesNotHeat(Instant since, double most) implements HeaterVerdict {
    }

    /** Well above its set point, and no end. */
    record NeverStops(Instant since) implements HeaterVerdict {
    }

    /** Nothing is said of a heater behind an open door. */
    record DoorOpen(Instant since) implements HeaterVerdict {
    }

    /**
     * Since the door was closed the inside moves faster than its content allows: probably somebody took it out.
     *
     * @param tau the time constant that it has now
     */
    record LooksEmptied(Instant since, Duration tau) implements HeaterVerdict {
    }

    /** The readings do not carry a verdict; that is not "it heats". */
    record NotJudged(Reason reason) implements HeaterVerdict {
    }

    /** Why there is no verdict. */
    enum Reason {
        NO_READINGS,
        /** The inside is near the set point or above: nobody knows what the heater would do in the cold. */
        NOT_NEEDED,
        /** Not long enough below the set point, or since a door was closed. */
        TOO_SHORT,
        /** The inside moves faster than this cabinet does, and no sensor says that a door was opened. */
        UNLIKE_THE_CABINET,
        /** It may heat a little or not at all. */
        UNCERTAIN
    }
}
