package org.lampkeeper.upkeep;

import java.sql.Connection;
import java.sql.DatabaseMetaData;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.sql.Types;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;

import org.jspecify.annotations.Nullable;

/**
 * Copies every row of one database of ours into another that has the same tables. Works in the transactions of the connections that it is
 * given and commits nothing.
 */
final class TableCopy {

    private static final int ROWS_AT_ONCE = 500;

    /** What says how far the tables themselves have come, and the calendar's own tables, which are filled anew at each start. */
    private static final String MIGRATIONS = "flyway_schema_history";
    private static final String CALENDAR = "qrtz_";

    private static final String NEWEST_MIGRATION = "SELECT MAX(\"installed_rank\") FROM \"" + MIGRATIONS + "\" WHERE \"success\" AND \"version\" IS NOT NULL";
    private static final String VERSION = "SELECT \"version\" FROM \"" + MIGRATIONS + "\" WHERE \"installed_rank\" = ?";

    private static final String SEQUENCES = "SELECT sequence_name FROM information_schema.sequences WHERE sequence_schema = 'public'";
    private static final String NEXT_IN_H2 = "SELECT base_value FROM information_schema.sequences WHERE sequence_schema = 'public' AND sequence_name = ?";

    private final Connection from;
    private final Connection to;

    TableCopy(Connection from, Connection to) {
        this.from = from;
        this.to = to;
    }

    /** The version that the tables of a database are of. */
    static String version(Connection connection) throws SQLException {
        try (PreparedStatement newest = connection.prepareStatement(NEWEST_MIGRATION); ResultSet rank = newest.executeQuery()) {
            rank.next();
            try (PreparedStatement select = connection.prepareStatement(VERSION)) {
                select.setLong(1, rank.getLong(1));
                try (ResultSet row = select.executeQuery()) {
                    return row.next() ? row.getString(1) : "none";
                }
            }
        }
    }

    /**
     * Whatever is in the other one is taken out first.
     *
     * @return how many rows of each table were copied, each counted on the other side
     * @throws SQLException also when a table is missing there, or has other columns
     */
    Map<String, Long> copy() throws SQLException {
        List<String> order = order(tables(to));
        List<String> backwards = new ArrayList<>(order);
        Collections.reverse(backwards);
        for (String table : backwards) {
            run("DELETE FROM " + table);
        }
        Map<String, Long> rows = new TreeMap<>();
        for (String table : order) {
            long copied = copy(table);
            long there = count(to, table);
            if (copied != there || copied != count(from, table)) {
                throw new SQLException("table " + table + ": " + copied + " rows were copied, and " + there + " are there");
            }
            rows.put(table, copied);
        }
        sequences();
        return rows;
    }

    private static Set<String> tables(Connection connection) throws SQLException {
        Set<String> tables = new TreeSet<>();
        try (ResultSet rows = connection.getMetaData().getTables(null, "public", "%", new String[] {"TABLE", "BASE TABLE"})) {
            while (rows.next()) {
                String name = rows.getString("TABLE_NAME").toLowerCase(Locale.ROOT);
                if (!name.equals(MIGRATIONS) && !name.startsWith(CALENDAR)) {
                    tables.add(name);
                }
            }
        }
        return tables;
    }

    /** Each after those that it points to. */
    private List<String> order(Set<String> tables) throws SQLException {
        Map<String, Set<String>> needs = new HashMap<>();
        DatabaseMetaData metaData = to.getMetaData();
        for (String table : tables) {
            Set<String> others = new TreeSet<>();
            try (ResultSet keys = metaData.getImportedKeys(null, "public", table)) {
                while (keys.next()) {
                    others.add(keys.getString("PKTABLE_NAME"));
                }
            }
            others.remove(table);
            needs.put(table, others);
        }
        Set<String> done = new LinkedHashSet<>();
        while (done.size() < tables.size()) {
            int before = done.size();
            tables.stream().filter(table -> !done.contains(table) && done.containsAll(needs.get(table))).forEach(done::add);
            if (done.size() == before) {
                throw new SQLException("tables point to each other in a circle: " + tables.stream().filter(table -> !done.contains(table)).toList());
            }
        }
        return List.copyOf(done);
    }

