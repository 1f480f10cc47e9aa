package org.lampkeeper.proof;

import java.net.URI;
import java.sql.SQLException;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;

import org.lampkeeper.journal.JournalProof;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.proof.StagedMailServer.Stage;
import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.TestInstallation;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.TestInstallation.address;
import static org.lampkeeper.testing.TestInstallation.cabinet;

/**
 * A service that is killed once a round and started again on what it left behind. Each round one cabinet loses its supply; whatever the
 * moment of the kill, it must come to exactly one alarm, at least one mail (repeats under the same Message-ID), and the next person on
 * the list, and it must end as every other alarm does.
 */
final class KillStage implements AutoCloseable {

    /** The moments between a sensor's report and the end of the first delivery. */
    enum Moment {
        /** The broker has acknowledged the sensor's report; the service may have seen it or not. */
        PUBLISHED,
        /** The report's effect is committed; the broker has not been told, and will deliver again. At the embedded broker: see there. */
        COMMITTED,
        /**
         * The service has acknowledged the report, and the broker will not deliver it again: what was not durable at that moment is lost.
         * Only where the broker outlives the service.
         */
        ACKNOWLEDGED,
        /** A delivery has been begun, and the mail server has not asked for its text yet. */
        BEFORE_SEND,
        /** The mail server has the mail; the service was not told. */
        TAKEN_BY_MAIL_SERVER,
        /** The mail server has said so; the service had no time to speak of to record it. */
        ANSWERED_BY_MAIL_SERVER;

        static List<Moment> at(BrokerKind broker) {
            return Stream.of(values()).filter(moment -> moment != ACKNOWLEDGED || broker == BrokerKind.MOSQUITTO).toList();
        }
    }

    static final int CABINETS = 12;

    /** After the first message. */
    private static final Duration MORE_IS_TOLD_AFTER = Duration.ofSeconds(20);

    private static final TestInstallation INSTALLATION = TestInstallation.of(CABINETS, Duration.ZERO, Duration.ofSeconds(2), Duration.ofMinutes(20));

    private final StagedMailServer mailServer = new StagedMailServer();
    private final Surroundings here;
    private final Optional<AcknowledgementGate> gate;

    KillStage(String name, Database database, BrokerKind broker, Duration confirm) throws Exception {
        here = Surroundings.of(name, database, broker, INSTALLATION);
        gate = here.mosquitto().map(mosquitto -> new AcknowledgementGate(mosquitto.uri()));
        gate.ifPresent(between -> here.service().at(between.uri()));
        here.service().with("lampkeeper.watch.confirm", confirm).mailTo(mailServer.port()).start();
    }

    ServiceProcess service() {
        return here.service();
    }

    /** The cabinet must not have an open alarm. */
    void loseSupplyAndDieAt(Moment moment, int cabinet) throws Exception {
        loseSupplyAndDie(cabinet, kill -> plan(moment, cabinet, kill), moment == Moment.PUBLISHED ? Optional.of(Duration.ZERO) : Optional.empty());
        if (moment == Moment.TAKEN_BY_MAIL_SERVER) {
            assertThat(callsFor(cabinet, 0)).as("mails of which the service could not know that they were taken").hasSizeGreaterThanOrEqualTo(2);
        }
    }

    /** The same, killed so long after the broker has acknowledged the loss, wherever the service is then. */
    void loseSupplyAndDieAfter(Duration pause, int cabinet) throws Exception {
        loseSupplyAndDie(cabinet, kill -> { }, Optional.of(pause));
    }

