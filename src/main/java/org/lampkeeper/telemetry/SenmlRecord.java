package org.lampkeeper.telemetry;

import java.math.BigDecimal;
import java.util.Optional;

/**
 * One resolved record (RFC 8428 §4.6): base fields applied, except that a relative time stays relative, since only the edge knows when
 * it was received.
 *
 * @param index      its place in the pack, from 0
 * @param name       base name and name, joined
 * @param value      empty only where there is a sum
 * @param updateTime seconds until the next reading at the latest, as written
 */
record SenmlRecord(int index, String name, Optional<String> unit, Optional<Value> value, Optional<BigDecimal> sum, SenmlTime time,
        Optional<BigDecimal> updateTime) {

    sealed interface Value {
    }

    record NumberValue(BigDecimal number) implements Value {
    }

    record TextValue(String text) implements Value {
    }

    record BooleanValue(boolean truth) implements Value {
    }

    /** As written; none of our names carries data, so nobody needs the bytes. */
    record DataValue(String base64url) implements Value {
    }

    /** How refusals and notes point at it. */
    String place() {
        return placeOf(index);
    }

    static String placeOf(int index) {
        return "record[" + index + "]";
    }
}
