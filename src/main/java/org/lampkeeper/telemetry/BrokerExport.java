package org.lampkeeper.telemetry;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.register.SensorLogin;
import org.lampkeeper.register.SensorSecrets;

/**
 * The password file and the access list of an external Mosquitto, from the register: the same rule as at the broker of our own. Each file
 * is replaced as a whole, so that a broker that reads it at any moment sees the old one or the new one.
 */
final class BrokerExport {

    static final String PASSWORDS = "passwords";
    static final String ACCESS = "access";

    // Hashes of random 128-bit secrets, but one of them is a password that a person chose.
    private static final FileAttribute<?> OWNER_AND_GROUP =
            PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString("rw-r-----"));

    private BrokerExport() {
    }

    /**
     * @throws IllegalStateException when a device id would mean something else in these files than one sensor
     */
    static void write(List<SensorLogin> sensors, IngestLogin ingest, Optional<String> watcherPassword, Path directory) throws IOException {
        Files.createDirectories(directory);
        replace(directory.resolve(PASSWORDS), passwords(sensors, ingest, watcherPassword));
        replace(directory.resolve(ACCESS), access(ingest));
    }

    static String passwords(List<SensorLogin> sensors, IngestLogin ingest, Optional<String> watcherPassword) {
        StringBuilder lines = new StringBuilder(ingest.username() + ":" + SensorSecrets.hash(ingest.password()) + "\n");
        watcherPassword.ifPresent(password -> lines.append(BrokerTopics.WATCHER).append(':').append(SensorSecrets.hash(password)).append('\n'));
        for (SensorLogin sensor : sensors) {
            if (!BrokerTopics.isDeviceId(sensor.deviceId())) {
                throw new IllegalStateException("sensor '" + sensor.deviceId() + "': cannot log in at a broker under this id; it must be 1 to 64"
                        + " letters, digits, _ or -, not 'ingest', and not begin with " + BrokerTopics.OUR_NAMES);
            }
            lines.append(sensor.deviceId()).append(':').append(sensor.secretHash()).append('\n');
        }
        return lines.toString();
    }

    static String access(IngestLogin ingest) {
        StringBuilder lines = new StringBuilder("# Each sensor writes its own topics and reads none.\n");
        BrokerTopics.writableBy("SENSOR").forEach(topic ->
                lines.append("pattern write ").append(topic.replace("SENSOR", "%u")).append('\n'));
        lines.append("\n# Lampkeeper reads all of them; a shared subscription is checked by the topics behind its group.\n");
        lines.append("user ").append(ingest.username()).append('\n');
        lines.append("topic read ").append(BrokerTopics.ROOT).append("#\n");
        lines.append("topic readwrite ").append(BrokerTopics.INGEST).append("#\n");
        lines.append("topic write ").append(Topics.HEARTBEAT).append('\n');
        lines.append("topic read $SYS/#\n");
        lines.append("\n# Whoever watches Lampkeeper from outside reads its heartbeat.\n");
        lines.append("user ").append(BrokerTopics.WATCHER).append('\n');
        lines.append("topic read ").append(Topics.HEARTBEAT).append('\n');
        return lines.toString();
    }

    private static void replace(Path file, String content) throws IOException {
        Path next = file.resolveSibling(file.getFileName() + ".new");
        Files.deleteIfExists(next);
        Files.createFile(next, OWNER_AND_GROUP);
        Files.write(next, content.getBytes(StandardCharsets.UTF_8));
        Files.move(next, file, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    }
}
