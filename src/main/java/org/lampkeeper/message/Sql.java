package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Types;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

/** How the tables of this room read and set what JDBC has no type for: moments, and what may be missing. */
final class Sql {

    // As wide as the columns that say why something failed.
    private static final int LONGEST_REASON = 400;

    private Sql() {
    }

    static OffsetDateTime utc(Instant at) {
        return at.atOffset(ZoneOffset.UTC);
    }

    static Optional<Instant> time(ResultSet row, int column) throws SQLException {
        return Optional.ofNullable(row.getObject(column, OffsetDateTime.class)).map(OffsetDateTime::toInstant);
    }

    static void setTime(PreparedStatement statement, int index, Optional<Instant> at) throws SQLException {
        statement.setObject(index, at.map(Sql::utc).orElse(null), Types.TIMESTAMP_WITH_TIMEZONE);
    }

    static OptionalLong id(ResultSet row, int column) throws SQLException {
        long id = row.getLong(column);
        return row.wasNull() ? OptionalLong.empty() : OptionalLong.of(id);
    }

    static void setId(PreparedStatement statement, int index, OptionalLong id) throws SQLException {
        statement.setObject(index, id.isPresent() ? id.getAsLong() : null, Types.BIGINT);
    }

    /** Reads one row. */
    interface Row<T> {
        T read(ResultSet row) throws SQLException;
    }

    /**
     * Locks those of {@code ids} that nobody else holds and that are still due.
     *
     * @param lock by an array of ids, and by when they are due at the latest
     */
    static <T> List<T> lockDue(Connection connection, String lock, Long[] ids, Instant now, Row<T> read) throws SQLException {
        List<T> due = new ArrayList<>();
        if (ids.length == 0) {
            return due;
        }
        try (PreparedStatement select = connection.prepareStatement(lock)) {
            select.setArray(1, connection.createArrayOf("bigint", ids));
            select.setObject(2, utc(now));
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    due.add(read.read(row));
                }
            }
        }
        return due;
    }

    /** What the one column of a query has, in its order. */
    static Long[] ids(PreparedStatement select) throws SQLException {
        List<Long> ids = new ArrayList<>();
        try (ResultSet row = select.executeQuery()) {
            while (row.next()) {
                ids.add(row.getLong(1));
            }
        }
        return ids.toArray(Long[]::new);
    }

    /** @param sequence the statement that asks for its next number */
    static long nextId(Connection connection, String sequence) throws SQLException {
        try (PreparedStatement next = connection.prepareStatement(sequence); ResultSet row = next.executeQuery()) {
            row.next();
            return row.getLong(1);
        }
    }

    /** As much of a reason as its column holds. */
    static String cut(String reason) {
        return reason.length() <= LONGEST_REASON ? reason : reason.substring(0, LONGEST_REASON - 1) + "…";
    }
}
