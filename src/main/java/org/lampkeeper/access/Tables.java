package org.lampkeeper.access;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

import org.jspecify.annotations.Nullable;

/** Runs this room's statements: in the caller's transaction where there is one, each by itself otherwise. */
@ApplicationScoped
class Tables {

    /** PostgreSQL, appendix A, and H2 alike: unique_violation. */
    private static final String NOT_UNIQUE = "23505";

    private final DataSource database;

    Tables(DataSource database) {
        this.database = database;
    }

    interface RowReader<T> {
        T read(Row row) throws SQLException;
    }

    record Row(ResultSet result) {

        long number(String column) throws SQLException {
            return result.getLong(column);
        }

        String text(String column) throws SQLException {
            return result.getString(column);
        }

        boolean is(String column) throws SQLException {
            return result.getBoolean(column);
        }

        Instant instant(String column) throws SQLException {
            return result.getObject(column, OffsetDateTime.class).toInstant();
        }

        Optional<String> optionalText(String column) throws SQLException {
            return Optional.ofNullable(result.getString(column));
        }

        OptionalLong optionalNumber(String column) throws SQLException {
            return result.getObject(column) == null ? OptionalLong.empty() : OptionalLong.of(number(column));
        }

        Optional<Instant> optionalInstant(String column) throws SQLException {
            return result.getObject(column) == null ? Optional.empty() : Optional.of(instant(column));
        }
    }

    /** Every row of {@code sql}, in its order. {@code parameters}: numbers, texts, truth values, instants, or {@code Optional}s of them. */
    <T> List<T> list(String sql, RowReader<T> reader, Object... parameters) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = bound(connection, sql, parameters);
                ResultSet result = statement.executeQuery()) {
            List<T> rows = new ArrayList<>();
            while (result.next()) {
                rows.add(reader.read(new Row(result)));
            }
            return List.copyOf(rows);
        } catch (SQLException failed) {
            throw new IllegalStateException("who may do what could not be read: " + failed.getMessage(), failed);
        }
    }

    <T> Optional<T> first(String sql, RowReader<T> reader, Object... parameters) {
        return list(sql, reader, parameters).stream().findFirst();
    }

    /** The number of rows changed. */
    int run(String sql, Object... parameters) {
        try {
            return change(sql, parameters);
        } catch (SQLException failed) {
            throw new IllegalStateException("who may do what could not be written: " + failed.getMessage(), failed);
        }
    }

    /** False when a row of the same key is there already; only for a statement that stands in no transaction, which it would end. */
    boolean insertedAlone(String sql, Object... parameters) {
        try {
            change(sql, parameters);
            return true;
        } catch (SQLException failed) {
            if (NOT_UNIQUE.equals(failed.getSQLState())) {
                return false;
            }
            throw new IllegalStateException("who may do what could not be written: " + failed.getMessage(), failed);
        }
    }

    long nextId() {
        return first("SELECT nextval('access_seq') AS id", row -> row.number("id")).orElseThrow();
    }

    private int change(String sql, Object... parameters) throws SQLException {
        try (Connection connection = database.getConnection(); PreparedStatement statement = bound(connection, sql, parameters)) {
            return statement.executeUpdate();
        }
    }

    private static PreparedStatement bound(Connection connection, String sql, Object... parameters) throws SQLException {
        PreparedStatement statement = connection.prepareStatement(sql);
        for (int i = 0; i < parameters.length; i++) {
            statement.setObject(i + 1, plain(parameters[i]));
        }
        return statement;
    }

    private static @Nullable Object plain(Object value) {
        if (value instanceof Optional<?> optional) {
            return optional.map(Tables::plain).orElse(null);
        }
        if (value instanceof OptionalLong optional) {
            return optional.isPresent() ? optional.getAsLong() : null;
        }
        return value instanceof Instant instant ? instant.atOffset(ZoneOffset.UTC) : value;
    }
}
