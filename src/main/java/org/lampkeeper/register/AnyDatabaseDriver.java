package org.lampkeeper.register;

import java.sql.Connection;
import java.sql.Driver;
import java.sql.DriverPropertyInfo;
import java.sql.SQLException;
import java.util.Locale;
import java.util.Optional;
import java.util.Properties;
import java.util.logging.Logger;
import java.util.regex.Pattern;

/**
 * One artifact, two databases: hands a JDBC URL to H2 or to PostgreSQL by how it begins, so that the URL alone decides at start.
 * A URL of any other kind is refused with the two that would be right.
 */
public final class AnyDatabaseDriver implements Driver {

    private static final String H2 = "jdbc:h2:";
    private static final String POSTGRESQL = "jdbc:postgresql:";
    private static final Pattern WRITE_DELAY = Pattern.compile("(?i);WRITE_DELAY=\\d*");

    /** Whether {@code url} names a PostgreSQL database. */
    public static boolean isPostgresql(String url) {
        return url.toLowerCase(Locale.ROOT).startsWith(POSTGRESQL);
    }

    private static Driver driverFor(String url) throws SQLException {
        String lower = url.toLowerCase(Locale.ROOT);
        if (lower.startsWith(POSTGRESQL)) {
            return new org.postgresql.Driver();
        }
        if (lower.startsWith(H2)) {
            return org.h2.Driver.load();
        }
        throw new SQLException("database URL begins with '" + lower.split(";")[0].replaceAll("//.*", "//…")
                + "', must begin with " + H2 + " or " + POSTGRESQL);
    }

    @Override
    public Connection connect(String url, Properties info) throws SQLException {
        return isPostgresql(url) ? driverFor(url).connect(url, plannedByTheMoment(info)) : writtenWhole(url, info);
    }

    /** When H2 would write by itself is this driver's to say: that setting is taken out of the URL. */
    private static Connection writtenWhole(String url, Properties info) throws SQLException {
        Connection connection = driverFor(url).connect(WRITE_DELAY.matcher(url).replaceAll(""), info);
        try {
            Optional<WholeFile> file = WholeFile.of(connection);
            return file.isPresent() ? WholeFileConnection.of(connection, file.get()) : connection;
        } catch (SQLException e) {
            connection.close();
            throw e;
        }
    }

    /**
     * A plan that was kept from when a table was nearly empty reads all of it, for minutes into a flood of alarms: each statement is
     * planned by what is there now. Options in the URL come before these.
     */
    private static Properties plannedByTheMoment(Properties info) {
        Properties settings = new Properties();
        settings.putAll(info);
        settings.putIfAbsent("options", "-c plan_cache_mode=force_custom_plan");
        return settings;
    }

    @Override
    public boolean acceptsURL(String url) {
        String lower = url.toLowerCase(Locale.ROOT);
        return lower.startsWith(H2) || lower.startsWith(POSTGRESQL);
    }

    @Override
    public DriverPropertyInfo[] getPropertyInfo(String url, Properties info) throws SQLException {
        return driverFor(url).getPropertyInfo(url, info);
    }

    @Override
    public int getMajorVersion() {
        return 1;
    }

    @Override
    public int getMinorVersion() {
        return 0;
    }

    @Override
    public boolean jdbcCompliant() {
        return false;
    }

    @Override
    public Logger getParentLogger() {
        return Logger.getLogger("org.lampkeeper.register");
    }
}
