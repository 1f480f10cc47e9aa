package org.lampkeeper.register;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.concurrent.atomic.AtomicInteger;

import io.zonky.test.db.postgres.embedded.EmbeddedPostgres;
import org.flywaydb.core.Flyway;

/** Both databases with our schema and nothing else in them, for tests of SQL that need no running application. */
public enum MigratedDatabase {
    H2 {
        @Override
        String newUrl() {
            String url = "jdbc:h2:mem:migrated" + NUMBER.incrementAndGet()
                    + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH;DB_CLOSE_DELAY=-1";
            migrate(url);
            return url;
        }
    },
    POSTGRESQL {
        @Override
        String newUrl() throws SQLException {
            String name = "migrated" + NUMBER.incrementAndGet();
            Server.RUNNING.copyTemplate(name);
            return Server.RUNNING.url(name);
        }
    };

    private static final AtomicInteger NUMBER = new AtomicInteger();

    abstract String newUrl() throws SQLException;

    /** A new database; each call gives another, so that tests cannot disturb each other. */
    public Database create() {
        try {
            return new Database(newUrl());
        } catch (SQLException failed) {
            throw new IllegalStateException("no " + this + " database for the test", failed);
        }
    }

    private static void migrate(String url) {
        Flyway.configure().dataSource(url, "postgres", "").placeholders(SchemaDialect.placeholdersFor(url)).load().migrate();
    }

    /** Work on one connection, in one transaction. */
    public interface Work<T> {
        T on(Connection connection) throws SQLException;
    }

    /** One empty database under our schema. */
    public record Database(String url) {

        public Connection open() throws SQLException {
            return DriverManager.getConnection(url, "postgres", "");
        }

        /** Runs the work and commits it; rolls back when it fails. */
        public <T> T inTransaction(Work<T> work) {
            try (Connection connection = open()) {
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

        public int update(String sql) {
            return inTransaction(connection -> {
                try (Statement statement = connection.createStatement()) {
                    return statement.executeUpdate(sql);
                }
            });
        }

        /** The first column of the first row, as text. */
        public String read(String sql) {
            return inTransaction(connection -> {
                try (Statement statement = connection.createStatement(); ResultSet row = statement.executeQuery(sql)) {
                    row.next();
                    return row.getString(1);
                }
            });
        }
    }

    /** One PostgreSQL for the whole run of the tests, with a migrated template that is copied for each of them. */
    private static final class Server {
        private static final Server RUNNING = new Server();

        private final EmbeddedPostgres postgres;

        private Server() {
            try {
                postgres = EmbeddedPostgres.builder().start();
            } catch (IOException failed) {
                throw new UncheckedIOException("PostgreSQL for the tests did not start", failed);
            }
            inServer("CREATE DATABASE template_of_ours");
            migrate(url("template_of_ours"));
        }

        private String url(String name) {
            return postgres.getJdbcUrl("postgres", name);
        }

        private void copyTemplate(String name) {
            inServer("CREATE DATABASE " + name + " TEMPLATE template_of_ours");
        }

        private synchronized void inServer(String sql) {
            try (Connection connection = DriverManager.getConnection(url("postgres"), "postgres", "");
                    Statement statement = connection.createStatement()) {
                statement.execute(sql);
            } catch (SQLException failed) {
                throw new IllegalStateException(sql, failed);
            }
        }
    }
}
