package org.lampkeeper.message;

import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.URI;
import java.net.UnknownHostException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyStore;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.stream.Stream;

import javax.net.ssl.KeyManagerFactory;
import javax.net.ssl.SSLContext;

import io.smallrye.config.PropertiesConfigSource;
import io.smallrye.config.SmallRyeConfigBuilder;
import io.vertx.core.Vertx;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.message.GuardedClient.Answer;
import org.lampkeeper.testing.HookReceiver;
import org.lampkeeper.testing.HookReceiver.Behaviour;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** On real sockets, with names that answer as a hostile name server would. */
class GuardedClientTest {

    private static final char[] PASSWORD = "not-a-secret".toCharArray();
    private static final Map<String, String> INSIDE = Map.of("lampkeeper.webhook.allowed-networks", "127.0.0.1/32,fd00::/8",
            "lampkeeper.webhook.allow-http", "true");
    private static final Map<String, String> INSIDE_AND_IMPATIENT = Map.of("lampkeeper.webhook.allowed-networks", "127.0.0.1/32",
            "lampkeeper.webhook.allow-http", "true", "lampkeeper.webhook.timeout", "1500ms");

    private final Vertx vertx = Vertx.vertx();
    private final List<String> lookUps = new ArrayList<>();
    private final List<GuardedClient> clients = new ArrayList<>();
    private HookReceiver receiver;

    @TempDir
    Path directory;

    @BeforeEach
    void start() throws IOException {
        receiver = HookReceiver.start();
    }

    @AfterEach
    void stop() {
        clients.forEach(GuardedClient::close);
        receiver.close();
        vertx.close().toCompletionStage().toCompletableFuture().join();
    }

    private GuardedClient client(Map<String, String> settings, GuardedClient.Names names) {
        WebhookConfig config = new SmallRyeConfigBuilder().withMapping(WebhookConfig.class).addDiscoveredConverters()
                .withSources(new PropertiesConfigSource(settings, "test", 100)).build().getConfigMapping(WebhookConfig.class);
        GuardedClient client = new GuardedClient(vertx, GuardedClient.Limits.of(config), name -> {
            lookUps.add(name);
            return names.addresses(name);
        });
        clients.add(client);
        return client;
    }

    private GuardedClient client() {
        return client(INSIDE, name -> addresses("127.0.0.1"));
    }

    private static InetAddress[] addresses(String... digits) throws UnknownHostException {
        InetAddress[] addresses = new InetAddress[digits.length];
        for (int i = 0; i < digits.length; i++) {
            addresses[i] = InetAddress.getByName(digits[i]);
        }
        return addresses;
    }

    private Answer post(GuardedClient client, String host) {
        return client.post(URI.create("http://" + host + ":" + receiver.port() + "/hook?key=a%20b"), Map.of("webhook-id", "msg_1"), "{\"n\":\"Ærø\"}");
    }

    @Test
    void whatIsPostedArrivesAsItIsUnderTheNameThatWasMeant() {
        Answer answer = post(client(), "quay.example");

        assertThat(answer.status()).contains(204);
        assertThat(answer.isTaken()).isTrue();
        assertThat(receiver.received()).singleElement().satisfies(got -> {
            assertThat(got.line()).isEqualTo("POST /hook?key=a%20b HTTP/1.1");
            assertThat(got.headers()).containsEntry("Host", "quay.example:" + receiver.port()).containsEntry("webhook-id", "msg_1");
            assertThat(got.body()).isEqualTo("{\"n\":\"Ærø\"}");
        });
    }

    @ParameterizedTest
    @ValueSource(strings = {"127.0.0.1", "127.8.8.8", "10.1.2.3", "172.16.0.1", "192.168.1.1", "169.254.169.254", "100.64.0.1", "0.0.0.0", "224.0.0.1",
            "255.255.255.255", "::1", "::", "fe80::1", "fc00::1", "ff02::1", "::ffff:127.0.0.1", "64:ff9b::7f00:1", "2002:7f00:1::1"})
    void nameThatLeadsInsideIsRefused(String address) {
        GuardedClient outside = client(Map.of("lampkeeper.webhook.allow-http", "true"), name -> addresses(address));

        Answer answer = post(outside, "quay.example");

        assertThat(answer.status()).isEmpty();
        assertThat(answer.reason()).contains("quay.example has an address that is not public and not allowed here");
        assertThat(receiver.received()).isEmpty();
    }

