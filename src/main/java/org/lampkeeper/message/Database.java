package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;

import javax.sql.DataSource;

import jakarta.inject.Singleton;

import io.quarkus.narayana.jta.QuarkusTransaction;

/**
 * A connection for the time of one piece of work, in the caller's transaction or in a new one of its own. What the database refuses is an
 * {@link IllegalStateException} that says, in {@code failure}, what could not be done; a new transaction is rolled back then.
 */
@Singleton
class Database {

    private final DataSource source;

    Database(DataSource source) {
        this.source = source;
    }

    interface Work<T> {
        T on(Connection connection) throws SQLException;
    }

    interface Step {
        void on(Connection connection) throws SQLException;
    }

    <T> T get(String failure, Work<T> work) {
        try (Connection connection = source.getConnection()) {
            return work.on(connection);
        } catch (SQLException failed) {
            throw new IllegalStateException(failure, failed);
        }
    }

    void run(String failure, Step step) {
        get(failure, connection -> {
            step.on(connection);
            return true;
        });
    }

    <T> T getInNew(String failure, Work<T> work) {
        return QuarkusTransaction.requiringNew().call(() -> get(failure, work));
    }

    void runInNew(String failure, Step step) {
        QuarkusTransaction.requiringNew().run(() -> run(failure, step));
    }
}
