package org.lampkeeper.upkeep;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.ResultSetMetaData;
import java.sql.SQLException;
import java.sql.Types;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.regex.Pattern;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;

/**
 * What is held about a person, whatever table it stands in: every row with a column that points to people, by its name, and every entry of the
 * journal with their reference. A new table needs nothing here, as long as such a column has one of the names.
 */
@ApplicationScoped
public class HeldAboutPerson {

    private static final String PERSON = "person";

    /** How a column is called that has the number of a person. */
    static final Pattern POINTS_TO_PERSON = Pattern.compile("(.*_)?person(_id)?|.*_by|listed_for");

    /** What nobody is told, not even whom it is about: with it one could pass for them. */
    private static final Pattern SECRET = Pattern.compile(".*(hash|salt|secret|token|endpoint|auth|p256dh|code).*");

    /** A link in a message, which takes an alarm or answers a look for whoever holds it. */
    private static final Pattern LINK = Pattern.compile("(/[a-z]/)[A-Za-z0-9._~-]{8,}");

    private static final String JOURNAL = "SELECT at, kind, site_id, cabinet_id, alarm_id, body, seal_number FROM journal_entry WHERE body LIKE ? ORDER BY id";

    private static final ObjectMapper JSON = new ObjectMapper();

    private final DataSource database;

    HeldAboutPerson(DataSource database) {
        this.database = database;
    }

    /** As JSON, a list of rows for each table by its name; empty when there is no such person. */
    public Optional<String> of(long personId) {
        try (Connection connection = database.getConnection()) {
            ObjectNode held = JSON.createObjectNode();
            ArrayNode person = rows(connection, "SELECT * FROM person WHERE id = ?", personId);
            if (person.isEmpty()) {
                return Optional.empty();
            }
            held.set(PERSON, person);
            for (Map.Entry<String, List<String>> table : pointing(connection).entrySet()) {
                String either = String.join(" OR ", table.getValue().stream().map(column -> '"' + column + "\" = ?").toList());
                ArrayNode rows = rows(connection, "SELECT * FROM " + table.getKey() + " WHERE " + either, table.getValue().stream().map(any -> (Object) personId).toArray());
                if (!rows.isEmpty()) {
                    held.set(table.getKey(), rows);
                }
            }
            held.set("journal_entry", rows(connection, JOURNAL, "%" + person.get(0).get("reference").asText() + "%"));
            return Optional.of(held.toPrettyString());
        } catch (SQLException failed) {
            throw new IllegalStateException("what is held about a person could not be read: " + failed.getMessage(), failed);
        }
    }

    /** The columns that have the number of a person, by their table. */
    static Map<String, List<String>> pointing(Connection connection) throws SQLException {
        Map<String, List<String>> pointing = new TreeMap<>();
        try (ResultSet columns = connection.getMetaData().getColumns(null, "public", "%", "%")) {
            while (columns.next()) {
                String name = columns.getString("COLUMN_NAME").toLowerCase(Locale.ROOT);
                if (columns.getInt("DATA_TYPE") == Types.BIGINT && POINTS_TO_PERSON.matcher(name).matches()) {
                    pointing.computeIfAbsent(columns.getString("TABLE_NAME").toLowerCase(Locale.ROOT), any -> new ArrayList<>()).add(name);
                }
            }
        }
        return pointing;
    }

    private static ArrayNode rows(Connection connection, String sql, Object... parameters) throws SQLException {
        ArrayNode rows = JSON.createArrayNode();
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            for (int i = 0; i < parameters.length; i++) {
                select.setObject(i + 1, parameters[i]);
            }
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    rows.add(row(row));
                }
            }
        }
        return rows;
    }

    private static ObjectNode row(ResultSet row) throws SQLException {
        ObjectNode node = JSON.createObjectNode();
        ResultSetMetaData columns = row.getMetaData();
        for (int i = 1; i <= columns.getColumnCount(); i++) {
            String name = columns.getColumnName(i).toLowerCase(Locale.ROOT);
            Object value = row.getObject(i);
            if (value == null || value instanceof byte[] || SECRET.matcher(name).matches()) {
                continue;
            }
            if (value instanceof Boolean truth) {
                node.put(name, truth);
            } else if (value instanceof Long || value instanceof Integer) {
                node.put(name, ((Number) value).longValue());
            } else if (value instanceof java.sql.Timestamp || value instanceof OffsetDateTime) {
                node.put(name, row.getObject(i, OffsetDateTime.class).toInstant().toString());
            } else {
                node.put(name, LINK.matcher(row.getString(i)).replaceAll("$1(link)"));
            }
        }
        return node;
    }
}