    /** The JDK reads these without asking anybody; some are other ways to write 127.0.0.1. */
    @ParameterizedTest
    @ValueSource(strings = {"127.0.0.1", "127.1", "2130706433", "[::1]", "[::ffff:127.0.0.1]", "localhost"})
    void addressWithinTheUrlIsLookedAtLikeAnyOther(String host) {
        GuardedClient outside = client(Map.of("lampkeeper.webhook.allow-http", "true"), InetAddress::getAllByName);

        assertThat(post(outside, host).isTaken()).isFalse();
        assertThat(receiver.received()).isEmpty();
    }

    @Test
    void nameWithOneAddressInsideIsRefusedWhicheverComesFirst() {
        GuardedClient client = client(INSIDE, name -> addresses("127.0.0.1", "127.0.0.2"));

        assertThat(Stream.generate(() -> post(client, "quay.example")).limit(3)).noneMatch(Answer::isTaken);
        assertThat(receiver.received()).isEmpty();
    }

    /** Rebinding: here 127.0.0.1 stands for a public address, and the receiver would answer at 127.0.0.2 just as well. */
    @Test
    void addressThatWasLookedAtIsTheOneThatIsConnectedTo() {
        GuardedClient client = client(INSIDE, name -> addresses(lookUps.size() % 2 == 1 ? "127.0.0.1" : "127.0.0.2"));

        Answer first = post(client, "turning.example");
        int lookUpsOfOne = lookUps.size();
        Answer second = post(client, "turning.example");

        assertThat(first.isTaken()).isTrue();
        assertThat(lookUpsOfOne).as("a second look-up could be answered otherwise").isOne();
        assertThat(second.isTaken()).isFalse();
        assertThat(receiver.received()).hasSize(1);
    }

    @ParameterizedTest
    @ValueSource(ints = {301, 302, 303, 307, 308})
    void redirectIsNotFollowed(int status) throws IOException {
        try (HookReceiver elsewhere = HookReceiver.start()) {
            receiver.behaves(HookReceiver.status(status, "Location: " + elsewhere.url("/inside") + "\r\n"));

            Answer answer = post(client(), "quay.example");

            assertThat(answer.status()).contains(status);
            assertThat(answer.reason()).contains("answered " + status + ", a redirect, and none is followed");
            assertThat(elsewhere.received()).isEmpty();
        }
    }

    @ParameterizedTest
    @ValueSource(ints = {400, 401, 404, 410, 429, 500, 503})
    void refusalIsNotTaken(int status) {
        receiver.behaves(HookReceiver.status(status));

        Answer answer = post(client(), "quay.example");

        assertThat(answer.status()).contains(status);
        assertThat(answer.isTaken()).isFalse();
    }

    static Stream<Behaviour> noWholeAnswers() {
        return Stream.of(HookReceiver.hang(), HookReceiver.drip(), HookReceiver.cutMidAnswer(), HookReceiver.deadAfterAccept(),
                out -> HookReceiver.write(out, "HTTP/1.1 20"), out -> HookReceiver.write(out, "this is no HTTP\r\n\r\n"));
    }

    @ParameterizedTest
    @MethodSource("noWholeAnswers")
    void whatIsNoWholeAnswerIsNotTakenAndEndsInTime(Behaviour behaviour) {
        receiver.behaves(behaviour);

        Answer answer = post(client(INSIDE_AND_IMPATIENT, name -> addresses("127.0.0.1")), "quay.example");

        assertThat(answer.status()).isEmpty();
        assertThat(answer.isTaken()).isFalse();
        assertThat(answer.took()).isLessThan(Duration.ofSeconds(5));
        assertThat(receiver.received()).hasSize(1);
    }

    @Test
    void endlessAnswerIsLeftOff() {
        receiver.behaves(HookReceiver.endless());

        assertThat(post(client(), "quay.example").isTaken()).isTrue();
    }

    @Test
    void nobodyThereIsSaid() throws IOException {
        int port;
        try (ServerSocket closed = new ServerSocket(0)) {
            port = closed.getLocalPort();
        }

        Answer answer = client().post(URI.create("http://quay.example:" + port), Map.of(), "{}");

        assertThat(answer.reason().orElseThrow()).startsWith("cannot be reached");
    }

    @Test
    void nameWithoutAnAddressIsSaid() {
        GuardedClient client = client(INSIDE, name -> {
            throw new UnknownHostException(name);
        });

        assertThat(post(client, "nowhere.example").reason()).contains("nowhere.example has no address");
    }

