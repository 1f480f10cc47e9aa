package org.lampkeeper.testing;

import java.io.File;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.concurrent.TimeUnit;

import static org.awaitility.Awaitility.await;

/**
 * Debian's Mosquitto with our own {@code config/mosquitto.conf}, on a free port and in a directory of the test's. The password file and
 * the access list are expected there as {@code passwords} and {@code access}.
 */
public final class MosquittoServer implements AutoCloseable {

    private static final Path OURS = Path.of("config", "mosquitto.conf");
    // Generous: it takes milliseconds, and other builds may run on the same machine.
    private static final Duration PATIENCE = Duration.ofMinutes(1);

    private final Path directory;
    private final Path configuration;
    private final int port;
    private Process process;

    private MosquittoServer(Path directory, Path configuration, int port) {
        this.directory = directory;
        this.configuration = configuration;
        this.port = port;
    }

    public static MosquittoServer start(Path directory) throws IOException {
        int port = freePort();
        Path configuration = directory.resolve("mosquitto.conf");
        String adapted = Files.readString(OURS);
        adapted = replaced(adapted, "listener 1883 127.0.0.1", "listener " + port + " 127.0.0.1");
        adapted = replaced(adapted, "/etc/mosquitto/lampkeeper/passwords", directory.resolve("passwords").toString());
        adapted = replaced(adapted, "/etc/mosquitto/lampkeeper/access", directory.resolve("access").toString());
        adapted = replaced(adapted, "persistence_location /var/lib/mosquitto/", "persistence_location " + directory + "/");
        adapted = replaced(adapted, "sys_interval 10", "sys_interval 1");
        // As root it would otherwise become a user that cannot read the test's directory.
        Files.writeString(configuration, adapted + "user " + System.getProperty("user.name") + "\n");
        MosquittoServer server = new MosquittoServer(directory, configuration, port);
        server.run();
        return server;
    }

    /** One that lets everybody in and checks nothing, as somebody may run it; but it drops nothing. */
    public static MosquittoServer startOpen(Path directory) throws IOException {
        return startLettingEverybodyIn(directory, "mosquitto-open.conf", "max_queued_messages 0");
    }

    /** With a TLS listener that anybody may use; what is tested is the certificate. */
    public static MosquittoServer startWithTls(Path directory, Path certificate, Path key) throws IOException {
        return startLettingEverybodyIn(directory, "mosquitto-tls.conf", "certfile " + certificate, "keyfile " + key);
    }

    private static MosquittoServer startLettingEverybodyIn(Path directory, String name, String... more) throws IOException {
        int port = freePort();
        Path configuration = directory.resolve(name);
        Files.writeString(configuration, "listener " + port + " 127.0.0.1\n" + String.join("\n", more)
                + "\nallow_anonymous true\nuser " + System.getProperty("user.name") + "\n");
        MosquittoServer server = new MosquittoServer(directory, configuration, port);
        server.run();
        return server;
    }

    private static String replaced(String text, String from, String to) {
        if (!text.contains(from)) {
            throw new IllegalStateException(OURS + " no longer has '" + from + "', which the tests replace");
        }
        return text.replace(from, to);
    }

    private static int freePort() throws IOException {
        try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return socket.getLocalPort();
        }
    }

    private void run() throws IOException {
        String program = ToolPresent.find("mosquitto").orElseThrow(() -> new IllegalStateException("mosquitto is not installed")).toString();
        process = new ProcessBuilder(program, "-c", configuration.toString())
                .redirectErrorStream(true).redirectOutput(ProcessBuilder.Redirect.appendTo(new File(directory.toFile(), "log"))).start();
        await().atMost(PATIENCE).until(() -> {
            if (!process.isAlive()) {
                throw new IllegalStateException("mosquitto ended: " + Files.readString(directory.resolve("log")));
            }
            return isListening();
        });
    }

    private boolean isListening() {
        try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
            return socket.isConnected();
        } catch (IOException notYet) {
            return false;
        }
    }

    public URI uri() {
        return URI.create("tcp://127.0.0.1:" + port);
    }

    /** Stops in order, so that everything is saved; {@link #startAgain()} goes on on the same port. */
    public void stop() throws InterruptedException {
        process.destroy();
        if (!process.waitFor(PATIENCE.toSeconds(), TimeUnit.SECONDS)) {
            throw new IllegalStateException("mosquitto did not stop within " + PATIENCE.toSeconds() + " s");
        }
    }

    /** SIGKILL. */
    public void kill() throws InterruptedException {
        process.destroyForcibly().waitFor();
    }

    public void startAgain() throws IOException {
        run();
    }

    /** Lets it read the password file and the access list again (SIGHUP). */
    public void readAgain() throws IOException, InterruptedException {
        new ProcessBuilder("kill", "-HUP", Long.toString(process.pid())).start().waitFor();
    }

    @Override
    public void close() {
        process.destroyForcibly();
    }
}
