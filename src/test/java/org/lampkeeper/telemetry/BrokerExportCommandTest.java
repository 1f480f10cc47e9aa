package org.lampkeeper.telemetry;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import io.smallrye.config.SmallRyeConfigBuilder;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.SensorLogin;
import org.lampkeeper.register.SensorSecrets;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class BrokerExportCommandTest {

    private static final IngestLogin INGEST = new IngestLogin("lampkeeper-ingest", "ours");

    @TempDir
    Path directory;
    private final ByteArrayOutputStream out = new ByteArrayOutputStream();
    private final ByteArrayOutputStream err = new ByteArrayOutputStream();
    private final Map<String, String> settings = new HashMap<>();
    private String database;

    @BeforeEach
    void registerWithOneSensorInUse() throws SQLException {
        database = "jdbc:h2:file:" + directory.resolve("register") + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE";
        settings.putAll(Map.of("quarkus.datasource.jdbc.url", database, "quarkus.datasource.username", "sa",
                "quarkus.datasource.password", "", "lampkeeper.broker.password", "ours"));
        try (Connection connection = DriverManager.getConnection(database, "sa", ""); Statement statement = connection.createStatement()) {
            statement.execute("CREATE TABLE sensor (device_id VARCHAR, secret_hash VARCHAR, retired_at TIMESTAMP(6) WITH TIME ZONE)");
            statement.execute("INSERT INTO sensor VALUES ('s1', '" + SensorSecrets.hash("secret-s1") + "', NULL)");
            statement.execute("INSERT INTO sensor VALUES ('s2', '" + SensorSecrets.hash("secret-s2") + "', TIMESTAMP '2026-01-01 00:00:00')");
        }
    }

    private int run(String... arguments) {
        var config = new SmallRyeConfigBuilder().withDefaultValues(settings).build();
        return new BrokerExportCommand(config, new PrintStream(out, true), new PrintStream(err, true)).run(List.of(arguments));
    }

    private String said() {
        return out.toString(StandardCharsets.UTF_8) + err.toString(StandardCharsets.UTF_8);
    }

    @Test
    void sensorsInUseAndOurOwnLoginAreWritten() throws Exception {
        Path to = directory.resolve("export");

        assertThat(run("--to", to.toString())).isZero();

        List<String> passwords = Files.readAllLines(to.resolve("passwords"));
        assertThat(passwords).hasSize(2);
        assertThat(passwords.get(0)).startsWith("lampkeeper-ingest:$6$");
        assertThat(SensorSecrets.verify("ours", passwords.get(0).split(":")[1])).isTrue();
        assertThat(passwords.get(1)).startsWith("s1:$6$");
        assertThat(Files.readString(to.resolve("access"))).contains("pattern write lampkeeper/v1/%u/report\n")
                .contains("pattern write lampkeeper/v1/%u/link\n").contains("user lampkeeper-ingest\ntopic read lampkeeper/v1/#\n");
        assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(to.resolve("passwords")))).isEqualTo("rw-r-----");
        assertThat(said()).contains("1 sensors").doesNotContain("ours\n");
    }

    @Test
    void exportAfterARetirementReplacesTheFiles() throws Exception {
        Path to = directory.resolve("export");
        run("--to", to.toString());
        try (Connection connection = DriverManager.getConnection(database, "sa", ""); Statement statement = connection.createStatement()) {
            statement.execute("UPDATE sensor SET retired_at = TIMESTAMP '2026-01-01 00:00:00'");
        }

        assertThat(run("--to", to.toString())).isZero();

        assertThat(Files.readAllLines(to.resolve("passwords"))).singleElement().asString().startsWith("lampkeeper-ingest:");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "--to", "--into /tmp", "--to a b", "DIR"})
    void wrongArgumentsShowTheUsageAndWriteNothing(String arguments) {
        String[] split = arguments.isEmpty() ? new String[0] : arguments.split(" ");

        assertThat(run(split)).isEqualTo(2);

        assertThat(said()).contains("export-broker --to DIR");
    }

    @Test
    void missingPasswordIsNamed() {
        settings.remove("lampkeeper.broker.password");

        assertThat(run("--to", directory.toString())).isEqualTo(2);

        assertThat(said()).contains("lampkeeper.broker.password");
    }

    @Test
    void registerThatIsOpenInTheServiceSaysSo() throws Exception {
        settings.put("quarkus.datasource.jdbc.url", database.replace("register", "locked"));
        Process holder = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "-cp",
                System.getProperty("java.class.path"), Holder.class.getName(), database.replace("register", "locked")).start();
        try {
            assertThat(holder.getInputStream().read()).isEqualTo('!');

            assertThat(run("--to", directory.toString())).isEqualTo(1);

            assertThat(said()).contains("the service has this file open");
        } finally {
            holder.destroyForcibly().waitFor();
        }
    }

    /** Holds a database open until it is killed. */
    static final class Holder {

        public static void main(String... arguments) throws Exception {
            try (Connection held = DriverManager.getConnection(arguments[0], "sa", "")) {
                System.out.println(held.isClosed() ? "?" : "!");
                Thread.currentThread().join();
            }
        }
    }

    @Test
    void registerThatIsNotThereIsNotMade() {
        settings.put("quarkus.datasource.jdbc.url", database.replace("register", "mistyped"));

        assertThat(run("--to", directory.toString())).isEqualTo(1);

        assertThat(said()).contains("has the service been started on it once?");
        assertThat(directory.resolve("mistyped.mv.db")).doesNotExist();
    }

    @ParameterizedTest
    @ValueSource(strings = {"ingest", "lampkeeper-ingest-0", "+", "a/b", "a:b", "a\nb", ""})
    void deviceIdThatWouldMeanSomethingElseIsNotWritten(String deviceId) {
        List<SensorLogin> sensors = List.of(new SensorLogin(deviceId, "$6$x$y"));

        assertThatThrownBy(() -> BrokerExport.passwords(sensors, INGEST, Optional.empty())).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("'" + deviceId + "'");
    }
}
