package org.lampkeeper.web;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;

/** Runs the read-only statements of the pages; each of them is one query and sees one moment. */
@ApplicationScoped
public class Reads {

    private final DataSource database;

    Reads(DataSource database) {
        this.database = database;
    }

    /** Makes one thing out of the row that the result stands on. */
    public interface RowReader<T> {
        T read(Row row) throws SQLException;
    }

    /** One row, with what may be missing as {@code Optional}. */
    public record Row(ResultSet result) {

        public long number(String column) throws SQLException {
            return result.getLong(column);
        }

        public String text(String column) throws SQLException {
            return result.getString(column);
        }

        public byte[] bytes(String column) throws SQLException {
            return result.getBytes(column);
        }

        public boolean is(String column) throws SQLException {
            return result.getBoolean(column);
        }

        public Instant instant(String column) throws SQLException {
            return result.getObject(column, OffsetDateTime.class).toInstant();
        }

        public boolean has(String column) throws SQLException {
            return result.getObject(column) != null;
        }

        public OptionalLong optionalNumber(String column) throws SQLException {
            return has(column) ? OptionalLong.of(number(column)) : OptionalLong.empty();
        }

        public Optional<String> optionalText(String column) throws SQLException {
            return Optional.ofNullable(text(column));
        }

        public Optional<Double> optionalDecimal(String column) throws SQLException {
            return has(column) ? Optional.of(result.getDouble(column)) : Optional.empty();
        }

        public Optional<LocalDate> date(String column) throws SQLException {
            return Optional.ofNullable(result.getObject(column, LocalDate.class));
        }

        public Optional<Instant> optionalInstant(String column) throws SQLException {
            return has(column) ? Optional.of(instant(column)) : Optional.empty();
        }
    }

    /**
     * Every row of {@code sql}, in its order. {@code parameters}: numbers, texts, truth values, days, instants, {@code Long[]} for ANY, and a {@link Reach}, which
     * fills two places, for {@code (? OR x.site_id = ANY (?))}: rows of the sites that it sees.
     */
    public <T> List<T> list(String sql, RowReader<T> reader, Object... parameters) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = connection.prepareStatement(sql)) {
            int place = 1;
            for (Object parameter : parameters) {
                if (parameter instanceof Reach reach) {
                    Optional<Set<Long>> sites = reach.sitesWith(Right.SEE);
                    statement.setBoolean(place++, sites.isEmpty());
                    statement.setArray(place++, connection.createArrayOf("bigint", sites.orElse(Set.of()).toArray(Long[]::new)));
                } else {
                    statement.setObject(place++, parameter instanceof Instant instant ? instant.atOffset(ZoneOffset.UTC) : parameter);
                }
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
    public <T> Optional<T> first(String sql, RowReader<T> reader, Object... parameters) {
        return list(sql, reader, parameters).stream().findFirst();
    }
}
