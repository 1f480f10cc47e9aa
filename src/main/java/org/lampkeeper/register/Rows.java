package org.lampkeeper.register;

import java.sql.Timestamp;
import java.time.Instant;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.util.Collection;

/** Values of native rows: the two drivers answer with different classes for the same column. */
public final class Rows {

    private Rows() {
    }

    /** A whole number of any width. */
    public static long number(Object value) {
        return ((Number) value).longValue();
    }

    /**
     * For {@code = ANY (:ids)}: one parameter, however many. With one for each in {@code IN}, PostgreSQL plans a statement it has seen a few times
     * for no number of them in particular, and reads the whole table.
     */
    public static Long[] array(Collection<Long> ids) {
        return ids.toArray(Long[]::new);
    }

    /** A moment. @throws IllegalArgumentException where the column is no time */
    public static Instant instant(Object value) {
        if (value instanceof Instant instant) {
            return instant;
        }
        if (value instanceof OffsetDateTime time) {
            return time.toInstant();
        }
        if (value instanceof Timestamp time) {
            return time.toInstant();
        }
        throw new IllegalArgumentException("not a time: " + value.getClass());
    }

    /** A day. @throws IllegalArgumentException where the column is none */
    public static LocalDate day(Object value) {
        if (value instanceof LocalDate day) {
            return day;
        }
        if (value instanceof java.sql.Date day) {
            return day.toLocalDate();
        }
        throw new IllegalArgumentException("not a day: " + value.getClass());
    }
}
