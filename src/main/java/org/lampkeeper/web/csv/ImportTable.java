package org.lampkeeper.web.csv;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.Optional;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

/** The table of the files that were sent. Each verb takes part in the caller's transaction, or commits on its own where there is none. */
@ApplicationScoped
class ImportTable {

    private static final String NEXT_ID = "SELECT nextval('csv_import_seq')";

    private static final String ADD = """
            INSERT INTO csv_import (id, person_id, kind, file_name, content, state, sent_at, seen_at, all_rows, rows_done)
            VALUES (?, ?, ?, ?, ?, 'SEEN', ?, ?, ?, 0)""";

    private static final String FIND = """
            SELECT kind, file_name, content, state, seen_at, all_rows, rows_done, result, secrets_at FROM csv_import WHERE id = ? AND person_id = ?""";

    /** Whoever counts one row takes it; one that is being taken is free again when nobody has been seen at it. */
    private static final String CLAIM = """
            UPDATE csv_import SET state = 'TAKING', seen_at = ?, rows_done = 0
             WHERE id = ? AND (state = 'SEEN' OR (state = 'TAKING' AND seen_at < ?))""";

    private static final String GOES_ON = "UPDATE csv_import SET rows_done = ?, seen_at = ? WHERE id = ? AND state = 'TAKING'";

    private static final String END = "UPDATE csv_import SET state = ?, result = ?, seen_at = ? WHERE id = ? AND state = 'TAKING'";

    private static final String CLAIM_SECRETS = "UPDATE csv_import SET secrets_at = ? WHERE id = ? AND secrets_at IS NULL";

    /** By csv_import_by_sent_at. */
    private static final String FORGET = "DELETE FROM csv_import WHERE sent_at < ?";

    /** By csv_import_by_sent_at. */
    private static final String FORGET_SOME = """
            DELETE FROM csv_import WHERE id IN (SELECT i.id FROM csv_import i WHERE i.sent_at < ? ORDER BY i.sent_at LIMIT ?)""";

    private static final int LONGEST_NAME = 200;

    private final DataSource database;

    ImportTable(DataSource database) {
        this.database = database;
    }

    enum State {
        SEEN, TAKING, TAKEN, REFUSED
    }

    /** {@code seenAt}: when it last got on, while it is being taken. */
    record Run(long id, CsvKind kind, String fileName, String content, State state, Instant seenAt, int allRows, int rowsDone,
            Optional<String> result, Optional<Instant> secretsAt) {
    }

    long add(long personId, CsvKind kind, String fileName, String content, int rows, Instant now) {
        try (Connection connection = database.getConnection()) {
            long id;
            try (PreparedStatement next = connection.prepareStatement(NEXT_ID); ResultSet row = next.executeQuery()) {
                row.next();
                id = row.getLong(1);
            }
            String name = fileName.replaceAll("\\p{Cntrl}", " ");
            run(connection, ADD, id, personId, kind.name(), name.substring(0, Math.min(name.length(), LONGEST_NAME)), content, now, now,
                    rows);
            return id;
        } catch (SQLException e) {
            throw failed(e);
        }
    }

    Optional<Run> find(long id, long personId) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = connection.prepareStatement(FIND)) {
            bind(statement, id, personId);
            try (ResultSet row = statement.executeQuery()) {
                if (!row.next()) {
                    return Optional.empty();
                }
                return Optional.of(new Run(id, CsvKind.valueOf(row.getString("kind")), row.getString("file_name"), row.getString("content"),
                        State.valueOf(row.getString("state")), row.getObject("seen_at", OffsetDateTime.class).toInstant(),
                        row.getInt("all_rows"), row.getInt("rows_done"), Optional.ofNullable(row.getString("result")),
                        Optional.ofNullable(row.getObject("secrets_at", OffsetDateTime.class)).map(OffsetDateTime::toInstant)));
            }
        } catch (SQLException e) {
            throw failed(e);
        }
    }

    boolean claim(long id, Instant now, Instant goneBefore) {
        return run(CLAIM, now, id, goneBefore) == 1;
    }

    void goesOn(long id, int row, Instant now) {
        run(GOES_ON, row, now, id);
    }

    /** @throws IllegalStateException when somebody else has taken the file over: then nothing may be committed */
    void end(long id, State state, String result, Instant now) {
        if (run(END, state.name(), result, now, id) != 1) {
            throw new IllegalStateException("import " + id + " was taken over while it was being taken");
        }
    }

    boolean claimSecrets(long id, Instant now) {
        return run(CLAIM_SECRETS, now, id) == 1;
    }

    /** The oldest first, at most {@code most} of them; returns how many. */
    static int forgetBefore(Connection connection, Instant before, int most) throws SQLException {
        return run(connection, FORGET_SOME, before, most);
    }

    void forgetBefore(Instant before) {
        run(FORGET, before);
    }

    private int run(String sql, Object... values) {
        try (Connection connection = database.getConnection()) {
            return run(connection, sql, values);
        } catch (SQLException e) {
            throw failed(e);
        }
    }

    private static int run(Connection connection, String sql, Object... values) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            bind(statement, values);
            return statement.executeUpdate();
        }
    }

    private static void bind(PreparedStatement statement, Object... values) throws SQLException {
        for (int i = 0; i < values.length; i++) {
            statement.setObject(i + 1, values[i] instanceof Instant at ? at.atOffset(ZoneOffset.UTC) : values[i]);
        }
    }

    private static IllegalStateException failed(SQLException e) {
        return new IllegalStateException("the table of imports could not be used: " + e.getMessage(), e);
    }
}
