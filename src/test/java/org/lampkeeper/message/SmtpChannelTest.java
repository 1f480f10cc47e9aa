package org.lampkeeper.message;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.function.Consumer;
import java.util.stream.IntStream;

import jakarta.mail.internet.MimeMessage;

import io.quarkus.mailer.runtime.Mailers;
import io.quarkus.mailer.runtime.MailersRuntimeConfig;
import io.quarkus.tls.TlsConfiguration;
import io.quarkus.tls.TlsConfigurationRegistry;
import io.smallrye.config.SmallRyeConfigBuilder;
import io.vertx.core.Vertx;
import io.vertx.ext.mail.MailClient;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.testing.MailParts;
import org.lampkeeper.testing.MailServer;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.mailTo;

class SmtpChannelTest {

    private static final Duration TIMEOUT = Duration.ofMillis(700);

    private static Vertx vertx;

    @BeforeAll
    static void startClients() {
        vertx = Vertx.vertx();
    }

    @AfterAll
    static void stopClients() {
        vertx.close().toCompletionStage().toCompletableFuture().join();
    }

    private static SmtpChannel channelTo(int port) {
        return channelTo(port, TIMEOUT);
    }

    private static SmtpChannel channelTo(int port, Duration timeout) {
        return channelTo(port, timeout, Map.of());
    }

    static SmtpChannel channel(Vertx vertx, int port, Duration timeout, Map<String, String> more, Consumer<io.vertx.ext.mail.MailConfig> trust) {
        MailersRuntimeConfig mailers = new SmallRyeConfigBuilder().withMapping(MailersRuntimeConfig.class)
                .withDefaultValues(Map.of("quarkus.mailer.host", "127.0.0.1", "quarkus.mailer.port", Integer.toString(port)))
                .withDefaultValues(more)
                .addDiscoveredConverters()
                .build().getConfigMapping(MailersRuntimeConfig.class);
        io.vertx.ext.mail.MailConfig settings = MailChannels.settings(mailers.mailers().get(Mailers.DEFAULT_MAILER_NAME), NO_TLS, timeout,
                more::containsKey);
        trust.accept(settings);
        return new SmtpChannel(MailClient.create(vertx, settings), MailChannels.loop(vertx), timeout);
    }

    private static SmtpChannel channelTo(int port, Duration timeout, Map<String, String> more) {
        return channel(vertx, port, timeout, more, settings -> {
        });
    }

    private static final TlsConfigurationRegistry NO_TLS = new TlsConfigurationRegistry() {
        @Override
        public Optional<TlsConfiguration> get(String name) {
            return Optional.empty();
        }

        @Override
        public Optional<TlsConfiguration> getDefault() {
            return Optional.empty();
        }

        @Override
        public void register(String name, TlsConfiguration configuration) {
            throw new UnsupportedOperationException(name);
        }
    };

    @Test
    void mailArrivesWithItsWordsAndHeaders() throws Exception {
        MailServer server = MailServer.shared();

        assertThat(channelTo(server.port(), Duration.ofSeconds(20)).handOver(mailTo("words@quay.example"))).isEqualTo(new Handover.Accepted());

        MimeMessage mail = server.receivedBy("words@quay.example").get(0);
        assertThat(mail.getSubject()).isEqualTo(MessageFixture.SUBJECT);
        assertThat(MailParts.text(mail).strip()).isEqualTo(MessageFixture.BODY.strip());
        assertThat(mail.getContentType()).startsWith("multipart/alternative");
        assertThat(MailParts.html(mail)).contains(">Take it</a>");
        assertThat(mail.getHeader("Message-ID")).containsExactly("<" + "3f0c".repeat(8) + "@watch.example>");
        assertThat(mail.getHeader("References")).containsExactly("<callout-5@watch.example>");
        assertThat(mail.getHeader("In-Reply-To")).containsExactly("<callout-5@watch.example>");
        assertThat(mail.getHeader("X-Lampkeeper-Journal")).containsExactly("4711 " + "8c".repeat(32));
        assertThat(mail.getHeader("Auto-Submitted")).containsExactly("auto-generated");
        // The envelope's sender, as the server that took it has noted it.
        assertThat(mail.getHeader("Return-Path")).containsExactly("<returned+" + "3f0c".repeat(8) + "@watch.example>");
        assertThat(mail.getHeader("From")).containsExactly("Lampkeeper <lampkeeper@watch.example>");
        assertThat(mail.getHeader("Date")).hasSize(1);
    }

