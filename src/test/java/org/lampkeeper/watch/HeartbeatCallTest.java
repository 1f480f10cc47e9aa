package org.lampkeeper.watch;

import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.URI;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;

import com.sun.net.httpserver.HttpServer;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.telemetry.HeartbeatFailed;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class HeartbeatCallTest {

    private static final Duration SHORT = Duration.ofMillis(300);

    private final List<String> asked = new CopyOnWriteArrayList<>();
    private HttpServer server;
    private volatile int status = 204;

    @BeforeEach
    void start() throws IOException {
        server = HttpServer.create(new InetSocketAddress(InetAddress.getLoopbackAddress(), 0), 0);
        server.createContext("/", exchange -> {
            asked.add(exchange.getRequestMethod() + " " + exchange.getRequestURI());
            exchange.getResponseHeaders().add("Location", "/elsewhere");
            exchange.sendResponseHeaders(status, -1);
            exchange.close();
        });
        server.start();
    }

    @AfterEach
    void stop() {
        server.stop(0);
    }

    @Test
    void whatIsSaidIsAskedForAsParametersBehindThoseThatAreThere() {
        Map<String, String> said = new LinkedHashMap<>();
        said.put("journal-number", "42");
        said.put("instance", "a b&c");

        new HeartbeatCall(address("/beat"), SHORT.multipliedBy(10)).send(said);
        new HeartbeatCall(address("/beat?key=7#part"), SHORT.multipliedBy(10)).send(said);

        assertThat(asked).containsExactly("GET /beat?journal-number=42&instance=a+b%26c", "GET /beat?key=7&journal-number=42&instance=a+b%26c");
    }

    @ParameterizedTest
    @ValueSource(ints = {301, 302, 307, 308, 403, 500})
    void anotherAnswerIsAFailureAndNoRedirectIsFollowed(int answer) {
        status = answer;

        assertThatThrownBy(() -> new HeartbeatCall(address("/beat"), SHORT.multipliedBy(10)).send(Map.of("a", "b"))).isInstanceOf(HeartbeatFailed.class)
                .hasMessageContaining("answered " + answer);
        assertThat(asked).containsExactly("GET /beat?a=b");
    }

    @Test
    void oneThatHangsIsGivenUp() throws IOException {
        // Takes the connection and never answers.
        try (ServerSocket silent = new ServerSocket(0, 5, InetAddress.getLoopbackAddress())) {
            assertThatThrownBy(() -> new HeartbeatCall(URI.create("http://127.0.0.1:" + silent.getLocalPort() + "/"), SHORT).send(Map.of("a", "b")))
                    .isInstanceOf(HeartbeatFailed.class);
        }
    }

    @Test
    void oneThatRefusesIsAFailure() {
        URI gone = address("/");
        server.stop(0);

        assertThatThrownBy(() -> new HeartbeatCall(gone, SHORT.multipliedBy(10)).send(Map.of("a", "b"))).isInstanceOf(HeartbeatFailed.class)
                .hasMessageContaining("cannot be asked");
    }

    @ParameterizedTest
    @ValueSource(strings = {"ftp://quay.example/", "/beat", "http:beat"})
    void anAddressThatIsNoneOfTheWebIsRefused(String address) {
        assertThatThrownBy(() -> new HeartbeatCall(URI.create(address), SHORT)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("lampkeeper.heartbeat.url");
    }

    private URI address(String path) {
        return URI.create("http://127.0.0.1:" + server.getAddress().getPort() + path);
    }
}