    /**
     * Two cabinets are lost, the second after two people were told of the first: both hear of the second in a message of what has joined.
     *
     * @param stage at which the first of these messages is when the service dies; empty: as it comes due, wherever that is then
     */
    void loseOneMoreAndDieAt(Optional<Stage> stage, int first, int second) throws Exception {
        roundBegan = mailServer.mails().size();
        try (SensorClient one = here.sensor(first); SensorClient two = here.sensor(second)) {
            newestAlarmBefore = AlarmsPage.of(service()).newest();
            one.says(true);
            two.says(true);
            one.says(false);
            await("first person told").atMost(Surroundings.patience()).until(() -> !callsFor(first, 0).isEmpty());
            CompletableFuture<Void> killed = new CompletableFuture<>();
            Runnable kill = () -> {
                service().killHard();
                killed.complete(null);
            };
            if (stage.isEmpty()) {
                CompletableFuture.delayedExecutor(MORE_IS_TOLD_AFTER.toMillis(), TimeUnit.MILLISECONDS).execute(kill);
            }
            await("next person told").atMost(Surroundings.patience()).until(() -> !callsFor(first, 1).isEmpty());
            stage.ifPresent(at -> mailServer.at(at, kill));
            two.says(false);
            killed.get(Surroundings.patience().plus(MORE_IS_TOLD_AFTER).toSeconds(), TimeUnit.SECONDS);

            service().start();
            for (int turn = 0; turn < 2; turn++) {
                int person = turn;
                await("told of the second cabinet: person " + turn).atMost(Surroundings.patience().plus(MORE_IS_TOLD_AFTER))
                        .until(() -> !moreFor(second, person).isEmpty());
            }
            assertThat(AlarmsPage.of(service()).newerThan(newestAlarmBefore).open()).hasSize(2);
            itEndsAsUsual(List.of(first, second), moreFor(second, 1).get(0).link().orElseThrow(), List.of(one, two));
            for (int turn = 0; turn < 2; turn++) {
                assertThat(moreFor(second, turn)).extracting(Mail::messageId).as("told once, or repeated under the same Message-ID: person " + turn)
                        .containsOnly(moreFor(second, turn).get(0).messageId());
            }
            if (stage.equals(Optional.of(Stage.TAKEN))) {
                assertThat(moreFor(second, 0).size() + moreFor(second, 1).size()).as("one of which the service could not know that it was taken")
                        .isGreaterThanOrEqualTo(3);
            }
        }
    }

    /** Messages of this round to the person with this turn of what has joined. */
    private List<Mail> moreFor(int cabinet, int turn) {
        List<Mail> all = mailServer.mails();
        return all.subList(roundBegan, all.size()).stream().filter(mail -> mail.to().contains(address(turn + 1))
                && mail.subject().startsWith("One more cabinet") && mail.labels().contains("Q" + cabinet)).toList();
    }

    private interface Plan {
        void with(Runnable kill);
    }

    private int roundBegan;
    private long newestAlarmBefore;

    private void loseSupplyAndDie(int cabinet, Plan plan, Optional<Duration> killAfter) throws Exception {
        roundBegan = mailServer.mails().size();
        try (SensorClient sensor = here.sensor(cabinet)) {
            newestAlarmBefore = AlarmsPage.of(service()).newest();
            sensor.says(true);
            CompletableFuture<Void> killed = new CompletableFuture<>();
            Runnable kill = () -> {
                service().killHard();
                killed.complete(null);
            };
            plan.with(kill);

            String lost = sensor.report(false);
            boolean accepted = sensor.tryToPublish(lost);
            if (killAfter.isPresent()) {
                CompletableFuture.delayedExecutor(killAfter.get().toMillis(), TimeUnit.MILLISECONDS).execute(kill);
            }
            killed.get(Surroundings.patience().toSeconds(), TimeUnit.SECONDS);

            service().start();
            if (!accepted) {
                // A sensor sends again what was not acknowledged.
                sensor.publish(lost);
            }
            itComesToOneAlarmAndClimbs(cabinet);
            itEndsAsUsual(List.of(cabinet), callsFor(cabinet, 1).get(0).link().orElseThrow(), List.of(sensor));
        }
    }

