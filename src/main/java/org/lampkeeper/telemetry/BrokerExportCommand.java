package org.lampkeeper.telemetry;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Properties;

import org.eclipse.microprofile.config.Config;

import org.lampkeeper.register.AnyDatabaseDriver;
import org.lampkeeper.register.SensorLogin;

/**
 * {@code export-broker --to DIR}: writes an external broker's password file and access list and ends. It reads the register over one
 * plain connection and starts nothing of the service: no migration, no broker, no loop.
 */
public final class BrokerExportCommand {

    public static final String NAME = "export-broker";
    public static final String USAGE = NAME + " --to DIR";

    private static final int DONE = 0;
    private static final int FAILED = 1;
    // As shells and getopt programs do: 2 for a command that was not understood.
    private static final int MISUSED = 2;
    /** H2: the file is open in another process. */
    private static final int H2_DATABASE_ALREADY_OPEN = 90020;

    private final Config config;
    private final PrintStream out;
    private final PrintStream err;

    public BrokerExportCommand(Config config, PrintStream out, PrintStream err) {
        this.config = config;
        this.out = out;
        this.err = err;
    }

    /** What the process should exit with. {@code arguments}: those after the command's name. */
    public int run(List<String> arguments) {
        if (arguments.size() != 2 || !arguments.get(0).equals("--to") || arguments.get(1).isBlank()) {
            err.println(NAME + ": " + (arguments.isEmpty() ? "no directory" : String.join(" ", arguments)) + ", must be: " + USAGE);
            return MISUSED;
        }
        Optional<String> password = config.getOptionalValue("lampkeeper.broker.password", String.class);
        if (password.isEmpty()) {
            err.println(NAME + ": lampkeeper.broker.password is missing; it is the password with which Lampkeeper will log in at the broker,"
                    + " and its hash goes into the password file. Set LAMPKEEPER_BROKER_PASSWORD");
            return MISUSED;
        }
        String username = config.getOptionalValue("lampkeeper.broker.username", String.class).orElse(BrokerConfig.DEFAULT_USERNAME);
        Path directory = Path.of(arguments.get(1));
        try {
            List<SensorLogin> sensors = sensorsInUse();
            BrokerExport.write(sensors, new IngestLogin(username, password.get()),
                    config.getOptionalValue("lampkeeper.broker.watcher-password", String.class), directory);
            out.println(sensors.size() + " sensors and " + username + " written to " + directory.resolve(BrokerExport.PASSWORDS) + " and "
                    + directory.resolve(BrokerExport.ACCESS) + "; now let the broker read them again (Mosquitto: SIGHUP)");
            return DONE;
        } catch (SQLException e) {
            err.println(NAME + ": the register at " + url() + " cannot be read: " + (e.getErrorCode() == H2_DATABASE_ALREADY_OPEN
                    ? "the service has this file open; stop it for the export, or keep the register in PostgreSQL"
                    : e.getMessage() + "; has the service been started on it once?"));
            return FAILED;
        } catch (IOException | IllegalStateException e) {
            err.println(NAME + ": " + directory.toAbsolutePath() + ": " + e.getMessage());
            return FAILED;
        }
    }

    private String url() {
        return config.getValue("quarkus.datasource.jdbc.url", String.class);
    }

    private static final String SENSORS_IN_USE = """
            SELECT device_id, secret_hash
            FROM sensor
            WHERE retired_at IS NULL
            ORDER BY device_id""";

    private List<SensorLogin> sensorsInUse() throws SQLException {
        Properties login = new Properties();
        config.getOptionalValue("quarkus.datasource.username", String.class).ifPresent(user -> login.setProperty("user", user));
        config.getOptionalValue("quarkus.datasource.password", String.class).ifPresent(password -> login.setProperty("password", password));
        List<SensorLogin> sensors = new ArrayList<>();
        // IFEXISTS: a mistyped path is an error, not a new and empty register.
        String url = AnyDatabaseDriver.isPostgresql(url()) ? url() : url() + ";IFEXISTS=TRUE";
        try (Connection connection = new AnyDatabaseDriver().connect(url, login);
                PreparedStatement statement = connection.prepareStatement(SENSORS_IN_USE);
                ResultSet rows = statement.executeQuery()) {
            while (rows.next()) {
                sensors.add(new SensorLogin(rows.getString(1), rows.getString(2)));
            }
        }
        return sensors;
    }
}
