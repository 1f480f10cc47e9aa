package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneOffset;

/** Rows of one kind that are of no use after a while. Each bean of this type is asked every night ({@link RetentionConfig}); the journal is none. */
public interface Retained {

    /** For the log and as the tag of a figure, such as {@code temperatures}. */
    String what();

    /**
     * Removes rows that are too old at {@code now}, the oldest first, in the transaction of {@code connection}.
     *
     * @param most   how many at most, 1 or more; rows of the very same age may go together
     * @return how many were removed; fewer than {@code most}: there are no more
     */
    int removeOld(Connection connection, Instant now, int most) throws SQLException;

    /** Runs a statement that removes a batch. {@code before}: its moments, in order; its limit comes after them. */
    static int remove(Connection connection, String statement, int most, Instant... before) throws SQLException {
        try (PreparedStatement remove = connection.prepareStatement(statement)) {
            for (int i = 0; i < before.length; i++) {
                remove.setObject(i + 1, before[i].atOffset(ZoneOffset.UTC));
            }
            remove.setInt(before.length + 1, most);
            return remove.executeUpdate();
        }
    }
}
