package org.lampkeeper.web;

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

/** Runs the read-only statements of the pages; each of them is one query and sees one moment. */
@ApplicationScoped
class Reads {

    private final DataSource database;

    Reads(DataSource database) {
        this.database = database;
    }

    /** Makes one thing out of the row that the result stands on. */
    interface RowReader<T> {
        T read(Row row) throws SQLException;
    }

    /** One row, with what may be missing as {@code Optional}. */
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

        boolean has(String column) throws SQLException {
            return result.getObject(column) != null;
        }

        OptionalLong optionalNumber(String column) throws SQLException {
            return has(column) ? OptionalLong.of(number(column)) : OptionalLong.empty();
        }

        Optional<String> optionalText(String column) throws SQLException {
            return Optional.ofNullable(text(column));
        }

        Optional<Double> optionalDecimal(String column) throws SQLException {
            return has(column) ? Optional.of(result.getDouble(column)) : Optional.empty();
        }

        Optional<Instant> optionalInstant(String column) throws SQLException {
            return has(column) ? Optional.of(instant(column)) : Optional.empty();
        }
    }

    /** Every row of {@code sql}, in its order. {@code parameters}: numbers, texts and instants. */
    <T> List<T> list(String sql, RowReader<T> reader, Object... parameters) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = connection.prepareStatement(sql)) {
            for (int i = 0; i < parameters.length; i++) {
                Object value = parameters[i] instanceof Instant instant ? instant.atOffset(ZoneOffset.UTC) : parameters[i];
                statement.setObject(i + 1, value);
            }
            try (ResultSet result = statement.executeQuery()) {
                List<T> rows = new ArrayList<>();
                while (result.next()) {
                    rows.add(reader.read(new Row(result)));
                }
                return List.copyOf(rows);
            }
        } catch (SQLException e) {
            throw new IllegalStateException("a page could not be read from the database: " + e.getMessage(), e);
        }
    }

    /** The first row of {@code sql}, if there is one. */
    <T> Optional<T> first(String sql, RowReader<T> reader, Object... parameters) {
        return list(sql, reader, parameters).stream().findFirst();
    }
}
