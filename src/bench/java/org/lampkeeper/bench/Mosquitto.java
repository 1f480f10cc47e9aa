package org.lampkeeper.bench;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;

import org.awaitility.Awaitility;

/** An external broker on a free port that queues without a limit and holds back nothing. */
final class Mosquitto implements AutoCloseable {

    private final Process process;
    private final int port;

    Mosquitto(Path folder) throws IOException {
        port = freePort();
        Path config = Files.write(folder.resolve("mosquitto.conf"), List.of("listener " + port + " 127.0.0.1", "allow_anonymous true",
                "persistence false", "max_queued_messages 0", "set_tcp_nodelay true"));
        Path log = folder.resolve("mosquitto.log");
        process = new ProcessBuilder("mosquitto", "-c", config.toString()).redirectErrorStream(true).redirectOutput(log.toFile()).start();
        Awaitility.await("mosquitto, see " + log).atMost(Duration.ofSeconds(20)).until(this::listens);
    }

    static int freePort() throws IOException {
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return free.getLocalPort();
        }
    }

    int port() {
        return port;
    }

    String url() {
        return "tcp://127.0.0.1:" + port;
    }

    private boolean listens() {
        try (Socket probe = new Socket(InetAddress.getLoopbackAddress(), port)) {
            return probe.isConnected();
        } catch (IOException notYet) {
            return false;
        }
    }

    @Override
    public void close() {
        process.destroy();
    }
}
