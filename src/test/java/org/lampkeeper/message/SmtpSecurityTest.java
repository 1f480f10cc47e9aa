package org.lampkeeper.message;

import java.nio.file.Path;
import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.function.Consumer;

import com.icegreen.greenmail.util.GreenMail;
import com.icegreen.greenmail.util.ServerSetup;
import io.vertx.core.Vertx;
import io.vertx.core.net.PfxOptions;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.testing.TestCertificate;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.mailTo;

/** Who may read along, and who says that it is us: TLS and signing in, against servers that do it and servers that do not. */
class SmtpSecurityTest {

    private static final Duration TIMEOUT = Duration.ofSeconds(10);
    private static final String USER = "lampkeeper@watch.example";
    private static final String PASSWORD = "swordfish";

    @TempDir
    static Path directory;
    private static Vertx vertx;
    private static TestCertificate own;
    private static TestCertificate ofAnotherName;

    @BeforeAll
    static void start() throws Exception {
        vertx = Vertx.vertx();
        own = TestCertificate.make(directory, "own", "dns:localhost,ip:127.0.0.1");
        ofAnotherName = TestCertificate.make(directory, "another", "dns:elsewhere.example");
    }

    @AfterAll
    static void stop() {
        vertx.close().toCompletionStage().toCompletableFuture().join();
    }

    private static Consumer<io.vertx.ext.mail.MailConfig> trusting(TestCertificate certificate) {
        return settings -> settings.setTrustOptions(new PfxOptions().setPath(certificate.store().toString()).setPassword(TestCertificate.PASSWORD));
    }

    private static final Consumer<io.vertx.ext.mail.MailConfig> AS_JAVA_TRUSTS = settings -> {
    };

    private static Handover send(ScriptedMailServer server, Map<String, String> settings, Consumer<io.vertx.ext.mail.MailConfig> trust) {
        return SmtpChannelTest.channel(vertx, server.port(), TIMEOUT, settings, trust).handOver(mailTo("m.teal@quay.example"));
    }

    private static Map<String, String> signingIn(String password, String... more) {
        Map<String, String> settings = new HashMap<>(Map.of("quarkus.mailer.username", USER, "quarkus.mailer.password", password));
        for (int i = 0; i < more.length; i += 2) {
            settings.put(more[i], more[i + 1]);
        }
        return settings;
    }

    private static String why(Handover result) {
        assertThat(result).isInstanceOf(Handover.Unreachable.class);
        return ((Handover.Unreachable) result).reason();
    }

    @ParameterizedTest
    @ValueSource(strings = {"PLAIN", "LOGIN"})
    void passwordGoesByStarttlsWithoutAnythingElseBeingSet(String method) throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().withTls(own.context()).withLogin(USER, PASSWORD)) {
            assertThat(send(server, signingIn(PASSWORD, "quarkus.mailer.auth-methods", method), trusting(own))).isEqualTo(new Handover.Accepted());

            assertThat(server.heard()).anyMatch(said -> said.startsWith("encrypted AUTH " + method)).anyMatch(said -> said.startsWith("encrypted RCPT"))
                    .noneMatch(said -> said.startsWith("AUTH") || said.startsWith("MAIL") || said.startsWith("RCPT"));
        }
    }

    @Test
    void passwordIsNotSentToAServerThatOffersNoStarttls() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().withLogin(USER, PASSWORD)) {
            assertThat(why(send(server, signingIn(PASSWORD), trusting(own)))).contains("does not offer STARTTLS");

            assertThat(server.heard()).noneMatch(said -> said.startsWith("AUTH") || said.startsWith("MAIL"));
        }
    }

    @Test
    void requiredStarttlsThatIsNotOfferedMeansThatNothingIsSentAlsoWithoutAPassword() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer()) {
            assertThat(why(send(server, Map.of("quarkus.mailer.start-tls", "REQUIRED"), trusting(own)))).contains("does not offer STARTTLS");

            assertThat(server.heard()).noneMatch(said -> said.startsWith("MAIL"));
        }
    }

    @ParameterizedTest
    @CsvSource({"not trusted, own, another", "of another name, another, another"})
    void serverWithAWrongCertificateGetsNothing(String what, String shown, String trusted) throws Exception {
        TestCertificate certificate = shown.equals("own") ? own : ofAnotherName;
        try (ScriptedMailServer server = new ScriptedMailServer().withTls(certificate.context()).withLogin(USER, PASSWORD)) {
            assertThat(why(send(server, signingIn(PASSWORD), trusting(ofAnotherName)))).as(what).startsWith("the certificate of the mail server is not trusted");

            assertThat(server.heard()).noneMatch(said -> said.contains("AUTH ") || said.contains("MAIL"));
        }
    }

    @Test
    void whatJavaDoesNotTrustIsNotTrusted() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().withTls(own.context())) {
            assertThat(why(send(server, Map.of("quarkus.mailer.start-tls", "REQUIRED"), AS_JAVA_TRUSTS))).startsWith("the certificate of the mail server");
        }
    }

    @Test
    void somebodyMayChooseToSendAPasswordInTheClearOnANetworkOfTheirOwn() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().withLogin(USER, PASSWORD)) {
            assertThat(send(server, signingIn(PASSWORD, "quarkus.mailer.start-tls", "DISABLED"), AS_JAVA_TRUSTS)).isEqualTo(new Handover.Accepted());
        }
    }

    @Test
    void serverThatOffersNoWayToSignInGetsNothing() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().withTls(own.context())) {
            assertThat(why(send(server, signingIn(PASSWORD), trusting(own)))).contains("offers no way to sign in");

            assertThat(server.heard()).noneMatch(said -> said.contains("MAIL"));
        }
    }

    /** The reason is what the operation page shows and the log says. */
    @ParameterizedTest
    @ValueSource(strings = {"PLAIN", "LOGIN"})
    void wrongPasswordIsSaidInWordsWithoutTheAddress(String method) throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().withTls(own.context()).withLogin(USER, PASSWORD)) {
            String reason = why(send(server, signingIn("sword", "quarkus.mailer.auth-methods", method), trusting(own)));

            assertThat(reason).startsWith("the mail server does not take the user name or the password").contains("535 5.7.8", USER);
            assertThat(Deliveries.withoutAddresses(reason)).contains("535 5.7.8 (address) is not welcome").doesNotContain("@", PASSWORD);
        }
    }

    /** Implicit TLS (RFC 8314), with another implementation of a server. */
    @ParameterizedTest
    @CsvSource({"swordfish, true", "sword, false"})
    void serverThatIsEncryptedFromTheBeginningTakesTheRightPassword(String password, boolean isRight) {
        ServerSetup setup = ServerSetup.SMTPS.dynamicPort();
        GreenMail server = new GreenMail(setup);
        server.setUser(USER, USER, PASSWORD);
        server.start();
        try {
            int port = server.getSmtps().getPort();
            Map<String, String> settings = signingIn(password, "quarkus.mailer.tls", "true");

            assertThat(why(SmtpChannelTest.channel(vertx, port, TIMEOUT, settings, AS_JAVA_TRUSTS).handOver(mailTo("m.teal@quay.example"))))
                    .startsWith("the certificate of the mail server is not trusted");
            Handover trusted = SmtpChannelTest.channel(vertx, port, TIMEOUT, settings, all -> all.setTrustAll(true))
                    .handOver(mailTo("m.teal@quay.example"));

            if (isRight) {
                assertThat(trusted).isEqualTo(new Handover.Accepted());
            } else {
                assertThat(why(trusted)).startsWith("the mail server does not take the user name or the password");
            }
        } finally {
            server.stop();
        }
    }
}
