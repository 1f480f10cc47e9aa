package org.lampkeeper.register;

import java.util.List;
import java.util.Map;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.electrical.Grade;
import org.lampkeeper.electrical.Limits;
import org.lampkeeper.electrical.Verdict;
import org.lampkeeper.register.HandoverFigures.Placed;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.register.HandoverField.*;

/** The arithmetic as a whole, on the worked examples; that of each single figure has tests of its own in its room. */
class HandoverFiguresTest {

    private static final Limits LIMITS = LimitTables.own().find(HandoverFixture.A2).orElseThrow();

    @Test
    void wholeRecordIsWithinAndEachVerdictShowsWhatItRestsOn() {
        List<Placed> placed = of(HandoverFixture.example());

        assertThat(placed).extracting(it -> it.verdict().what()).contains("design current", "rating of the cable", "voltage drop", "R1 + R2", "fault loop, hot",
                "fault loop, as read", "disconnection time", "insulation", "protective conductor", "breaking capacity", "standing leakage", "fuse", "enclosure", "height",
                "earthing", "polarity", "lamp", "residual current, 1 × IΔn", "external loop", "overload protection", "longest run", "breaking capacity of the fuse", "test button", "device and board", "way of its own", "switch of the unit");
        assertThat(placed).allSatisfy(it -> {
            assertThat(it.verdict().grade()).as("%s", it.verdict()).isEqualTo(Grade.WITHIN);
            assertThat(it.verdict().formula()).isNotEmpty();
            assertThat(it.verdict().inputs()).isNotEmpty();
            assertThat(it.verdict().source()).isNotEmpty();
            assertThat(it.verdict().edition()).isEqualTo(HandoverFixture.A2);
            assertThat(it.verdict().says().toLowerCase(java.util.Locale.ROOT)).doesNotContain("pass");
        });
    }

    /** Own case on the tables' figures: Ze 0.35, R1 + R2 0.4446, × 1.28 hot 0.9191 Ω; 28 A by the 70 °C column at 30 °C; limit 1.3656 Ω. */
    @Test
    void workedExampleComesOutAsWorkedOut() {
        List<Placed> placed = of(HandoverFixture.example());

        assertThat(find(placed, "fault loop, hot").inputs()).contains("Zs hot 0.9191 Ω");
        assertThat(find(placed, "fault loop, hot").limit()).contains("1.3656 Ω");
        assertThat(find(placed, "fault loop, as read").limit()).contains("1.0925 Ω");
        assertThat(find(placed, "rating of the cable").limit()).contains("28 A");
        assertThat(find(placed, "R1 + R2").limit()).contains("0.4446 Ω");
    }

    /** The same with Ze 0.80: hot × 1.28 is 1.3691 Ω, above 1.3656; with 70 °C insulation × 1.20 is 1.3335, within. */
    @ParameterizedTest
    @CsvSource({"THERMOSETTING_90, LOOK_AGAIN, 1.3691", "THERMOPLASTIC_70, WITHIN, 1.3335"})
    void insulationDecidesAtTheEdge(String insulation, Grade expected, String zs) {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(ZE, "0.80");
        typed.put(INSULATION, insulation);

        Verdict hot = find(of(typed), "fault loop, hot");

        assertThat(hot.grade()).isEqualTo(expected);
        assertThat(hot.inputs()).contains("Zs hot " + zs + " Ω");
    }

    /** Ze 0.35 with the armour beside the core: R1 + R2 is 0.3391 Ω; with the armour alone 15.61 mΩ/m, 0.4683 Ω. */
    @ParameterizedTest
    @CsvSource({"CORE_AND_ARMOUR, 0.3391", "ARMOUR, 0.4683"})
    void armourCarriesItsPart(String back, String expected) {
        assertThat(find(of(HandoverFixture.exampleWith(BACK, back)), "R1 + R2").inputs()).contains("expected " + expected + " Ω");
    }