    @Test
    void nameServerThatDoesNotAnswerIsNotWaitedForAndNothingIsSentLate() {
        CountDownLatch answers = new CountDownLatch(1);
        GuardedClient client = client(INSIDE_AND_IMPATIENT, name -> {
            try {
                answers.await();
            } catch (InterruptedException stopping) {
                throw new UnknownHostException(name);
            }
            return addresses("127.0.0.1");
        });

        Answer late = post(client, "slow.example");
        answers.countDown();
        Answer next = post(client, "slow.example");

        assertThat(late.isTaken()).isFalse();
        assertThat(next.isTaken()).isTrue();
        assertThat(receiver.received()).as("what was given up is not sent behind our back").hasSize(1);
    }

    @Test
    void httpTakesASetting() {
        Answer answer = post(client(Map.of("lampkeeper.webhook.allowed-networks", "127.0.0.0/8"), name -> addresses("127.0.0.1")), "quay.example");

        assertThat(answer.reason()).contains("its URL does not begin with https://");
        assertThat(lookUps).isEmpty();
    }

    @Test
    void networkThatIsNoneStopsTheStart() {
        assertThatThrownBy(() -> client(Map.of("lampkeeper.webhook.allowed-networks", "the quay"), name -> addresses("127.0.0.1")))
                .isInstanceOf(IllegalStateException.class).hasMessageContaining("'the quay'").hasMessageContaining("10.20.0.0/16");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "no certificate"})
    void caFileWithoutACertificateStopsTheStart(String text) throws IOException {
        Path file = Files.writeString(directory.resolve("empty.crt"), text);

        assertThatThrownBy(() -> client(Map.of("lampkeeper.webhook.ca-file", file.toString()), name -> addresses("127.0.0.1")))
                .isInstanceOf(IllegalStateException.class).hasMessageStartingWith("lampkeeper.webhook.ca-file " + file);
    }

    @Test
    void certificateMustBeForTheNameAlthoughTheConnectionGoesToTheAddress() throws Exception {
        Map<String, String> trusting = Map.of("lampkeeper.webhook.allowed-networks", "127.0.0.1/32", "lampkeeper.webhook.ca-file",
                directory.resolve("quay.crt").toString());
        try (HookReceiver tls = HookReceiver.start(certificate("quay.example").getServerSocketFactory())) {
            GuardedClient client = client(trusting, name -> addresses("127.0.0.1"));
            GuardedClient stranger = client(Map.of("lampkeeper.webhook.allowed-networks", "127.0.0.1/32"), name -> addresses("127.0.0.1"));

            Answer right = client.post(URI.create("https://quay.example:" + tls.port() + "/"), Map.of(), "{}");
            Answer wrongName = client.post(URI.create("https://other.example:" + tls.port() + "/"), Map.of(), "{}");
            Answer unknown = stranger.post(URI.create("https://quay.example:" + tls.port() + "/"), Map.of(), "{}");

            assertThat(right.reason()).isEqualTo(Optional.empty());
            assertThat(List.of(wrongName, unknown)).allSatisfy(refused -> assertThat(refused.reason().orElseThrow()).startsWith("cannot be reached"));
            assertThat(tls.received()).hasSize(1);
        }
    }

    /** By the JDK's own keytool. */
    private SSLContext certificate(String name) throws IOException, InterruptedException, GeneralSecurityException {
        Path store = directory.resolve("quay.p12");
        Process keytool = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "keytool").toString(), "-genkeypair", "-alias", "quay",
                "-keyalg", "EC", "-dname", "CN=" + name, "-ext", "SAN=dns:" + name, "-validity", "2", "-storetype", "PKCS12", "-keystore",
                store.toString(), "-storepass", new String(PASSWORD)).inheritIO().start();
        assertThat(keytool.waitFor()).isZero();
        KeyStore keys = KeyStore.getInstance("PKCS12");
        try (InputStream in = Files.newInputStream(store)) {
            keys.load(in, PASSWORD);
        }
        Files.writeString(directory.resolve("quay.crt"), "-----BEGIN CERTIFICATE-----\n"
                + Base64.getMimeEncoder(64, "\n".getBytes()).encodeToString(keys.getCertificate("quay").getEncoded()) + "\n-----END CERTIFICATE-----\n");
        KeyManagerFactory managers = KeyManagerFactory.getInstance(KeyManagerFactory.getDefaultAlgorithm());
        managers.init(keys, PASSWORD);
        SSLContext context = SSLContext.getInstance("TLS");
        context.init(managers.getKeyManagers(), null, null);
        return context;
    }
}
