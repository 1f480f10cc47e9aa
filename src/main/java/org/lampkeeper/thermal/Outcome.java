package org.lampkeeper.thermal;

import java.time.Instant;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/** What is to be expected of the content at one of its bounds, if nothing changes. */
public sealed interface Outcome {

    /** It is past the bound now. */
    record AlreadyPast(Bound bound, Celsius measured, Instant measuredAt) implements Outcome {
    }

    /**
     * It passes the bound within what is looked at. A moment before now means that it has probably happened since it was last measured.
     *
     * @param early  the one to act on
     * @param likely not before {@code early}; empty: not before {@code until}
     * @param late   not before {@code likely}; empty: not before {@code until}
     * @param until  up to here it was reckoned
     */
    record Expected(Bound bound, Instant early, Optional<Instant> likely, Optional<Instant> late, Instant until) implements Outcome {
    }

    /** Not even at the early end before {@code until}. */
    record NotExpected(Bound bound, Instant until) implements Outcome {
    }

    /** Nothing can be said, and nothing is made up. */
    record NoForecast(Reason reason) implements Outcome {
    }

    /** What is missing. */
    enum Reason {
        /** None inside, or none of the device where it is reckoned by itself. */
        NO_TEMPERATURE,
        /** The last one is older than {@link Forecast#OLDEST}. */
        OLD_TEMPERATURE,
        /** None outside, or the list does not reach to where it was measured inside. */
        NO_OUTSIDE,
        NO_LIMIT,
        /** Neither learnt nor nominal. */
        NO_TIME_CONSTANT
    }
}