    /** Ze 0.35 + 0.4683 Ω: 281 A for 0.1 s; √(I²t)/46 is 1.93 mm², recomputed. Its maker says what the armour has; 17 mm² is a figure of this test. */
    @ParameterizedTest
    @CsvSource({"'', NOT_GIVEN, At least 1.93 mm²", "17, WITHIN, 17 mm² against at least 1.93 mm²", "1.9, OUTSIDE, 1.9 mm² against at least 1.93 mm²"})
    void armourBearsAFaultOnlyWithItsCrossSection(String typed, Grade expected, String says) {
        Map<HandoverField, String> all = HandoverFixture.exampleWith(BACK, "ARMOUR");
        all.remove(BACK_SIZE);
        all.put(ARMOUR_SIZE, typed);

        Verdict verdict = find(of(all), "protective conductor");

        assertThat(verdict.grade()).isEqualTo(expected);
        assertThat(verdict.says()).contains(says);
    }

    /** Its ends are for 70 °C, so the columns of 70 °C count: Tables 4D4A and 4D2A, from memory. */
    @ParameterizedTest
    @CsvSource({"SWA, C, 28 A", "SWA, E, 31 A", "SWA, D1, 25.81 A", "SWA, D2, 25.81 A", "SHEATHED, B, 23 A", "SHEATHED, C, 27 A", "SHEATHED, E, 30 A"})
    void ratingFollowsTheCableAndHowItIsLaid(String cable, String method, String limit) {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(METHOD, method);
        typed.put(CABLE, cable);

        assertThat(find(of(typed), "rating of the cable").limit()).contains(limit);
    }

