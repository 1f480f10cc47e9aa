package org.lampkeeper.report;

import java.time.Instant;

/** What the journal says about the supply of one cabinet; times are as observed, so a late entry tells of what was earlier. */
public sealed interface SupplyFact {

    /** A report was heard for the first time, or after silence. */
    record Heard(Instant at) implements SupplyFact {
    }

    record Lost(Instant since) implements SupplyFact {
    }

    record Returned(Instant at) implements SupplyFact {
    }

    /** A loss that was over before it was confirmed. */
    record Dip(Instant from, Instant until) implements SupplyFact {
    }

    /** Nothing is known from here on: the sensor was last heard then, or its link broke. */
    record Quiet(Instant since) implements SupplyFact {
    }

    /** Lampkeeper itself heard nobody in this time. */
    record NotListening(Span span) implements SupplyFact {
    }

    /** The sensor was taken away, or the cabinet out of use: nothing is known until another is heard, and a loss that was on is not told of any more. */
    record SensorGone(Instant at) implements SupplyFact {
    }
}
