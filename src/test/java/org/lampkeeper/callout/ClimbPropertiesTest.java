package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.function.Predicate;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.constraints.LongRange;

import org.lampkeeper.callout.Climb.Step;
import org.lampkeeper.callout.Decision.CallAgain;

import static org.assertj.core.api.Assertions.assertThat;

/** What holds of a call-out whatever happens to it, in whatever order. */
class ClimbPropertiesTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");

    /** What happens, and how long after what happened before. Facts that need to know where the climb stands are made when it is known. */
    record Happening(Duration after, String what, long person, long other, int minutes, boolean flag) {

        Fact on(Climb climb, Instant now) {
            return switch (what) {
                case "more" -> new Fact.MoreJoined();
                case "needed" -> new Fact.Needed();
                case "due" -> new Fact.Due(climb.version());
                case "stale" -> new Fact.Due(climb.version() - 1 - minutes);
                case "not reached" -> new Fact.NotReached(flag ? OptionalLong.of(person) : OptionalLong.empty(), flag);
                case "cannot" -> new Fact.CannotCome(person);
                case "taken" -> new Fact.Taken(person, flag ? Optional.of(now.plus(Duration.ofMinutes(minutes))) : Optional.empty());
                case "handed on" -> new Fact.HandedOn(person, other);
                case "forecast" -> new Fact.ForecastMade();
                case "arrived" -> new Fact.Arrived();
                case "not needed" -> new Fact.NotNeeded();
                default -> new Fact.Over();
            };
        }
    }

    @Property
    void whoeverIsCalledForIsEitherTakenOrHasADeadlineAhead(@ForAll("rules") ClimbRules rules, @ForAll("night") List<Happening> night) {
        Climb climb = Climb.NEW;
        Instant now = NOON;
        for (Happening happening : night) {
            now = now.plus(happening.after());
            // Whatever came due on the way has been handled at its own moment.
            while (climb.nextAt().filter(now::isAfter).isPresent()) {
                climb = climb.on(new Fact.Due(climb.version()), rules, climb.nextAt().orElseThrow()).next();
            }
            Step step = climb.on(happening.on(climb, now), rules, now);
            climb = step.next();
            if (climb.phase().isCalling() || climb.phase().isTaken()) {
                assertThat(climb.nextAt().orElseThrow()).isAfterOrEqualTo(now);
            } else {
                assertThat(climb.nextAt()).isEmpty();
            }
            boolean wasDue = happening.what().equals("due");
            if (wasDue && climb.nextAt().isPresent()) {
                assertThat(climb.nextAt().orElseThrow()).isAfter(now);
            }
        }
    }

    @Property
    void whatIsTakenTellsNobodyFurtherUnlessItIsCalledAgain(@ForAll("rules") ClimbRules rules, @ForAll("night") List<Happening> night) {
        Climb climb = Climb.NEW;
        Instant now = NOON;
        for (Happening happening : night) {
            now = now.plus(happening.after());
            Climb before = climb;
            Step step = climb.on(happening.on(climb, now), rules, now);
            climb = step.next();
            if (before.phase().isTaken() && happening.what().equals("more")) {
                assertThat(step.decisions()).containsExactly(new Decision.TellMoreFirst(before.taking().orElseThrow().personId()));
            }
            boolean tells = step.decisions().stream().anyMatch(each -> each instanceof Decision.Tell || each instanceof Decision.TellEverybody
                    || each instanceof Decision.TellAgain || each instanceof Decision.TellMore || each instanceof Decision.NobodyToTell);
            if (before.phase().isTaken() && tells) {
                assertThat(step.decisions()).anyMatch(CallAgain.class::isInstance);
                assertThat(climb.phase().isCalling()).isTrue();
            }
            assertThat(step.refused().isEmpty() || (step.next().equals(before) && step.decisions().isEmpty())).isTrue();
        }
    }

    @Property
    void staleDeadlineDoesNothing(@ForAll("rules") ClimbRules rules, @ForAll("night") List<Happening> night, @ForAll long version) {
        Climb climb = Climb.NEW;
        Instant now = NOON;
        for (Happening happening : night) {
            now = now.plus(happening.after());
            climb = climb.on(happening.on(climb, now), rules, now).next();
            if (version != climb.version()) {
                Step step = climb.on(new Fact.Due(version), rules, now.plus(Duration.ofDays(1)));
                assertThat(step).isEqualTo(new Step(climb, List.of(), Optional.empty()));
            }
        }
    }

    @Property
    void nobodyTakesItAndSoEverybodyIsToldInTheEnd(@ForAll("rules") ClimbRules rules) {
        Step step = Climb.NEW.on(new Fact.Needed(), rules, NOON);
        int turns = rules.list().turns().size();
        for (int i = 0; i <= turns * rules.list().rounds() && step.next().phase() != Phase.LAST_RESORT; i++) {
            step = step.next().on(new Fact.Due(step.next().version()), rules, step.next().nextAt().orElseThrow());
        }

        assertThat(step.next().phase()).isEqualTo(rules.list().lastResort() ? Phase.LAST_RESORT : Phase.CLIMBING);
    }

    /** Which of the six people, and which roles, are surely reached. */
    @Property
    void nobodyIsWaitedForOfWhomItIsNotKnownThatTheyAreReached(@ForAll("rules") ClimbRules usual, @ForAll Set<@LongRange(min = 1, max = 6) Long> sure,
            @ForAll Set<DutyRole> roles) {
        Predicate<Whom> isSure = whom -> whom instanceof Whom.Person person ? sure.contains(person.personId())
                : whom instanceof Whom.OnDutyFor duty && roles.contains(duty.role());
        ClimbRules rules = usual.waitingOnlyFor(isSure);
        int turns = rules.list().turns().size();
        Step step = Climb.NEW.on(new Fact.Needed(), rules, NOON);
        for (int i = 0; i < 20; i++) {
            for (Decision decision : step.decisions()) {
                if (decision instanceof Decision.Tell tell) {
                    assertThat(step.next().told() == turns || tell.whom().stream().anyMatch(isSure)).isTrue();
                }
            }
            step = step.next().on(new Fact.Due(step.next().version()), rules, step.next().nextAt().orElseThrow());
        }
        assertThat(rules.list().turns()).extracting(Turn::whom).isEqualTo(usual.list().turns().stream().map(Turn::whom).toList());
        assertThat(usual.waitingOnlyFor(whom -> true)).isEqualTo(usual);
        assertThat(rules.turnLength()).isEqualTo(usual.turnLength());
    }

    @Property
    void changeRaisesTheVersion(@ForAll("rules") ClimbRules rules, @ForAll("night") List<Happening> night) {
        Climb climb = Climb.NEW;
        Instant now = NOON;
        for (Happening happening : night) {
            now = now.plus(happening.after());
            Climb next = climb.on(happening.on(climb, now), rules, now).next();
            assertThat(next.equals(climb) || next.version() > climb.version()).isTrue();
            climb = next;
        }
    }

    @Provide
    Arbitrary<ClimbRules> rules() {
        Arbitrary<Whom> whom = Arbitraries.oneOf(Arbitraries.longs().between(1, 6).map(Whom.Person::new),
                Arbitraries.of(DutyRole.values()).map(Whom.OnDutyFor::new));
        Arbitrary<Turn> turn = Combinators.combine(whom, Arbitraries.integers().between(0, 20)).as((who, minutes) -> new Turn(who, Duration.ofMinutes(minutes)));
        return Combinators.combine(turn.list().ofMaxSize(5), Arbitraries.integers().between(1, 60), Arbitraries.integers().between(1, 4),
                Arbitraries.of(true, false), Arbitraries.integers().between(-60, 600).optional())
                .as((turns, repeat, rounds, lastResort, cold) -> new ClimbRules(new CallOutList(turns, Duration.ofMinutes(repeat), rounds, lastResort),
                        Duration.ofHours(4), Duration.ofMinutes(15), cold.map(minutes -> NOON.plus(Duration.ofMinutes(minutes)))))
                .flatMap(rules -> Arbitraries.of(rules, rules.takingTime()));
    }

    @Provide
    Arbitrary<List<Happening>> night() {
        Arbitrary<String> what = Arbitraries.of("more", "needed", "needed", "due", "due", "stale", "not reached", "cannot", "taken", "handed on", "arrived", "forecast",
                "not needed", "over");
        return Combinators.combine(Arbitraries.integers().between(0, 90).map(Duration::ofMinutes), what, Arbitraries.longs().between(1, 4),
                Arbitraries.longs().between(1, 4), Arbitraries.integers().between(1, 120), Arbitraries.of(true, false)).as(Happening::new)
                .list().ofMinSize(1).ofMaxSize(40);
    }
}
