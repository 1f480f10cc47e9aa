package org.lampkeeper.alarm;

import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.AlarmEvent.Acknowledged;
import org.lampkeeper.alarm.AlarmEvent.Occurred;
import org.lampkeeper.alarm.AlarmEvent.Returned;
import org.lampkeeper.alarm.AlarmEvent.ReturnedToService;
import org.lampkeeper.alarm.AlarmEvent.ShelfEnded;
import org.lampkeeper.alarm.AlarmEvent.Shelved;
import org.lampkeeper.alarm.AlarmEvent.SuppressionBegan;
import org.lampkeeper.alarm.AlarmEvent.SuppressionEnded;
import org.lampkeeper.alarm.AlarmEvent.TakenOutOfService;
import org.lampkeeper.alarm.Outcome.Changed;
import org.lampkeeper.alarm.Outcome.Refused;
import org.lampkeeper.alarm.Outcome.Unchanged;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class AlarmLifeTest {

    private static final Instant END = Instant.parse("2026-11-25T14:00:00Z");
    private static final Map<String, AlarmEvent> EVENTS = Map.of(
            "occurs", new Occurred(),
            "ack", new Acknowledged(),
            "returns", new Returned(),
            "shelve", new Shelved(END),
            "unshelve", new ShelfEnded(),
            "suppress", new SuppressionBegan(END),
            "unsuppress", new SuppressionEnded(),
            "out", new TakenOutOfService(END),
            "in", new ReturnedToService());

    /**
     * Every state by every event. State letters and transitions of IEC 62682 / ISA-18.2: A normal, B unacknowledged, C acknowledged,
     * D returned to normal unacknowledged, E shelved, F suppressed by design, G out of service; a hold is written with + while the
     * condition is there and with - while it is not. "=" unchanged, "x" refused. The letters as in
     * https://infosys.beckhoff.com/content/1033/tf8400_tc3_mtp_runtime/20770686987.html
     */
    @ParameterizedTest
    @CsvSource(useHeadersInDisplayName = true, textBlock = """
            from, occurs, ack, returns, shelve, unshelve, suppress, unsuppress, out, in
            A,    B,      x,   =,       E-,     =,        F-,       =,          G-,  =
            B,    =,      C,   D,       E+,     =,        F+,       =,          G+,  =
            C,    B,      =,   A,       E+,     =,        F+,       =,          G+,  =
            D,    B,      A,   =,       E-,     =,        F-,       =,          G-,  =
            E+,   =,      x,   E-,      x,      B,        x,        =,          x,   =
            E-,   E+,     x,   =,       x,      A,        x,        =,          x,   =
            F+,   =,      x,   F-,      x,      =,        =,        B,          x,   =
            F-,   F+,     x,   =,       x,      =,        =,        A,          x,   =
            G+,   =,      x,   G-,      x,      =,        x,        =,          x,   B
            G-,   G+,     x,   =,       x,      =,        x,        =,          x,   A
            """)
    void theLifeCycleIsTheOneOfTheStandard(String from, String occurs, String ack, String returns, String shelve, String unshelve,
            String suppress, String unsuppress, String out, String in) {
        AlarmLife life = life(from);

        Map<String, String> expected = Map.of("occurs", occurs, "ack", ack, "returns", returns, "shelve", shelve, "unshelve", unshelve,
                "suppress", suppress, "unsuppress", unsuppress, "out", out, "in", in);

        assertThat(EVENTS.keySet().stream().collect(Collectors.toMap(name -> name, name -> outcome(life, EVENTS.get(name)))))
                .isEqualTo(expected);
    }

    @Test
    void theTableKnowsEveryEvent() {
        assertThat(EVENTS.values().stream().map(Object::getClass).collect(Collectors.toSet()))
                .isEqualTo(Set.of(AlarmEvent.class.getPermittedSubclasses()));
    }

    @Test
    void theLettersAreThoseOfTheStandard() {
        assertThat(Stream.of(AlarmState.values()).map(state -> state + " " + state.letter())).containsExactly("NORMAL A",
                "UNACKNOWLEDGED B",
                "ACKNOWLEDGED C", "RETURNED_UNACKNOWLEDGED D", "SHELVED E", "SUPPRESSED_BY_DESIGN F", "OUT_OF_SERVICE G");
    }

    @Test
    void aRefusalSaysWhatToDo() {
        for (AlarmLife life : lives()) {
            for (AlarmEvent event : EVENTS.values()) {
                if (life.on(event) instanceof Refused refused) {
                    assertThat(refused.reason()).contains(": ").endsWith(".");
                }
            }
        }
    }

    @ParameterizedTest
    @CsvSource({"NORMAL, true", "UNACKNOWLEDGED, false", "ACKNOWLEDGED, false", "RETURNED_UNACKNOWLEDGED, true"})
    void aStateThatContradictsItsConditionCannotBe(AlarmState state, boolean live) {
        assertThatThrownBy(() -> new AlarmLife(state, live)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining(state.name());
    }

    @Property
    void anAcknowledgementNeverClearsALiveAlarm(@ForAll("histories") List<AlarmEvent> history) {
        AlarmLife life = play(history);

        AlarmLife after = next(life, new Acknowledged());

        assertThat(after.live()).isEqualTo(life.live());
        if (life.live()) {
            assertThat(after.state()).isNotEqualTo(AlarmState.NORMAL);
        }
    }

    @Property
    void aRecoveryNeverAcknowledges(@ForAll("histories") List<AlarmEvent> history) {
        AlarmLife life = play(history);

        AlarmLife after = next(life, new Returned());

        assertThat(after.live()).isFalse();
        if (life.state() == AlarmState.UNACKNOWLEDGED || life.state() == AlarmState.RETURNED_UNACKNOWLEDGED) {
            assertThat(after.state()).isEqualTo(AlarmState.RETURNED_UNACKNOWLEDGED);
        }
    }

    @Property
    void onlyThePersonWhoTakesItMakesAnAlarmAcknowledged(@ForAll("histories") List<AlarmEvent> history,
            @ForAll("events") AlarmEvent event) {
        AlarmLife life = play(history);

        AlarmLife after = next(life, event);

        if (after.state() == AlarmState.ACKNOWLEDGED && life.state() != AlarmState.ACKNOWLEDGED) {
            assertThat(event).isInstanceOf(Acknowledged.class);
        }
    }

    @Property
    void theConditionIsWhatWasHeardLastWhateverElseHappened(@ForAll("histories") List<AlarmEvent> history) {
        boolean there = false;
        for (AlarmEvent event : history) {
            there = event instanceof Occurred || (there && !(event instanceof Returned));
        }

        assertThat(play(history).live()).isEqualTo(there);
    }

    @Property
    void aHoldEndsInTheConditionOfTheProcess(@ForAll("histories") List<AlarmEvent> history) {
        AlarmLife life = play(history);

        AlarmLife after = next(next(next(life, new ShelfEnded()), new SuppressionEnded()), new ReturnedToService());

        assertThat(after.state().isHold()).isFalse();
        if (life.state().isHold()) {
            assertThat(after.state()).isEqualTo(life.live() ? AlarmState.UNACKNOWLEDGED : AlarmState.NORMAL);
        } else {
            assertThat(after).isEqualTo(life);
        }
    }

    @Property
    void changedIsSaidOnlyOfAChange(@ForAll("histories") List<AlarmEvent> history, @ForAll("events") AlarmEvent event) {
        AlarmLife life = play(history);

        Outcome outcome = life.on(event);

        if (outcome instanceof Changed changed) {
            assertThat(changed.next()).isNotEqualTo(life);
        } else if (outcome instanceof Unchanged unchanged) {
            assertThat(unchanged.same()).isEqualTo(life);
        } else {
            assertThat(outcome).isInstanceOf(Refused.class);
        }
    }

    @Provide
    Arbitrary<AlarmEvent> events() {
        return Arbitraries.of(List.copyOf(EVENTS.values()));
    }

    @Provide
    Arbitrary<List<AlarmEvent>> histories() {
        return events().list().ofMaxSize(20);
    }

    private static AlarmLife play(List<AlarmEvent> history) {
        AlarmLife life = AlarmLife.NORMAL;
        for (AlarmEvent event : history) {
            life = next(life, event);
        }
        return life;
    }

    private static AlarmLife next(AlarmLife life, AlarmEvent event) {
        return life.on(event) instanceof Changed changed ? changed.next() : life;
    }

    private static String outcome(AlarmLife life, AlarmEvent event) {
        Outcome outcome = life.on(event);
        if (outcome instanceof Changed changed) {
            return write(changed.next());
        }
        return outcome instanceof Refused ? "x" : "=";
    }

    private static String write(AlarmLife life) {
        return life.state().letter() + (life.state().isHold() ? (life.live() ? "+" : "-") : "");
    }

    private static AlarmLife life(String written) {
        return lives().stream().filter(life -> write(life).equals(written)).findFirst().orElseThrow();
    }

    private static List<AlarmLife> lives() {
        return List.of(AlarmLife.NORMAL, new AlarmLife(AlarmState.UNACKNOWLEDGED, true), new AlarmLife(AlarmState.ACKNOWLEDGED, true),
                new AlarmLife(AlarmState.RETURNED_UNACKNOWLEDGED, false), new AlarmLife(AlarmState.SHELVED, true),
                new AlarmLife(AlarmState.SHELVED, false), new AlarmLife(AlarmState.SUPPRESSED_BY_DESIGN, true),
                new AlarmLife(AlarmState.SUPPRESSED_BY_DESIGN, false), new AlarmLife(AlarmState.OUT_OF_SERVICE, true),
                new AlarmLife(AlarmState.OUT_OF_SERVICE, false));
    }
}
