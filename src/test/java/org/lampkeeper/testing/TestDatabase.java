package org.lampkeeper.testing;

import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.Map;
import java.util.Properties;

import org.flywaydb.core.Flyway;

import org.lampkeeper.register.AnyDatabaseDriver;
import org.lampkeeper.register.SchemaDialect;

/** One database of one test. Closing it throws an H2 database away; a PostgreSQL one goes with its server at the end of the JVM. */
public record TestDatabase(String url, String user, String password) implements AutoCloseable {

    public boolean isPostgresql() {
        return AnyDatabaseDriver.isPostgresql(url);
    }

    /** A connection of its own each time, committing each statement until told otherwise. */
    public Connection connect() throws SQLException {
        Properties login = new Properties();
        login.setProperty("user", user);
        login.setProperty("password", password);
        return new AnyDatabaseDriver().connect(url, login);
    }

    /** Applies what is missing and returns how many migrations that were. */
    public int migrate() {
        return Flyway.configure()
                .dataSource(url, user, password)
                .placeholders(SchemaDialect.placeholdersFor(url))
                .load()
                .migrate().migrationsExecuted;
    }

    /** Runs one statement in a transaction of its own; returns the number of rows changed. */
    public int run(String sql) throws SQLException {
        try (Connection connection = connect(); Statement statement = connection.createStatement()) {
            return statement.executeUpdate(sql);
        }
    }

    /** The first column of the first row. */
    public Object ask(String sql) throws SQLException {
        try (Connection connection = connect();
                Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery(sql)) {
            if (!rows.next()) {
                throw new IllegalStateException("no row from: " + sql);
            }
            return rows.getObject(1);
        }
    }

    /** What points Quarkus at this database. */
    public Map<String, String> asQuarkusConfiguration() {
        return Map.of(
                "quarkus.datasource.jdbc.url", url,
                "quarkus.datasource.username", user,
                "quarkus.datasource.password", password);
    }

    @Override
    public void close() throws SQLException {
        if (!isPostgresql()) {
            run("SHUTDOWN");
        }
    }

    @Override
    public String toString() {
        return isPostgresql() ? "PostgreSQL" : "H2";
    }
}
