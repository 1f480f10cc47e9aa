package org.lampkeeper.web;

import java.time.Instant;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.check.Answer;
import org.lampkeeper.watch.CheckDesk.Taken;
import org.lampkeeper.watch.CheckDesk.Told;

import static org.assertj.core.api.Assertions.assertThat;

class KeptWordsTest {

    private static final Instant NOW = Instant.parse("2026-11-25T10:05:00Z");

    @ParameterizedTest
    @EnumSource(value = Taken.class, names = {"NOT_ASKED", "OVER", "NO_ANSWER"})
    void whatIsNotRecordedSaysSoFirstAndWhomToCall(Taken taken) {
        assertThat(KeptWords.told(new Told(taken, Optional.empty()), Answer.OUT, NOW)).startsWith("Not recorded: ").contains("Call whoever is on duty");
    }

    @Test
    void whatWasSaidOnSomebodyElsesPhoneIsNotTheNewOwners() {
        assertThat(KeptWords.ofSomebodyElse("M. Teal")).startsWith("Not recorded: somebody else said it, before this phone became that of M. Teal.");
    }

    @Test
    void cabinetThatIsGoneMeanwhileDoesNotHideThatItWasRecorded() {
        assertThat(KeptWords.told(new Told(Taken.REPEATED, Optional.empty()), Answer.LIT, NOW)).startsWith("Recorded before.");
    }
}
