package org.lampkeeper.simulator;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;

import org.awaitility.Awaitility;

/** Mosquitto on a free port, with the logins of some sensors, each of which may write only below its own name; or open to anybody. */
final class TestMosquitto implements AutoCloseable {

    private final Path folder;
    private final int port;
    private Process process;

    private TestMosquitto(Path folder, int port) {
        this.folder = folder;
        this.port = port;
    }

    static TestMosquitto open(Path folder) throws IOException {
        return started(folder, List.of("allow_anonymous true"));
    }

    static TestMosquitto forSensors(Path folder, List<SensorLogin> sensors) throws IOException, InterruptedException {
        Path passwords = Files.createFile(folder.resolve("passwords"));
        List<SensorLogin> logins = new ArrayList<>(sensors);
        logins.add(new SensorLogin("observer", "observer", "urn:none:"));
        for (SensorLogin login : logins) {
            Process hashed = new ProcessBuilder("mosquitto_passwd", "-b", passwords.toString(), login.deviceId(), login.secret())
                    .inheritIO().start();
            if (hashed.waitFor() != 0) {
                throw new IOException("mosquitto_passwd ended with " + hashed.exitValue());
            }
        }
        Path rules = Files.write(folder.resolve("rules"),
                List.of("pattern write lampkeeper/v1/%u/#", "user observer", "topic read lampkeeper/#"));
        // Mosquitto started by root reads them as somebody else.
        Files.setPosixFilePermissions(folder, PosixFilePermissions.fromString("rwxr-xr-x"));
        Files.setPosixFilePermissions(passwords, PosixFilePermissions.fromString("rw-r--r--"));
        return started(folder, List.of("allow_anonymous false", "password_file " + passwords, "acl_file " + rules));
    }

    URI uri() {
        return URI.create("mqtt://127.0.0.1:" + port);
    }

    void restart() throws IOException {
        stop();
        start();
    }

    @Override
    public void close() {
        stop();
    }

    private static TestMosquitto started(Path folder, List<String> lines) throws IOException {
        int port;
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            port = free.getLocalPort();
        }
        List<String> config = new ArrayList<>(List.of("listener " + port + " 127.0.0.1", "persistence false"));
        config.addAll(lines);
        Files.write(folder.resolve("mosquitto.conf"), config);
        TestMosquitto mosquitto = new TestMosquitto(folder, port);
        mosquitto.start();
        return mosquitto;
    }

    private void start() throws IOException {
        process = new ProcessBuilder("mosquitto", "-c", folder.resolve("mosquitto.conf").toString()).redirectErrorStream(true)
                .redirectOutput(ProcessBuilder.Redirect.appendTo(folder.resolve("mosquitto.log").toFile())).start();
        Awaitility.await("mosquitto, see " + folder.resolve("mosquitto.log")).atMost(Duration.ofSeconds(10)).until(this::listens);
    }

    private boolean listens() {
        try (Socket probe = new Socket(InetAddress.getLoopbackAddress(), port)) {
            return probe.isConnected();
        } catch (IOException notYet) {
            return false;
        }
    }

    private void stop() {
        process.destroy();
        try {
            if (!process.waitFor(5, TimeUnit.SECONDS)) {
                process.destroyForcibly();
            }
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
            process.destroyForcibly();
        }
    }
}
