package org.lampkeeper.telemetry;

import java.sql.Array;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.List;
import java.util.OptionalDouble;
import java.util.function.Function;
import java.util.function.IntFunction;

import org.jspecify.annotations.Nullable;

/** Binds the columns of many rows to a set-based statement: one array a column, in order. */
final class Columns<R> {
    private final Connection connection;
    private final PreparedStatement statement;
    private final List<R> rows;
    private final String timeType;
    private int next = 1;

    Columns(Connection connection, PreparedStatement statement, List<R> rows) throws SQLException {
        this.connection = connection;
        this.statement = statement;
        this.rows = rows;
        // The one name of a type on which the two databases disagree.
        this.timeType = connection.getMetaData().getDatabaseProductName().equals("PostgreSQL") ? "timestamptz"
                : "timestamp with time zone";
    }

    static @Nullable Double orNull(OptionalDouble value) {
        return value.isPresent() ? value.getAsDouble() : null;
    }

    void bindTimes(Function<R, Instant> column) throws SQLException {
        bind(timeType, Object[]::new, row -> OffsetDateTime.ofInstant(column.apply(row), ZoneOffset.UTC));
    }

    /** The array's own type matters: what is not a plain object goes to PostgreSQL in binary, which both sides read faster. */
    <T> void bind(String type, IntFunction<@Nullable T[]> made, Function<R, @Nullable T> column) throws SQLException {
        @Nullable T[] values = made.apply(rows.size());
        for (int i = 0; i < values.length; i++) {
            values[i] = column.apply(rows.get(i));
        }
        Array array = connection.createArrayOf(type, values);
        statement.setArray(next++, array);
    }
}