    private void plan(Moment moment, int cabinet, Runnable kill) {
        String topic = "lampkeeper/v1/" + TestInstallation.device(cabinet) + "/report";
        String loss = "\"vb\":false";
        switch (moment) {
            case PUBLISHED -> { }
            case COMMITTED -> gate.ifPresentOrElse(between -> between.insteadOfAcknowledging(topic, loss, kill),
                    // Its broker dies with it, so nobody stands between; that a mail is begun shows that all is committed.
                    () -> mailServer.at(Stage.BEGUN, kill));
            case ACKNOWLEDGED -> gate.orElseThrow().beforeAcknowledging(topic, loss, kill);
            case BEFORE_SEND -> mailServer.at(Stage.BEFORE_TEXT, kill);
            case TAKEN_BY_MAIL_SERVER -> mailServer.at(Stage.TAKEN, kill);
            case ANSWERED_BY_MAIL_SERVER -> mailServer.at(Stage.ANSWERED, kill);
        }
    }

    /** Calls to the person with this turn, of this round. */
    private List<Mail> callsFor(int cabinet, int turn) {
        List<Mail> all = mailServer.mails();
        return all.subList(roundBegan, all.size()).stream().filter(mail -> mail.callsOut(address(turn + 1), cabinet(cabinet))).toList();
    }

    private void itComesToOneAlarmAndClimbs(int cabinet) {
        await("first person told").atMost(Surroundings.patience()).until(() -> !callsFor(cabinet, 0).isEmpty());
        await("next person told").atMost(Surroundings.patience()).until(() -> !callsFor(cabinet, 1).isEmpty());
        AlarmsPage alarms = AlarmsPage.of(service()).newerThan(newestAlarmBefore);
        assertThat(alarms.open()).as("open since this round began").hasSize(1);
        assertThat(alarms.openOf(cabinet(cabinet))).hasSize(1);
        assertThat(alarms.past()).as("over since this round began").isEmpty();
        for (int turn = 0; turn < 2; turn++) {
            assertThat(callsFor(cabinet, turn)).extracting(Mail::messageId).as("Message-IDs to turn " + turn).containsOnly(
                    callsFor(cabinet, turn).get(0).messageId());
        }
    }

    private void itEndsAsUsual(List<Integer> cabinets, URI link, List<SensorClient> sensors) throws Exception {
        assertThat(service().post(link.getPath() + "/take").status()).isEqualTo(303);
        for (SensorClient sensor : sensors) {
            sensor.says(true);
        }
        await("alarm over").atMost(Surroundings.patience()).untilAsserted(() -> {
            AlarmsPage alarms = AlarmsPage.of(service()).newerThan(newestAlarmBefore);
            assertThat(alarms.open()).isEmpty();
            cabinets.forEach(cabinet -> assertThat(alarms.pastOf(cabinet(cabinet))).hasSize(1));
            assertThat(alarms.past()).hasSameSizeAs(cabinets);
        });
        await("nothing left to send").atMost(Surroundings.patience()).until(
                () -> service().metric("lampkeeper_messages_waiting") == 0 && service().metric("lampkeeper_deadlines_overdue") == 0);
    }

    /** Stops the service and looks into its database: one alarm a round and no other, every message settled, the journal whole. */
    void settleAfter(long rounds) throws Exception {
        settleAfter(rounds, rounds);
    }

    /** The same after so many losses, in rounds of a call-out each. */
    void settleAfter(long losses, long rounds) throws Exception {
        service().stop();
        assertThat(here.count("SELECT COUNT(*) FROM alarm")).isEqualTo(losses);
        assertThat(here.count("SELECT COUNT(*) FROM alarm WHERE kind = 'SUPPLY_LOST' AND closed_at IS NOT NULL")).isEqualTo(losses);
        assertThat(here.count("SELECT COUNT(*) FROM call_out")).isEqualTo(rounds);
        assertThat(here.count("SELECT COUNT(*) FROM outgoing_message WHERE state NOT IN ('SENT', 'NOT_NEEDED')")).isZero();
        assertThat(journal()).isInstanceOf(Verdict.Intact.class);
    }

    private Verdict journal() throws SQLException {
        return JournalProof.verify(here.database(), mailServer.mails().stream().map(Mail::journal).toList());
    }

    @Override
    public void close() throws Exception {
        here.close();
        mailServer.close();
        if (gate.isPresent()) {
            gate.get().close();
        }
    }
}
