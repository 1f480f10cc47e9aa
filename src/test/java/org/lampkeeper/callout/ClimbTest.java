package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.callout.Climb.Step;
import org.lampkeeper.callout.Climb.Upcoming;
import org.lampkeeper.callout.Decision.NotTakenOver;
import org.lampkeeper.callout.Decision.Reason;
import org.lampkeeper.callout.Decision.Tell;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class ClimbTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final Duration REPEAT = Duration.ofMinutes(30);
    private static final Duration CALL_AGAIN = Duration.ofHours(4);
    private static final Duration OFFER = Duration.ofMinutes(15);

    /** Teal (1) and the duty manager at once, Wren (3) after 10 min, Marsh (4) after 5 more, the electrician together with Marsh. */
    private static final List<Turn> TURNS = List.of(turn(1, 0), duty(DutyRole.DUTY_MANAGER, 0), turn(3, 10), turn(4, 5),
            duty(DutyRole.ELECTRICIAN, 0));
    private static final ClimbRules RULES = rules(new CallOutList(TURNS, REPEAT, 2, true));
    private static final Tell FIRST_TURN = new Tell(List.of(new Whom.Person(1), new Whom.OnDutyFor(DutyRole.DUTY_MANAGER)));

    @Test
    void listIsGoneThroughAsOftenAsItSaysAndThenEverybodyIsToldAgainAndAgain() {
        Climb climb = Climb.NEW;
        StringBuilder course = new StringBuilder();
        Step step = climb.on(new Fact.Needed(), RULES, NOON);
        for (int i = 0; i < 9; i++) {
            Instant at = step.next().nextAt().orElseThrow();
            course.append(words(step)).append(" | ");
            step = step.next().on(new Fact.Due(step.next().version()), RULES, at);
        }

        assertThat(course.toString()).isEqualTo("tell 1 DUTY_MANAGER, +10 | tell 3, +15 | tell 4 ELECTRICIAN, +45 | "
                + "tell 1 DUTY_MANAGER, +55 | tell 3, +60 | tell 4 ELECTRICIAN, +90 | "
                + "everybody, +120 | everybody, +150 | everybody, +180 | ");
    }

    @Test
    void withoutALastResortTheListBeginsAgainForEver() {
        ClimbRules rules = rules(new CallOutList(List.of(turn(1, 0), turn(2, 10)), REPEAT, 1, false));
        Step step = Climb.NEW.on(new Fact.Needed(), rules, NOON);
        for (int i = 0; i < 20; i++) {
            step = due(step.next(), rules);
        }

        assertThat(step.next().phase()).isEqualTo(Phase.CLIMBING);
        assertThat(step.decisions()).containsExactly(tell(1));
        assertThat(step.next().round()).isEqualTo(10);
    }

    @ParameterizedTest
    @CsvSource({
            // the list has turns; a last resort; what is done first; minutes to the next
            "true, true, 'tell 1 DUTY_MANAGER', 10",
            "true, false, 'tell 1 DUTY_MANAGER', 10",
            "false, true, everybody, 30",
            "false, false, nobody, 5"})
    void emptyListGoesStraightToTheLastResort(boolean hasTurns, boolean lastResort, String does, int minutes) {
        ClimbRules rules = rules(new CallOutList(hasTurns ? TURNS : List.of(), REPEAT, 3, lastResort));

        Step step = Climb.NEW.on(new Fact.Needed(), rules, NOON);

        assertThat(words(step)).isEqualTo(does + ", +" + minutes);
    }

    @Test
    void firstTurnMayHaveTime() {
        ClimbRules rules = rules(new CallOutList(List.of(turn(1, 5), turn(2, 10)), REPEAT));

        Step begun = Climb.NEW.on(new Fact.Needed(), rules, NOON);
        Step told = due(begun.next(), rules);

        assertThat(begun.decisions()).isEmpty();
        assertThat(begun.next().nextAt()).hasValue(NOON.plus(Duration.ofMinutes(5)));
        assertThat(told.decisions()).containsExactly(tell(1));
    }

    @Test
    void firstTurnOfALaterRoundIsNotToldTogetherWithTheLastOfThisOne() {
        ClimbRules rules = rules(new CallOutList(List.of(turn(1, 0), turn(2, 0)), REPEAT));

        Step first = Climb.NEW.on(new Fact.Needed(), rules, NOON);
        Step second = due(first.next(), rules);

        assertThat(first.decisions()).containsExactly(tell(1, 2));
        assertThat(second.decisions()).containsExactly(tell(1, 2));
        assertThat(second.next().nextAt()).hasValue(NOON.plus(REPEAT).plus(REPEAT));
    }

    @Test
    void listThatBecameShorterAtNightEndsItsRound() {
        Climb afterFour = due(due(started().next(), RULES).next(), RULES).next();
        ClimbRules shorter = rules(new CallOutList(List.of(turn(7, 0), turn(8, 10)), REPEAT, 2, true));

        Step step = due(afterFour, shorter);

        assertThat(step.decisions()).containsExactly(tell(7));
        assertThat(step.next().round()).isEqualTo(1);
    }

    @Test
    void staleDeadlineDoesNothingAndNorDoesOneThatHasNotCome() {
        Climb climb = started().next();

        assertThat(climb.on(new Fact.Due(climb.version() - 1), RULES, NOON.plus(CALL_AGAIN)).next()).isEqualTo(climb);
        assertThat(climb.on(new Fact.Due(climb.version()), RULES, NOON.plusSeconds(599)).next()).isEqualTo(climb);
        assertThat(climb.on(new Fact.Due(climb.version()), RULES, NOON.plusSeconds(600)).decisions()).containsExactly(tell(3));
    }

    @ParameterizedTest
    @CsvSource({
            // promised after, arrives after, cold after (minutes; -1: not); called again after, why
            "-1, -1, -1, 240, NOT_BACK_TO_NORMAL",
            "20, -1, -1, 20, NOT_ARRIVED",
            "20, 15, -1, 240, NOT_BACK_TO_NORMAL",
            "-1, -1, 70, 40, COLD",
            "20, 15, 70, 40, COLD",
            "90, -1, 70, 40, COLD",
            "-1, -1, 20, 10, COLD",
            "-1, -1, 900, 240, NOT_BACK_TO_NORMAL",
            "300, -1, -1, 240, NOT_BACK_TO_NORMAL"})
    void whoeverHasItIsCalledAgainAtTheEarliestOfPromiseAndHalfAnHourBeforeColdAndTime(int promised, int arrives, int cold, int again, Reason reason) {
        ClimbRules rules = new ClimbRules(RULES.list(), CALL_AGAIN, OFFER, after(cold));
        Climb climb = started().next().on(new Fact.Taken(1, after(promised)), rules, NOON).next();
        if (arrives >= 0) {
            climb = climb.on(new Fact.Arrived(), rules, after(arrives).orElseThrow()).next();
        }

        assertThat(climb.nextAt()).isEqualTo(after(again));
        Step step = due(climb, rules);
        assertThat(step.decisions()).startsWith(new Decision.CallAgain(1, reason), FIRST_TURN);
        assertThat(step.next()).extracting(Climb::phase, Climb::round, Climb::told).containsExactly(Phase.CLIMBING, 0, 2);
    }

    @Test
    void contentThatIsColdAlreadyDoesNotCallTheTakerAgainAtOnce() {
        ClimbRules rules = new ClimbRules(RULES.list(), CALL_AGAIN, OFFER, Optional.of(NOON.minusSeconds(60)));

        assertThat(started().next().on(new Fact.Taken(1, Optional.empty()), rules, NOON).next().nextAt()).hasValue(NOON.plus(CALL_AGAIN));
    }

    @Test
    void takingIsOfTheFirstAndTellsTheOthers() {
        Step taken = started().next().on(new Fact.Taken(3, Optional.empty()), RULES, NOON);
        Step again = taken.next().on(new Fact.Taken(3, Optional.empty()), RULES, NOON.plusSeconds(60));
        Step other = taken.next().on(new Fact.Taken(1, Optional.empty()), RULES, NOON.plusSeconds(60));

        assertThat(taken.decisions()).containsExactly(new Decision.TellTaken(3));
        assertThat(again).isEqualTo(new Step(taken.next(), List.of(), Optional.empty()));
        assertThat(other.refused()).hasValue("Somebody has this already.");
        assertThat(other.next()).isEqualTo(taken.next());
    }

    @Test
    void arrivalMayBePromisedLaterAndMustLieAhead() {
        Climb taken = taken();

        Step later = taken.on(new Fact.Taken(1, after(45)), RULES, NOON.plusSeconds(60));
        Step past = taken.on(new Fact.Taken(1, Optional.of(NOON)), RULES, NOON);

        assertThat(later.next().nextAt()).isEqualTo(after(45));
        assertThat(later.decisions()).isEmpty();
        assertThat(past.refused()).isPresent();
    }

    @Test
    void handedOnItStaysWithTheFirstUntilTheOtherTakesIt() {
        Step asked = taken().on(new Fact.HandedOn(1, 4), RULES, NOON);
        Step takenOver = asked.next().on(new Fact.Taken(4, after(20)), RULES, NOON.plusSeconds(60));

        assertThat(asked.decisions()).containsExactly(new Decision.Ask(1, 4));
        assertThat(asked.next().taking().orElseThrow().personId()).isEqualTo(1);
        assertThat(asked.next().nextAt()).hasValue(NOON.plus(OFFER));
        assertThat(takenOver.decisions()).containsExactly(new Decision.TellTaken(4));
        assertThat(takenOver.next().taking().orElseThrow().personId()).isEqualTo(4);
    }

    @ParameterizedTest
    @CsvSource({"declines, DECLINED", "says nothing, DID_NOT_ANSWER", "is not reached, NOT_REACHED"})
    void whoeverDoesNotTakeItOverLeavesItWhereItWas(String what, NotTakenOver why) {
        Climb asked = taken().on(new Fact.HandedOn(1, 4), RULES, NOON).next();

        Step step = switch (what) {
            case "declines" -> asked.on(new Fact.CannotCome(4), RULES, NOON.plusSeconds(60));
            case "says nothing" -> due(asked, RULES);
            default -> asked.on(new Fact.NotReached(OptionalLong.of(4), false), RULES, NOON.plusSeconds(60));
        };

        assertThat(step.decisions()).containsExactly(new Decision.TellStillYours(1, 4, why));
        assertThat(step.next().phase()).isEqualTo(Phase.TAKEN);
        assertThat(step.next().nextAt()).hasValue(NOON.plus(CALL_AGAIN));
    }

    @Test
    void onlyWhoeverHasItHandsItOnAndNotToThemselves() {
        assertThat(taken().on(new Fact.HandedOn(3, 4), RULES, NOON).refused()).hasValue("Only the one who has it can hand it on.");
        assertThat(taken().on(new Fact.HandedOn(1, 1), RULES, NOON).refused()).isPresent();
        assertThat(started().next().on(new Fact.HandedOn(1, 4), RULES, NOON).refused()).isPresent();
    }

    @Test
    void askedForAnsweringDoesNotOutlastTheTimeOfWhoHasIt() {
        Climb promised = started().next().on(new Fact.Taken(1, after(10)), RULES, NOON).next();

        Climb asked = promised.on(new Fact.HandedOn(1, 4), RULES, NOON).next();

        assertThat(asked.nextAt()).isEqualTo(after(10));
        assertThat(due(asked, RULES).decisions()).contains(new Decision.CallAgain(1, Reason.NOT_ARRIVED));
    }

    @Test
    void givenBackItGoesOnFromWhereItHadGot() {
        Step step = taken().on(new Fact.CannotCome(1), RULES, NOON.plusSeconds(60));

        assertThat(step.decisions()).containsExactly(new Decision.CallAgain(1, Reason.GIVEN_BACK), tell(3));
        assertThat(step.next().taking()).isEmpty();
    }

    @Test
    void whoeverCannotComeMakesTheNextBeToldNow() {
        Step step = started().next().on(new Fact.CannotCome(1), RULES, NOON.plusSeconds(5));

        assertThat(step.decisions()).containsExactly(tell(3));
        assertThat(step.next().nextAt()).hasValue(NOON.plusSeconds(305));
    }

    @Test
    void whomNoMessageReachesIsNotWaitedForButOnlyInTheFirstRound() {
        Climb first = started().next();
        Climb second = due(due(due(first, RULES).next(), RULES).next(), RULES).next();

        assertThat(first.on(new Fact.NotReached(OptionalLong.of(1), false), RULES, NOON).decisions()).containsExactly(tell(3));
        assertThat(second.round()).isEqualTo(1);
        assertThat(second.on(new Fact.NotReached(OptionalLong.of(1), false), RULES, NOON).next()).isEqualTo(second);
    }

    @ParameterizedTest
    @CsvSource({"true, LAST_RESORT", "false, CLIMBING"})
    void roundThatReachedNobodyAtAllGoesToTheLastResortAtOnce(boolean nobodyYet, Phase phase) {
        Climb allTold = due(due(started().next(), RULES).next(), RULES).next();

        assertThat(allTold.on(new Fact.NotReached(OptionalLong.empty(), nobodyYet), RULES, NOON).next().phase()).isEqualTo(phase);
    }

    @Test
    void restedItGoesOnFromWhereItHadGotAndTellsThoseWhoWereToldBefore() {
        Climb rested = taken().on(new Fact.NotNeeded(), RULES, NOON).next();

        Step step = rested.on(new Fact.Needed(), RULES, NOON.plusSeconds(60));

        assertThat(rested.nextAt()).isEmpty();
        assertThat(step.decisions()).containsExactly(new Decision.TellAgain(), tell(3));
    }

    @ParameterizedTest
    @CsvSource({"0, person 1", "2, person 3", "5, person 1"})
    void nextIsWhoeverStandsThere(int told, String who) {
        Climb climb = new Climb(Phase.CLIMBING, 0, told, Optional.empty(), Optional.empty(), Optional.of(NOON), 1);

        assertThat(climb.upcoming(RULES.list())).hasValue(new Upcoming.NextTurn(new Whom.Person(Long.parseLong(who.substring(7)))));
    }

    @Test
    void afterTheLastRoundEverybodyIsNext() {
        Climb climb = new Climb(Phase.CLIMBING, 1, 5, Optional.empty(), Optional.empty(), Optional.of(NOON), 1);

        assertThat(climb.upcoming(RULES.list())).hasValue(new Upcoming.Everybody());
        assertThat(climb.upcoming(new CallOutList(TURNS, REPEAT, 2, false))).hasValue(new Upcoming.NextTurn(new Whom.Person(1)));
    }

    @Test
    void whatCannotBeIsNoClimb() {
        assertThatThrownBy(() -> new Climb(Phase.CLIMBING, 0, 0, Optional.empty(), Optional.empty(), Optional.empty(), 0))
                .isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> new CallOutList(TURNS, Duration.ZERO)).hasMessageContaining("more than zero");
        assertThatThrownBy(() -> new CallOutList(TURNS, REPEAT, 0, true)).hasMessageContaining("1 or more");
        assertThatThrownBy(() -> turn(1, -1)).hasMessageContaining("zero or more");
    }

    private static Step started() {
        return Climb.NEW.on(new Fact.Needed(), RULES, NOON);
    }

    private static Climb taken() {
        return started().next().on(new Fact.Taken(1, Optional.empty()), RULES, NOON).next();
    }

    private static Step due(Climb climb, ClimbRules rules) {
        return climb.on(new Fact.Due(climb.version()), rules, climb.nextAt().orElseThrow());
    }

    private static String words(Step step) {
        StringBuilder words = new StringBuilder();
        for (Decision decision : step.decisions()) {
            if (decision instanceof Tell tell) {
                words.append("tell");
                tell.whom().forEach(whom -> words.append(' ').append(whom instanceof Whom.Person person ? "" + person.personId()
                        : ((Whom.OnDutyFor) whom).role().name()));
            } else {
                words.append(decision instanceof Decision.TellEverybody ? "everybody" : decision instanceof Decision.NobodyToTell ? "nobody" : "?");
            }
        }
        return words + ", +" + Duration.between(NOON, step.next().nextAt().orElseThrow()).toMinutes();
    }

    private static Tell tell(long... people) {
        return new Tell(Arrays.stream(people).<Whom>mapToObj(Whom.Person::new).toList());
    }


    private static Optional<Instant> after(int minutes) {
        return minutes < 0 ? Optional.empty() : Optional.of(NOON.plus(Duration.ofMinutes(minutes)));
    }

    private static Turn turn(long person, int minutes) {
        return new Turn(person, Duration.ofMinutes(minutes));
    }

    private static Turn duty(DutyRole role, int minutes) {
        return new Turn(new Whom.OnDutyFor(role), Duration.ofMinutes(minutes));
    }

    private static ClimbRules rules(CallOutList list) {
        return new ClimbRules(list, CALL_AGAIN, OFFER, Optional.empty());
    }
}