    private long copy(String table) throws SQLException {
        Map<String, Integer> columns = columns(table);
        String names = String.join(", ", columns.keySet().stream().map(name -> '"' + name + '"').toList());
        String places = String.join(", ", columns.keySet().stream().map(name -> "?").toList());
        List<Integer> types = List.copyOf(columns.values());
        long copied = 0;
        try (Statement select = from.createStatement(); PreparedStatement insert = to.prepareStatement("INSERT INTO " + table + " (" + names + ") VALUES (" + places + ")")) {
            select.setFetchSize(ROWS_AT_ONCE);
            try (ResultSet row = select.executeQuery("SELECT " + names + " FROM " + table + primaryKey(table))) {
                while (row.next()) {
                    for (int i = 1; i <= types.size(); i++) {
                        insert.setObject(i, value(row, i, types.get(i - 1)), types.get(i - 1));
                    }
                    insert.addBatch();
                    if (++copied % ROWS_AT_ONCE == 0) {
                        insert.executeBatch();
                    }
                }
            }
            insert.executeBatch();
        }
        return copied;
    }

    private static @Nullable Object value(ResultSet row, int column, int type) throws SQLException {
        return switch (type) {
            case Types.BINARY, Types.VARBINARY, Types.LONGVARBINARY, Types.BLOB -> row.getBytes(column);
            case Types.CHAR, Types.VARCHAR, Types.LONGVARCHAR, Types.CLOB -> row.getString(column);
            case Types.TIMESTAMP_WITH_TIMEZONE -> row.getObject(column, OffsetDateTime.class);
            case Types.DATE -> row.getObject(column, LocalDate.class);
            default -> row.getObject(column);
        };
    }

    /** Without those that the database works out itself; with the types of JDBC that both understand. */
    private Map<String, Integer> columns(String table) throws SQLException {
        Map<String, Integer> columns = new LinkedHashMap<>();
        try (ResultSet rows = to.getMetaData().getColumns(null, "public", table, "%")) {
            while (rows.next()) {
                if (!"YES".equals(rows.getString("IS_GENERATEDCOLUMN"))) {
                    columns.put(rows.getString("COLUMN_NAME"), type(rows.getInt("DATA_TYPE"), rows.getString("TYPE_NAME")));
                }
            }
        }
        return columns;
    }

    /** PostgreSQL's driver calls a time with a zone a timestamp, and a truth value a bit. */
    private static int type(int type, String name) {
        if (name.equalsIgnoreCase("timestamptz")) {
            return Types.TIMESTAMP_WITH_TIMEZONE;
        }
        return type == Types.BIT ? Types.BOOLEAN : type == Types.CLOB ? Types.VARCHAR : type == Types.BLOB ? Types.VARBINARY : type;
    }

    /** A row that points to another of its own table comes after it. */
    private String primaryKey(String table) throws SQLException {
        Map<Integer, String> columns = new TreeMap<>();
        try (ResultSet rows = to.getMetaData().getPrimaryKeys(null, "public", table)) {
            while (rows.next()) {
                columns.put((int) rows.getShort("KEY_SEQ"), '"' + rows.getString("COLUMN_NAME") + '"');
            }
        }
        return columns.isEmpty() ? "" : " ORDER BY " + String.join(", ", columns.values());
    }

    private void sequences() throws SQLException {
        List<String> names = new ArrayList<>();
        try (Statement select = to.createStatement(); ResultSet rows = select.executeQuery(SEQUENCES)) {
            while (rows.next()) {
                names.add(rows.getString(1));
            }
        }
        for (String name : names) {
            try (PreparedStatement next = from.prepareStatement(NEXT_IN_H2)) {
                next.setString(1, name);
                try (ResultSet row = next.executeQuery()) {
                    if (!row.next()) {
                        throw new SQLException("the backup has no sequence " + name);
                    }
                    run("ALTER SEQUENCE " + name + " RESTART WITH " + row.getLong(1));
                }
            }
        }
    }

    private static long count(Connection connection, String table) throws SQLException {
        try (Statement select = connection.createStatement(); ResultSet row = select.executeQuery("SELECT COUNT(*) FROM " + table)) {
            row.next();
            return row.getLong(1);
        }
    }

    private void run(String sql) throws SQLException {
        try (Statement statement = to.createStatement()) {
            statement.executeUpdate(sql);
        }
    }
}
