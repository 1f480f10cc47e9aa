package org.lampkeeper.telemetry;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.Optional;

/** A time as SenML writes it, to the microsecond. Absolute times sort before relative ones, and within each kind the older first. */
public sealed interface SenmlTime extends Comparable<SenmlTime> {

    /** RFC 8428 §4.5.3: values below this (2^28 seconds) are relative to now, the others count from 1970. */
    BigDecimal FIRST_ABSOLUTE = BigDecimal.valueOf(1L << 28);

    /** Ours, because whatever is older is a fault: as far back as the format's own border is forward. */
    BigDecimal OLDEST_RELATIVE = FIRST_ABSOLUTE.negate();

    /** Ours, because databases and people write years in four digits: the end of the year 9999. */
    BigDecimal LAST_ABSOLUTE = BigDecimal.valueOf(253_402_300_799L);

    record Absolute(Instant at) implements SenmlTime {
    }

    /** {@code fromNow}: negative for the past. Relative to the moment of sending. */
    record Relative(Duration fromNow) implements SenmlTime {
    }

    /** The time of {@code seconds} (base time and time added up), or empty outside of what can be meant. */
    static Optional<SenmlTime> of(BigDecimal seconds) {
        if (seconds.compareTo(OLDEST_RELATIVE) < 0 || seconds.compareTo(LAST_ABSOLUTE) > 0) {
            return Optional.empty();
        }
        // From decimal text, never by way of a double: a double near 1.8e9 keeps only a quarter of a microsecond.
        long micros = seconds.setScale(6, RoundingMode.HALF_EVEN).movePointRight(6).longValueExact();
        if (seconds.compareTo(FIRST_ABSOLUTE) < 0) {
            return Optional.of(new Relative(Duration.of(micros, ChronoUnit.MICROS)));
        }
        return Optional.of(new Absolute(Instant.EPOCH.plus(micros, ChronoUnit.MICROS)));
    }

    @Override
    default int compareTo(SenmlTime other) {
        if (this instanceof Absolute mine && other instanceof Absolute theirs) {
            return mine.at().compareTo(theirs.at());
        }
        if (this instanceof Relative mine && other instanceof Relative theirs) {
            return mine.fromNow().compareTo(theirs.fromNow());
        }
        return this instanceof Absolute ? -1 : 1;
    }
}
