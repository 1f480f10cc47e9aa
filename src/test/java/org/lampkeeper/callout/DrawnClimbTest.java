package org.lampkeeper.callout;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeSet;

import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.Climb.Asked;
import org.lampkeeper.callout.Climb.Step;
import org.lampkeeper.callout.Climb.Taking;

import static org.assertj.core.api.Assertions.assertThat;

/** The drawing in docs/call-out.md is what the machine does: every fact is tried in every phase, and what comes of it is drawn. */
class DrawnClimbTest {

    private static final Path PAGE = Path.of("docs/call-out.md");
    private static final Instant NOW = Instant.parse("2026-12-01T12:00:00Z");
    private static final List<Turn> TURNS = List.of(new Turn(1, Duration.ZERO), new Turn(2, Duration.ofMinutes(10)));
    private static final ClimbRules RULES = new ClimbRules(new CallOutList(TURNS, Duration.ofMinutes(30), 2, true), Duration.ofHours(4),
            Duration.ofMinutes(15), Optional.empty());
    private static final long HOLDER = 1;
    private static final long ASKED = 2;

    @Test
    void pageDrawsWhatTheMachineDoes() throws IOException {
        assertThat(Files.readString(PAGE)).contains("```mermaid\n" + drawn() + "```\n");
    }

    @Test
    void everyPhaseAndEveryFactIsTried() {
        assertThat(climbs().stream().map(Climb::phase).distinct()).containsExactlyInAnyOrder(Phase.values());
        assertThat(climbs().stream().flatMap(climb -> facts(climb).keySet().stream().map(Fact::getClass)).distinct())
                .extracting(Class::getName).containsExactlyInAnyOrderElementsOf(
                        Arrays.stream(Fact.class.getPermittedSubclasses()).map(Class::getName).toList());
    }

    private static String drawn() {
        Map<String, Set<String>> arrows = new LinkedHashMap<>();
        for (Phase from : Phase.values()) {
            for (Phase to : Phase.values()) {
                Set<String> words = new TreeSet<>();
                climbs().stream().filter(climb -> climb.phase() == from).forEach(climb -> facts(climb).forEach((fact, word) -> {
                    Step step = climb.on(fact, RULES, NOW);
                    if (step.next().phase() == to && !(to == from && step.decisions().isEmpty())) {
                        words.add(word);
                    }
                }));
                if (!words.isEmpty()) {
                    arrows.put("    " + from + " --> " + to + " : ", words);
                }
            }
        }
        StringBuilder drawing = new StringBuilder("stateDiagram-v2\n    [*] --> RESTING\n");
        arrows.forEach((arrow, words) -> drawing.append(arrow).append(String.join(", ", words)).append('\n'));
        return drawing.append("    ENDED --> [*]\n").toString();
    }

    /** One of each phase, and two where it matters how far it has got. */
    private static List<Climb> climbs() {
        Taking onTime = new Taking(HOLDER, NOW.minusSeconds(60), Optional.empty(), false, NOW.plusSeconds(600));
        Taking late = new Taking(HOLDER, NOW.minusSeconds(60), Optional.empty(), false, NOW);
        List<Climb> climbs = new ArrayList<>(List.of(Climb.NEW,
                new Climb(Phase.RESTING, 0, 1, Optional.empty(), Optional.empty(), Optional.empty(), 7),
                new Climb(Phase.CLIMBING, 0, 1, Optional.empty(), Optional.empty(), Optional.of(NOW), 7),
                new Climb(Phase.CLIMBING, 0, 2, Optional.empty(), Optional.empty(), Optional.of(NOW), 7),
                new Climb(Phase.CLIMBING, 1, 2, Optional.empty(), Optional.empty(), Optional.of(NOW), 7),
                new Climb(Phase.LAST_RESORT, 1, 2, Optional.empty(), Optional.empty(), Optional.of(NOW), 7),
                new Climb(Phase.TAKEN, 0, 1, Optional.of(late), Optional.empty(), Optional.of(NOW), 7),
                new Climb(Phase.HANDED_ON, 0, 1, Optional.of(onTime), Optional.of(new Asked(ASKED, NOW)), Optional.of(NOW), 7),
                new Climb(Phase.HANDED_ON, 0, 1, Optional.of(late), Optional.of(new Asked(ASKED, NOW.plusSeconds(60))), Optional.of(NOW), 7),
                new Climb(Phase.ENDED, 0, 1, Optional.empty(), Optional.empty(), Optional.empty(), 7)));
        return climbs;
    }

    /** Every fact, with what it is called on an arrow; who does it matters where somebody has it. */
    private static Map<Fact, String> facts(Climb climb) {
        Map<Fact, String> facts = new LinkedHashMap<>();
        facts.put(new Fact.Needed(), "somebody is needed");
        facts.put(new Fact.Due(climb.version()), "time is up");
        facts.put(new Fact.NotReached(OptionalLong.of(ASKED), false), "not reached");
        facts.put(new Fact.NotReached(OptionalLong.empty(), true), "not reached");
        facts.put(new Fact.MoreJoined(), "more joined");
        facts.put(new Fact.Taken(ASKED, Optional.empty()), "taken");
        facts.put(new Fact.CannotCome(HOLDER), climb.phase().isTaken() ? "given back" : "cannot come");
        facts.put(new Fact.CannotCome(ASKED), climb.phase().isTaken() ? "declined" : "cannot come");
        facts.put(new Fact.HandedOn(HOLDER, ASKED + 1), "handed on");
        facts.put(new Fact.ForecastMade(), "forecast anew");
        facts.put(new Fact.Arrived(), "arrived");
        facts.put(new Fact.NotNeeded(), "nobody is needed");
        facts.put(new Fact.Over(), "over");
        return facts;
    }
}
