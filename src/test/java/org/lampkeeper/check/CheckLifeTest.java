package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.check.CheckLife.Decision;
import org.lampkeeper.check.CheckLife.Step;

import static org.assertj.core.api.Assertions.assertThat;

class CheckLifeTest {

    private static final Instant NINE = Instant.parse("2026-11-02T09:00:00Z");
    private static final Instant ELEVEN = NINE.plus(Duration.ofHours(2));
    private static final Instant MISSED = ELEVEN.plus(Duration.ofMinutes(30));
    private static final CheckDue DUE = new CheckDue(LocalDate.of(2026, 11, 2), NINE, ELEVEN, MISSED, false);

    private static CheckLife opened() {
        return CheckLife.open(DUE, NINE).life();
    }

    @Test
    void remindsAtOpeningHalfWayAndShortlyBeforeClosingThenMisses() {
        List<Instant> asked = new ArrayList<>();
        Step step = CheckLife.open(DUE, NINE);
        Instant now = NINE;
        while (step.next().isPresent()) {
            if (step.decisions().contains(Decision.ASK)) {
                asked.add(now);
            }
            now = step.next().get();
            step = step.life().timePassed(now);
        }

        assertThat(asked).containsExactly(NINE, NINE.plus(Duration.ofHours(1)), ELEVEN.minus(Duration.ofMinutes(20)));
        assertThat(now).isEqualTo(MISSED);
        assertThat(step.decisions()).containsExactly(Decision.RAISE_MISSED);
        assertThat(step.life().state()).isEqualTo(CheckState.MISSED);
    }

    @Test
    void lookThatIsTakenBackOpensTheCheckAgainAndClearsNothing() {
        CheckLife done = opened().looked(Answer.OUT, LookTime.now(NINE)).life();

        Step inTime = done.tookBack(NINE.plus(Duration.ofMinutes(10)));
        assertThat(inTime.life()).isEqualTo(opened());
        assertThat(inTime.decisions()).isEmpty();
        assertThat(inTime.next()).contains(NINE.plus(Duration.ofHours(1)));
        assertThat(done.tookBack(MISSED).decisions()).containsExactly(Decision.RAISE_MISSED);
        assertThat(opened().tookBack(NINE).life()).as("there was no look to take back").isEqualTo(opened());
        CheckLife missed = opened().timePassed(MISSED).life();
        assertThat(missed.tookBack(MISSED)).isEqualTo(new Step(missed, List.of(), Optional.empty(), false));
    }

    @Test
    void serverThatWasDownOverTheOpeningAsksOnce() {
        Step late = CheckLife.open(DUE, NINE.plus(Duration.ofMinutes(80)));

        assertThat(late.decisions()).containsExactly(Decision.ASK);
        assertThat(late.next()).contains(ELEVEN.minus(Duration.ofMinutes(20)));
        assertThat(CheckLife.open(DUE, MISSED).decisions()).containsExactly(Decision.RAISE_MISSED);
        assertThat(CheckLife.open(DUE, ELEVEN).life().timePassed(MISSED.minusNanos(1)).decisions()).as("too late to ask, too soon to miss").isEmpty();
    }

    /** Both ends of the window and of what is received in time. */
    @ParameterizedTest
    @CsvSource({"2026-11-02T08:59:59Z, 0, OPEN, false", "2026-11-02T09:00:00Z, 0, DONE, true", "2026-11-02T10:59:59Z, 86400, DONE, true",
            "2026-11-02T10:59:59Z, 86401, OPEN, false", "2026-11-02T11:00:00Z, 0, OPEN, false"})
    void lookCountsWhenItWasOnTimeAndCameInTime(Instant lookedAt, long secondsUnderWay, CheckState state, boolean isCounted) {
        Step step = opened().looked(Answer.LIT, new LookTime(lookedAt, lookedAt.plusSeconds(secondsUnderWay), java.util.Optional.empty()));

        assertThat(step.life().state()).isEqualTo(state);
        assertThat(step.isCounted()).isEqualTo(isCounted);
    }

