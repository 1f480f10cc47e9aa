package org.lampkeeper.proof;

import java.io.IOException;
import java.net.URI;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.testing.MosquittoServer;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.TestInstallation;
import org.lampkeeper.testing.TestPostgres;

/** One way to run the service: its database and its broker, set up as the manual says, and a service on them that is not started yet. */
record Surroundings(ServiceProcess service, TestDatabase database, Optional<MosquittoServer> mosquitto) implements AutoCloseable {

    private static final String INGEST_PASSWORD = "ingest-password-of-the-tests";

    /** By what it is called in a test's name. */
    enum Database {
        H2, POSTGRESQL
    }

    /** By what it is called in a test's name. */
    enum BrokerKind {
        EMBEDDED, MOSQUITTO
    }

    /** Leases and pauses shortened, so that what is repeated after a kill is repeated within seconds. */
    static ServiceProcess impatient(ServiceProcess service) {
        return service
                .with("lampkeeper.ingest.lease", "4s").with("lampkeeper.ingest.tick", "500ms").with("lampkeeper.ingest.longest-pause", "1s")
                .with("lampkeeper.mail.timeout", "3s").with("lampkeeper.message.lease", "5s").with("lampkeeper.message.poll", "200ms")
                .with("lampkeeper.watch.outage-after", "10m").with("lampkeeper.journal.lease", "2s");
    }

    static Surroundings of(String name, Database database, BrokerKind broker, TestInstallation installation) throws Exception {
        return of(name, database == Database.POSTGRESQL ? Optional.of(TestPostgres.emptyDatabase()) : Optional.empty(), broker, installation);
    }

    static Surroundings of(String name, Optional<TestDatabase> postgresql, BrokerKind broker, TestInstallation installation)
            throws Exception {
        Path directory = ServiceProcess.freshDirectory(name);
        ServiceProcess service = impatient(ServiceProcess.in(directory));
        installation(service, installation.write(directory));
        postgresql.ifPresent(service::on);
        TestDatabase database = postgresql.orElseGet(service::h2File);
        if (broker == BrokerKind.EMBEDDED) {
            return new Surroundings(service, database, Optional.empty());
        }
        MosquittoServer mosquitto = mosquittoFor(service);
        service.at(mosquitto.uri());
        return new Surroundings(service, database, Optional.of(mosquitto));
    }

    static void installation(ServiceProcess service, Path file) {
        service.with("lampkeeper.demo", true).with("lampkeeper.demo.play", false).with("lampkeeper.demo.installation", file);
    }

    /** The register is filled by a start that listens to nobody, exported as the manual says, and Mosquitto started on what came out. */
    private static MosquittoServer mosquittoFor(ServiceProcess service) throws IOException, InterruptedException {
        Path exported = service.directory().resolve("mosquitto");
        service.with("lampkeeper.broker.password", INGEST_PASSWORD);
        service.at(URI.create("tcp://127.0.0.1:1")).with("lampkeeper.service.loops", false).start();
        service.stop();
        int exit = service.command("export-broker", "--to", exported.toString());
        if (exit != 0) {
            throw new IllegalStateException("export-broker ended with " + exit + ":\n" + service.logTail());
        }
        service.with("lampkeeper.service.loops", true);
        return MosquittoServer.start(exported);
    }

    /** Where sensors connect. */
    URI broker() {
        return mosquitto.map(MosquittoServer::uri).orElseGet(service::embeddedBroker);
    }

    SensorClient sensor(int cabinet) {
        return new SensorClient(broker(), service.sensors().stream()
                .filter(login -> login.deviceId().equals(TestInstallation.device(cabinet))).findFirst().orElseThrow());
    }

    /** A number from the database. The H2 file belongs to the service while that runs. */
    long count(String sql) throws SQLException {
        return ((Number) database.ask(sql)).longValue();
    }

    /** A word and a number of each row. The H2 file belongs to the service while that runs. */
    Map<String, Long> numbers(String sql) throws SQLException {
        Map<String, Long> found = new HashMap<>();
        try (Connection connection = database.connect(); Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery(sql)) {
            while (rows.next()) {
                found.put(rows.getString(1), rows.getLong(2));
            }
        }
        return found;
    }

    /** Two words of each row; of rows with the same first word, one. */
    Map<String, String> texts(String sql) throws SQLException {
        Map<String, String> found = new HashMap<>();
        try (Connection connection = database.connect(); Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery(sql)) {
            while (rows.next()) {
                found.put(rows.getString(1), rows.getString(2));
            }
        }
        return found;
    }

    /** Generous, for a busy machine: what does not come in this time does not come. */
    static Duration patience() {
        return Duration.ofMinutes(2);
    }

    @Override
    public void close() {
        service.close();
        mosquitto.ifPresent(MosquittoServer::close);
    }
}
