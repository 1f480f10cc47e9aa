package org.lampkeeper.proof;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

import org.lampkeeper.proof.KillStage.Moment;
import org.lampkeeper.proof.StagedMailServer.Stage;
import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;
import org.lampkeeper.testing.EnabledIfTool;

import static org.lampkeeper.proof.KillStage.Moment.ACKNOWLEDGED;
import static org.lampkeeper.proof.KillStage.Moment.COMMITTED;
import static org.lampkeeper.proof.KillStage.Moment.PUBLISHED;

/** SIGKILL at each named moment, on each database. The rounds of one installation follow each other: what one round leaves, the next finds. */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool("mosquitto")
class KillIT {

    static Stream<Arguments> installations() {
        return Stream.of(
                Arguments.of(Database.H2, BrokerKind.EMBEDDED, Duration.ZERO, Moment.at(BrokerKind.EMBEDDED)),
                Arguments.of(Database.POSTGRESQL, BrokerKind.MOSQUITTO, Duration.ZERO, Moment.at(BrokerKind.MOSQUITTO)),
                Arguments.of(Database.H2, BrokerKind.MOSQUITTO, Duration.ofSeconds(1), List.of(PUBLISHED, COMMITTED, ACKNOWLEDGED)),
                Arguments.of(Database.POSTGRESQL, BrokerKind.EMBEDDED, Duration.ofSeconds(1), List.of(PUBLISHED, COMMITTED)));
    }

    @ParameterizedTest(name = "{0}, {1}, confirm {2}: {3}")
    @MethodSource("installations")
    void killAtAnyMomentLeavesOneAlarmAndAtLeastOneMail(Database database, BrokerKind broker, Duration confirm, List<Moment> moments)
            throws Exception {
        try (KillStage stage = new KillStage("kill-" + database + "-" + broker, database, broker, confirm)) {
            for (Moment moment : moments) {
                stage.loseSupplyAndDieAt(moment, 1 + moment.ordinal());
            }
            stage.settleAfter(moments.size());
        }
    }

    /** Half of the moments in each of two surroundings: what is told of more than one is the same code in both. */
    static Stream<Arguments> toldOfMore() {
        return Stream.of(
                Arguments.of(Database.H2, BrokerKind.EMBEDDED, List.of(Optional.empty(), Optional.of(Stage.TAKEN))),
                Arguments.of(Database.POSTGRESQL, BrokerKind.MOSQUITTO, List.of(Optional.of(Stage.BEGUN), Optional.of(Stage.BEFORE_TEXT))));
    }

    @ParameterizedTest(name = "{0}, {1}")
    @MethodSource("toldOfMore")
    void killWhileWhatHasJoinedIsToldLosesNobodyAndRepeatsUnderTheSameNumber(Database database, BrokerKind broker, List<Optional<Stage>> stages)
            throws Exception {
        try (KillStage stage = new KillStage("kill-together-" + database + "-" + broker, database, broker, Duration.ZERO)) {
            for (int round = 0; round < stages.size(); round++) {
                stage.loseOneMoreAndDieAt(stages.get(round), 1 + 2 * round, 2 + 2 * round);
            }
            stage.settleAfter(2L * stages.size(), stages.size());
        }
    }
}
