package org.lampkeeper.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.Properties;
import java.util.UUID;

import io.zonky.test.db.postgres.embedded.EmbeddedPostgres;

import org.lampkeeper.register.AnyDatabaseDriver;

/**
 * PostgreSQL 17 for tests: one server in the JVM, started when first asked for, and a database of its own for each caller. It does not
 * call fsync; what is about durability or speed starts its own with {@link #startDurable()}.
 */
public final class TestPostgres {

    // Kept in a system property because Quarkus loads this class again in class loaders of its own: a static field would start a server each.
    private static final String PORT = "lampkeeper.testing.postgres.port";
    private static final String TEMPLATE = "lampkeeper.testing.postgres.template";
    private static final String USER = "postgres";

    private TestPostgres() {
    }

    /** A database without any table. */
    public static TestDatabase emptyDatabase() {
        return create("");
    }

    /** A database with all migrations applied, copied from one that was migrated before: some 50 ms. */
    public static TestDatabase migratedDatabase() {
        synchronized (System.getProperties()) {
            if (System.getProperty(TEMPLATE) == null) {
                TestDatabase template = emptyDatabase();
                template.migrate();
                System.setProperty(TEMPLATE, template.url().replaceAll(".*/", ""));
            }
        }
        return create(" TEMPLATE " + System.getProperty(TEMPLATE));
    }

    /** A server that keeps what it has committed, over a kill and over a loss of power. The caller closes it. */
    public static EmbeddedPostgres startDurable() {
        return start(durable());
    }

    /** The same on a directory and a port of the caller's: what was closed there before goes on with what it had. */
    public static EmbeddedPostgres startDurable(Path dataDirectory, int port) {
        return start(durable().setDataDirectory(dataDirectory).setCleanDataDirectory(false).setPort(port));
    }

    private static EmbeddedPostgres.Builder durable() {
        return EmbeddedPostgres.builder()
                .setServerConfig("fsync", "on")
                .setServerConfig("full_page_writes", "on")
                .setServerConfig("synchronous_commit", "on");
    }

    /** The default database of a server that the caller has started. */
    public static TestDatabase of(EmbeddedPostgres server) {
        return new TestDatabase(url(server.getPort(), "postgres"), USER, "");
    }

    private static TestDatabase create(String how) {
        String name = "t_" + UUID.randomUUID().toString().replace("-", "");
        Properties login = new Properties();
        login.setProperty("user", USER);
        try (Connection connection = new AnyDatabaseDriver().connect(url(port(), "postgres"), login);
                Statement statement = connection.createStatement()) {
            statement.execute("CREATE DATABASE " + name + how);
        } catch (SQLException broken) {
            throw new IllegalStateException("no database for a test", broken);
        }
        return new TestDatabase(url(port(), name), USER, "");
    }

    private static int port() {
        synchronized (System.getProperties()) {
            Integer running = Integer.getInteger(PORT);
            if (running == null) {
                running = start(EmbeddedPostgres.builder()).getPort();
                System.setProperty(PORT, running.toString());
            }
            return running;
        }
    }

    private static EmbeddedPostgres start(EmbeddedPostgres.Builder builder) {
        try {
            return builder.start();
        } catch (IOException broken) {
            throw new UncheckedIOException("PostgreSQL for tests did not start", broken);
        }
    }

    private static String url(int port, String database) {
        return "jdbc:postgresql://localhost:" + port + "/" + database;
    }
}