    @Test
    void lookThatWasOnTimeAndUnderWayEndsTheMissedOne() {
        CheckLife missed = opened().timePassed(MISSED).life();

        Step kept = missed.looked(Answer.LIT, new LookTime(NINE.plusSeconds(60), MISSED.plusSeconds(3600), java.util.Optional.empty()));
        Step late = missed.looked(Answer.LIT, LookTime.now(MISSED.plusSeconds(3600)));

        assertThat(kept.life().state()).isEqualTo(CheckState.DONE);
        assertThat(kept.decisions()).contains(Decision.END_MISSED);
        assertThat(late.life().state()).as("history is not rewritten").isEqualTo(CheckState.MISSED);
        assertThat(late.decisions()).as("but somebody has looked now").contains(Decision.END_MISSED);
    }

    @ParameterizedTest
    @CsvSource({"OUT, RAISE_OUT", "DAMAGED, RAISE_DAMAGED"})
    void whatNeedsAPersonIsRaisedAtOnceEvenByALateLook(Answer answer, Decision decision) {
        assertThat(opened().looked(answer, LookTime.now(NINE.plusSeconds(5))).decisions()).containsExactly(decision);
        assertThat(opened().timePassed(MISSED).life().looked(answer, LookTime.now(MISSED.plusSeconds(5))).decisions())
                .containsExactly(decision, Decision.END_MISSED);
    }

    @Test
    void couldNotSeeIsAskedAgainAndThenMissed() {
        Step step = opened().looked(Answer.NOT_SEEN, LookTime.now(NINE.plusSeconds(60)));

        assertThat(step.life().state()).isEqualTo(CheckState.OPEN);
        assertThat(step.next()).contains(NINE.plusSeconds(60).plus(CheckLife.ASKED_AGAIN_AFTER));
        assertThat(step.life().timePassed(step.next().get()).decisions()).containsExactly(Decision.ASK);
        assertThat(step.life().timePassed(MISSED).decisions()).containsExactly(Decision.RAISE_MISSED);
    }

    @Test
    void correctionIsALookOfItsOwnAndAnOlderOneThatArrivesLaterChangesNothing() {
        CheckLife out = opened().looked(Answer.OUT, LookTime.now(NINE.plusSeconds(60))).life();

        Step corrected = out.looked(Answer.LIT, LookTime.now(NINE.plusSeconds(90)));
        Step older = corrected.life().looked(Answer.OUT, new LookTime(NINE.plusSeconds(30), NINE.plusSeconds(300), java.util.Optional.empty()));

        assertThat(corrected.decisions()).containsExactly(Decision.END_REPORTED);
        assertThat(older.decisions()).isEmpty();
        assertThat(older.life().latest()).contains(new CheckLife.Seen(Answer.LIT, NINE.plusSeconds(90)));
    }

    @ParameterizedTest
    @EnumSource(Answer.class)
    void afterTheEndNothingIsAskedAnyMore(Answer answer) {
        CheckLife done = opened().looked(Answer.LIT, LookTime.now(NINE.plusSeconds(60))).life();

        assertThat(done.looked(answer, LookTime.now(NINE.plusSeconds(90))).next()).isEmpty();
        assertThat(done.timePassed(MISSED)).isEqualTo(new Step(done, List.of(), java.util.Optional.empty(), false));
    }

    /** Whatever happens: an open check is waited for, a missed one was raised once, and a look on time is never missed. */
    @Property
    void openCheckAlwaysHasANextMomentAndIsMissedAtMostOnce(@ForAll @Size(max = 12) List<@IntRange(min = -30, max = 300) Integer> minutes,
            @ForAll @Size(max = 12) List<Answer> answers) {
        CheckLife life = opened();
        int missed = 0;
        boolean onTime = false;
        Instant last = NINE;
        for (int i = 0; i < Math.min(minutes.size(), answers.size()); i++) {
            Instant now = NINE.plus(Duration.ofMinutes(minutes.get(i)));
            last = now.isAfter(last) ? now : last;
            Step step = i % 2 == 0 ? life.timePassed(last) : life.looked(answers.get(i), new LookTime(now, last, java.util.Optional.empty()));
            onTime |= step.isCounted();
            missed += step.decisions().contains(Decision.RAISE_MISSED) ? 1 : 0;
            life = step.life();
            assertThat(life.state().isOver()).isEqualTo(step.next().isEmpty());
            assertThat(step.next().orElse(NINE)).isAfterOrEqualTo(NINE);
        }
        assertThat(missed).isLessThanOrEqualTo(1);
        assertThat(life.state() == CheckState.DONE).isEqualTo(onTime);
    }
}