    @ParameterizedTest
    @CsvSource({"SWA, OTHER", "SWA, B", "SHEATHED, D1", "OTHER, C"})
    void wayWithoutATableIsNotWorkedOutAndSaysWhatToDo(String cable, String method) {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(METHOD, method);
        typed.put(CABLE, cable);

        Verdict verdict = find(of(typed), "rating of the cable");

        assertThat(verdict.grade()).isEqualTo(Grade.NOT_GIVEN);
        assertThat(verdict.advice()).singleElement().asString().contains("Take it from the standard that applies or from its maker’s table");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"ZS | 1.10 | fault loop, as read | LOOK_AGAIN", "MEGOHM | 0.99 | insulation | OUTSIDE", "TRIP_ONCE | 300.1 | residual current, 1 × IΔn | OUTSIDE",
            "TRIP_ONCE | >300 | residual current, 1 × IΔn | OUTSIDE", "TRIP_HALF | OPENED | residual current, 0.5 × IΔn | OUTSIDE", "LEAKAGE | 9.1 | standing leakage | OUTSIDE",
            "LEAKAGE | 9 | standing leakage | WITHIN", "IP_CODE | IP67 | enclosure | OUTSIDE", "FAULT_CURRENT | 6.1 | breaking capacity | OUTSIDE",
            "LAMP_SIDE | SUPPLY | lamp | OUTSIDE", "SUITED | NO | device and board | LOOK_AGAIN", "DELAY | S | residual current, 1 × IΔn | OUTSIDE", "SPARE_WAY | NO | way of its own | LOOK_AGAIN", "SWITCHED | SWITCHED | switch of the unit | LOOK_AGAIN", "POLARITY | EXCHANGED | polarity | OUTSIDE", "HEATER | 685 | fuse | WITHIN", "HEATER | 686 | fuse | OUTSIDE", "AMBIENT | 40 | rating of the cable | WITHIN", "GROUPED | 9 | rating of the cable | NOT_GIVEN",
            "SIZE | 2 | voltage drop | NOT_GIVEN", "LENGTH | 400 | voltage drop | WITHIN"})
    void figureDecidesItsVerdict(HandoverField field, String typed, String what, Grade expected) {
        assertThat(find(of(HandoverFixture.exampleWith(field, typed)), what).grade()).isEqualTo(expected);
    }

    /** What is seldom needed and was not given is the usual case, and leaves no verdict to be decided about. */
    @Test
    void usualCaseCountsWhereASeldomFieldIsEmpty() {
        List<Placed> placed = of(HandoverFixture.example());

        assertThat(find(placed, "voltage drop").inputs()).contains("no lighting, public supply").noneMatch(input -> input.contains("between lines"));
        assertThat(find(placed, "R1 + R2").inputs()).contains("plain copper, class 1 or 2");
        assertThat(find(placed, "rating of the cable").inputs()).contains("two loaded conductors", "1 circuit");
        assertThat(placed).extracting(it -> it.verdict().what()).doesNotContain("switching on", "impact", "residual current, rising");
    }

    /**
     * The same limits as in the tests of the room, reached from the fields: 3 % of 230 V; 31 A · by the columns of 70 °C 25 A; 7.98 mΩ/m twice over 30 m; 80 A of a C16;
     * 1.4 · 30 mA; Ze 0.36 Ω on TN-C-S; three circuits in one layer 28 A · 0.79.
     */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"USE | LIGHTING | voltage drop | WITHIN | 6.9 V", "NETWORK | PRIVATE | voltage drop | WITHIN | 18.4 V", "LOADED | THREE | rating of the cable | WITHIN | 25 A",
            "LOADED | THREE | overload protection | WITHIN | 36.25 A", "CONDUCTOR | FLEXIBLE | R1 + R2 | WITHIN | 0.4788 Ω", "CONDUCTOR | TINNED | R1 + R2 | WITHIN | 0.4536 Ω",
            "INRUSH | 80.1 | switching on | LOOK_AGAIN | 80 A", "INRUSH | 12 | switching on | WITHIN | 80 A", "TRIP_AT | 22 | residual current, rising | WITHIN | 10.5 to 42 mA",
            "TRIP_AT | >40 | residual current, rising | OUTSIDE | 10.5 to 42 mA", "IMPACT | IK07 | impact | LOOK_AGAIN | IK08", "IMPACT | IK10 | impact | WITHIN | IK08",
            "ZE | 0.36 | external loop | LOOK_AGAIN | 0.35 Ω", "TEST_BUTTON | FAILS | test button | OUTSIDE | opens it", "FAULT_CURRENT | 16 | breaking capacity of the fuse | WITHIN | 6 kA", "LENGTH | 53.6 | longest run | LOOK_AGAIN | 53.5 m",
            "FAULT_CURRENT | 16 | breaking capacity | OUTSIDE | 6 kA"})
    void seldomFieldReachesItsVerdict(HandoverField field, String typed, String what, Grade expected, String limit) {
        Verdict verdict = find(of(HandoverFixture.exampleWith(field, typed)), what);

        assertThat(verdict.grade()).isEqualTo(expected);
        assertThat(verdict.limit()).contains(limit);
        assertThat(verdict.source()).isNotEmpty();
        assertThat(verdict.edition()).isEqualTo(HandoverFixture.A2);
    }

    @Test
    void circuitsInOneLayerCarryMoreThanBunched() {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(GROUPED, "3");

        assertThat(find(of(typed), "rating of the cable").limit()).contains("19.6 A");
        typed.put(SPACING, "LAYER");
        assertThat(find(of(typed), "rating of the cable")).satisfies(verdict -> {
            assertThat(verdict.limit()).contains("22.12 A");
            assertThat(verdict.inputs()).contains("3 circuits, in one layer, touching");
        });
    }

    /**
     * Steel conduit and aluminium armour have no resistance in the tables: what would need it is not worked out and says so; whether they bear a fault follows from the
     * loop that was read: 230 V / 0.79 Ω for 0.1 s, √(I²t)/58 is 1.59 mm² and /85 is 1.08 mm², recomputed.
     */
    @ParameterizedTest
    @CsvSource({"CONDUIT, '', '', NOT_GIVEN, the steel conduit was not given. At least 1.59 mm²", "CONDUIT, '', 60, WITHIN, 60 mm² against at least 1.59 mm²",
            "ARMOUR, ALUMINIUM, 1.05, OUTSIDE, 1.05 mm² against at least 1.08 mm²", "ARMOUR, ALUMINIUM, 20, WITHIN, 20 mm² against at least 1.08 mm²"})
    void whatHasNoResistanceInTheTablesIsJudgedByWhatWasRead(String back, String metal, String size, Grade expected, String says) {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(BACK, back);
        typed.remove(BACK_SIZE);
        typed.put(ARMOUR_METAL, metal);
        typed.put(ARMOUR_SIZE, size);

        List<Placed> placed = of(typed);

        assertThat(find(placed, "fault loop, hot").says()).startsWith("Not worked out: the tables of this edition have no resistance of ");
        assertThat(find(placed, "R1 + R2").grade()).isEqualTo(Grade.NOT_GIVEN);
        assertThat(find(placed, "fault loop, as read").grade()).isEqualTo(Grade.WITHIN);
        assertThat(placed).filteredOn(it -> it.verdict().what().equals("protective conductor")).singleElement().satisfies(it -> {
            assertThat(it.verdict().grade()).isEqualTo(expected);
            assertThat(it.verdict().says()).contains(says);
            assertThat(it.stage()).isEqualTo(HandoverFigures.Stage.MEASURED);
        });
    }

    /** 2.5 and 4 mm²: 7.41 and 4.61 mΩ/m over 30 m; k 176 for a separate conductor with 90 °C insulation. */
    @Test
    void conductorBesideTheCableIsReckonedWithItsOwnK() {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(BACK, "SEPARATE");
        typed.put(BACK_SIZE, "4");

        assertThat(find(of(typed), "R1 + R2").limit()).contains("0.3606 Ω");
        assertThat(find(of(typed), "protective conductor").inputs()).contains("a separate conductor", "k 176");
    }

    /** A cold loop with which the overcurrent part does not open at once is alive for the time of the table: 230 V / 2.4446 Ω for 0.4 s, recomputed. */
    @Test
    void protectiveConductorBearsTheFaultForAsLongAsItLasts() {
        assertThat(find(of(HandoverFixture.example()), "protective conductor").inputs()).contains("0.1 s", "289.5 A", "k 143");
        assertThat(find(of(HandoverFixture.exampleWith(ZE, "2")), "protective conductor").inputs()).contains("0.4 s", "94.1 A");
    }

    /** A line and a neutral of 7.41 mΩ/m over 30 m each lie between board and unit. */
    @Test
    void shortCircuitAtTheUnitFlowsThereAndBack() {
        assertThat(find(of(HandoverFixture.example()), "breaking capacity of the fuse").inputs()).contains("2 · R1 0.4446 Ω");
    }

    @Test
    void protectiveCoreThatIsThinnerThanTheLineIsJudgedByItsOwnSize() {
        assertThat(find(of(HandoverFixture.exampleWith(BACK_SIZE, "1.5")), "protective conductor").says()).startsWith("1.5 mm² against at least ");
    }

    /** Without it the limit of the loop would be that of the overcurrent part alone, for a device that has both. */
    @Test
    void ratedResidualCurrentOfAnRcboIsAskedForBeforeItsLoopIsJudged() {
        assertThat(find(of(HandoverFixture.exampleWith(RESIDUAL, "")), "fault loop, as read").says()).isEqualTo("Not worked out: " + RESIDUAL.label() + " was not given.");
    }

    /** 220 ms meet the 300 ms of the device and not the 0.2 s of a TT system (IET forum). */
    @Test
    void slowTripOnTtIsLookedAtAgain() {
        Map<HandoverField, String> typed = HandoverFixture.exampleWith(EARTHING, "TT");
        typed.put(ELECTRODE, "201");
        typed.put(TRIP_ONCE, "220");

        List<Placed> placed = of(typed);

        assertThat(find(placed, "residual current, 1 × IΔn").grade()).isEqualTo(Grade.LOOK_AGAIN);
        assertThat(find(placed, "earth electrode").grade()).isEqualTo(Grade.LOOK_AGAIN);
    }

    @Test
    void whatWasNotGivenIsNamedAndNeverAssumed() {
        List<Placed> placed = of(Map.of());

        assertThat(placed).isNotEmpty().allSatisfy(it -> assertThat(it.verdict().grade()).as("%s", it.verdict()).isEqualTo(Grade.NOT_GIVEN));
        assertThat(find(of(HandoverFixture.exampleWith(ZE, "")), "fault loop, hot").says()).isEqualTo("Not worked out: Ze was not given.");
    }

    private static List<Placed> of(Map<HandoverField, String> typed) {
        return HandoverFigures.of(HandoverValues.of(typed), LIMITS);
    }

    private static Verdict find(List<Placed> placed, String what) {
        return placed.stream().map(Placed::verdict).filter(it -> it.what().equals(what)).findFirst().orElseThrow(() -> new AssertionError(what + " is not among " + placed));
    }
}
