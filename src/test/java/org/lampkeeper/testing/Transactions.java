package org.lampkeeper.testing;

import java.sql.Connection;
import java.sql.SQLException;

/** Transactions of a test that has a database and no application. */
public final class Transactions {

    private Transactions() {
    }

    /** What is done on one connection between begin and commit. */
    public interface Work<T> {
        T on(Connection connection) throws SQLException;
    }

    /** Runs the work and commits it; rolls back when it fails. */
    public static <T> T in(TestDatabase database, Work<T> work) {
        try (Connection connection = database.connect()) {
            connection.setAutoCommit(false);
            try {
                T result = work.on(connection);
                connection.commit();
                return result;
            } catch (SQLException | RuntimeException failed) {
                connection.rollback();
                throw failed;
            }
        } catch (SQLException failed) {
            throw new IllegalStateException("transaction of the test failed", failed);
        }
    }
}
