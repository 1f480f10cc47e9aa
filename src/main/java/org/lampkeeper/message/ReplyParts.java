package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;


/** Puts together what a network hands over in parts, which may come in any order, more than once, and to several instances. */
@ApplicationScoped
class ReplyParts {

    /** Ours: parts follow each other within seconds, a repeat within minutes; later the same reference is another text's. */
    private static final Duration INCOMPLETE = Duration.ofHours(1);

    private static final String DROP_OLD = "DELETE FROM reply_part WHERE heard_at < ?";

    private static final String DROP_ONE = "DELETE FROM reply_part WHERE channel = ? AND sender = ? AND reference = ? AND of_parts = ? AND number = ?";

    private static final String KEEP = """
            INSERT INTO reply_part (channel, sender, reference, of_parts, number, text, heard_at) VALUES (?, ?, ?, ?, ?, ?, ?)""";

    private static final String LOCK_ALL = """
            SELECT p.text FROM reply_part p WHERE p.channel = ? AND p.sender = ? AND p.reference = ? AND p.of_parts = ? ORDER BY p.number FOR UPDATE""";

    private static final String DROP_ALL = "DELETE FROM reply_part WHERE channel = ? AND sender = ? AND reference = ? AND of_parts = ?";

    private final Database database;
    private final Replies replies;
    private final Clock clock;

    ReplyParts(Database database, Replies replies, Clock clock) {
        this.database = database;
        this.replies = replies;
        this.clock = clock;
    }

    private void inTransaction(Database.Step step) {
        database.runInNew("a reply could not be stored", step);
    }

    /**
     * Returns once it is stored, and, where it is whole now, all that follows from it.
     *
     * @param sender  as the network wrote it
     * @param senders as for {@link Replies#heard}
     * @param heard   empty for what is no text
     */
    void heard(String channel, String sender, List<String> senders, Optional<HeardText> heard) {
        Optional<HeardText.Part> found = heard.flatMap(HeardText::part);
        if (found.isEmpty()) {
            replies.heard(channel, senders, heard.map(HeardText::text));
            return;
        }
        HeardText.Part part = found.get();
        Object[] key = {channel, sender, part.reference(), part.count()};
        inTransaction(connection -> keep(connection, key, part.number(), heard.get().text()));
        // In a transaction of its own: of two that bring the last parts at once, the later sees all, and what is done is done once.
        inTransaction(connection -> {
            StringBuilder whole = new StringBuilder();
            int there = 0;
            try (PreparedStatement select = connection.prepareStatement(LOCK_ALL)) {
                set(select, key);
                try (ResultSet row = select.executeQuery()) {
                    while (row.next()) {
                        whole.append(row.getString(1));
                        there++;
                    }
                }
            }
            if (there == part.count()) {
                run(connection, DROP_ALL, key);
                replies.heard(channel, senders, Optional.of(whole.toString()));
            }
        });
    }

    private void keep(Connection connection, Object[] key, int number, String text) throws SQLException {
        OffsetDateTime now = clock.instant().atOffset(ZoneOffset.UTC);
        run(connection, DROP_OLD, now.minus(INCOMPLETE));
        run(connection, DROP_ONE, key[0], key[1], key[2], key[3], number);
        run(connection, KEEP, key[0], key[1], key[2], key[3], number, text, now);
    }

    private static void run(Connection connection, String sql, Object... arguments) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            set(statement, arguments);
            statement.executeUpdate();
        }
    }

    private static void set(PreparedStatement statement, Object... arguments) throws SQLException {
        for (int i = 0; i < arguments.length; i++) {
            statement.setObject(i + 1, arguments[i]);
        }
    }
}