    /** RFC 5321, section 4.2: 5yz is final, 4yz asks for another try. What concerns us as a sender is tried again whatever it says. */
    @ParameterizedTest
    @CsvSource({
        "RCPT, 550 no such user here,             Refused",
        "RCPT, 553 relaying denied,               Refused",
        "RCPT, 450 greylisted,                    Deferred",
        "RCPT, 452 mailbox full,                  Deferred",
        "'.',  554 content refused,               Refused",
        "'.',  451 local error,                   Deferred",
        "MAIL, 550 sender not allowed,            Unreachable",
        "MAIL, 451 try later,                     Unreachable",
        "DATA, 421 closing,                       Unreachable",
        "'',   554 no service for you,            Unreachable",
        "'',   421 too busy,                      Unreachable",
        "'',   this is no mail server,            Unreachable",
    })
    void answerDecidesWhatBecomesOfTheMessage(String command, String answer, String expected) throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().answer(command, answer)) {
            Handover result = channelTo(server.port()).handOver(mailTo("a@quay.example"));

            assertThat(result.getClass().getSimpleName()).as(result.toString()).isEqualTo(expected);
        }
    }

    @Test
    void serverThatIsDownIsUnreachableAndTheNextMailAfterItsRestartArrives() {
        MailServer server = new MailServer();
        SmtpChannel channel = channelTo(server.port(), Duration.ofSeconds(20));
        assertThat(channel.handOver(mailTo("before@quay.example"))).isEqualTo(new Handover.Accepted());

        server.stop();
        assertThat(channel.handOver(mailTo("down@quay.example"))).isInstanceOf(Handover.Unreachable.class);
        server.startAgain();
        assertThat(channel.handOver(mailTo("after@quay.example"))).isEqualTo(new Handover.Accepted());

        assertThat(server.receivedBy("after@quay.example")).hasSize(1);
        server.stop();
    }

    @ParameterizedTest
    @CsvSource({"''", "EHLO", "RCPT", "'.'"})
    void moreSilentConnectionsThanThePoolHoldsDoNotStopTheMailThatFollows(String silentAt) throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().answer(silentAt, ScriptedMailServer.SILENCE)) {
            SmtpChannel channel = channelTo(server.port());
            for (int i = 0; i < 12; i++) {
                assertThat(channel.handOver(mailTo("a@quay.example"))).isInstanceOf(Handover.Unreachable.class);
            }
            server.behaveWell();

            assertThat(channel.handOver(mailTo("a@quay.example"))).isEqualTo(new Handover.Accepted());
        }
    }

    /** Whatever was cut is tried again: the server may have it or not, and twice is better than never. */
    @ParameterizedTest
    @CsvSource({"''", "EHLO", "MAIL", "RCPT", "DATA", "'.'"})
    void cutLineIsTriedAgainAndTheMailThatFollowsArrives(String cutAt) throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().answer(cutAt, ScriptedMailServer.CUT)) {
            SmtpChannel channel = channelTo(server.port());
            assertThat(channel.handOver(mailTo("a@quay.example"))).isInstanceOf(Handover.Unreachable.class);
            server.behaveWell();

            assertThat(channel.handOver(mailTo("a@quay.example"))).isEqualTo(new Handover.Accepted());
        }
    }

    /** A server that looks at each mail for seconds is slow, not down. */
    @ParameterizedTest
    @CsvSource({"RCPT", "'.'"})
    void slowServerIsWaitedForUpToTheTimeOut(String slowAt) throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().slow(slowAt, Duration.ofMillis(400))) {
            assertThat(channelTo(server.port(), Duration.ofSeconds(20)).handOver(mailTo("a@quay.example"))).isEqualTo(new Handover.Accepted());
        }
    }

    /** Each answer comes within the idle time-out, all together do not: the time-out is one for the whole mail. */
    @Test
    void serverThatIsSlowAtEveryStepIsGivenUpWhenTheTimeOutHasPassed() throws Exception {
        Duration pause = TIMEOUT.dividedBy(2);
        try (ScriptedMailServer server = new ScriptedMailServer().slow("EHLO", pause).slow("MAIL", pause).slow("RCPT", pause).slow("DATA", pause)) {
            long begun = System.nanoTime();

            assertThat(channelTo(server.port()).handOver(mailTo("a@quay.example"))).isInstanceOf(Handover.Unreachable.class);
            assertThat(Duration.ofNanos(System.nanoTime() - begun)).isLessThan(pause.multipliedBy(4));
        }
    }

    @Test
    void repeatBearsTheSameMessageIdAndConversation() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer().answer(".", ScriptedMailServer.CUT)) {
            SmtpChannel channel = channelTo(server.port());
            channel.handOver(mailTo("a@quay.example"));
            server.behaveWell();
            channel.handOver(mailTo("a@quay.example"));

            List<String> ids = server.lines().stream().filter(line -> line.startsWith("Message-ID:")).toList();
            assertThat(ids).hasSize(2);
            assertThat(ids.get(0)).isEqualTo(ids.get(1));
        }
    }

    @Test
    void greetingIsHeardHoweverManyThreadsOpenConnections() throws Exception {
        try (ScriptedMailServer server = new ScriptedMailServer()) {
            SmtpChannel channel = channelTo(server.port(), Duration.ofSeconds(20), Map.of("quarkus.mailer.keep-alive", "false",
                    "quarkus.mailer.max-pool-size", "100"));
            for (int round = 0; round < 100; round++) {
                ExecutorService senders = Executors.newFixedThreadPool(20);
                List<Future<Handover>> answers = IntStream.range(0, 20)
                        .mapToObj(i -> senders.submit(() -> channel.handOver(mailTo("a@quay.example")))).toList();
                senders.shutdown();
                for (Future<Handover> answer : answers) {
                    assertThat(answer.get()).isEqualTo(new Handover.Accepted());
                }
            }
        }
    }
}
