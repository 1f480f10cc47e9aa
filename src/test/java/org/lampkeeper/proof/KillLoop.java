package org.lampkeeper.proof;

import java.time.Duration;
import java.util.List;
import java.util.Random;

import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.proof.KillStage.Moment;
import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;

/**
 * Many kills, half of them at a named moment and half at a random one: a command of its own (docs/proofs.md), since a round takes some 10 s.
 * {@code -Dkill.rounds=} for each installation, {@code -Dkill.seed=} to repeat a run.
 */
@ExtendWith(LogOnFailure.class)
class KillLoop {

    private static final int ROUNDS = Integer.getInteger("kill.rounds", 100);
    private static final long SEED = Long.getLong("kill.seed", System.nanoTime());
    // From the report to the second person's mail it takes 2 s.
    private static final int LATEST_MS = 3_000;

    @ParameterizedTest(name = "{0}, {1}, confirm {2} ms")
    @CsvSource({
        "H2,         EMBEDDED,  0",
        "POSTGRESQL, MOSQUITTO, 1000",
    })
    void everyKillLeavesOneAlarmAndAtLeastOneMail(Database database, BrokerKind broker, long confirmMs) throws Exception {
        Random random = new Random(SEED);
        System.out.printf("%s, %s: %d rounds, -Dkill.seed=%d%n", database, broker, ROUNDS, SEED);
        try (KillStage stage = new KillStage("kill-loop-" + database + "-" + broker, database, broker, Duration.ofMillis(confirmMs))) {
            for (int round = 0; round < ROUNDS; round++) {
                int cabinet = 1 + round % KillStage.CABINETS;
                if (random.nextBoolean()) {
                    List<Moment> moments = Moment.at(broker);
                    Moment moment = moments.get(random.nextInt(moments.size()));
                    System.out.printf("round %d: killed at %s%n", round, moment);
                    stage.loseSupplyAndDieAt(moment, cabinet);
                } else {
                    Duration pause = Duration.ofMillis(random.nextInt(LATEST_MS));
                    System.out.printf("round %d: killed %d ms after the report%n", round, pause.toMillis());
                    stage.loseSupplyAndDieAfter(pause, cabinet);
                }
            }
            stage.settleAfter(ROUNDS);
        }
    }
}
