package org.lampkeeper.register;

import java.util.EnumMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Stream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.HandoverField.Kind;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.register.HandoverField.*;

class HandoverFieldTest {

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"LENGTH | 38,5 | 38.5", "LENGTH | 38.5 m | 38.5", "SIZE | 2,5 mm2 | 2.5", "ZE | 0.35 ohm | 0.35", "RATING | 16 | 16", "LOWEST | −5 | -5",
            "FAULT_CURRENT | 1.2 kA | 1.2"})
    void figureIsTakenWithAPointOrACommaAndWithItsUnit(HandoverField field, String typed, double expected) {
        assertThat(field.read(typed).problem()).isEmpty();
        assertThat(field.read(typed).value().orElseThrow().number()).contains(expected);
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"LENGTH | 30 ft | “ft” stands behind the number; this is in m, type the number in m",
            "FAULT_CURRENT | 1200 A | “A” stands behind the number; this is in kA, type the number in kA",
            "FAULT_CURRENT | 1200 | 1200 kA, must be 0 to 100 kA", "ZE | -0.35 | -0.35 Ω, must be 0 to 2000 Ω", "RATING | 16,5 | “16,5” is not a whole number, must be 1 to 125 A",
            "LENGTH | long | “long” is not a number, must be written like 2.5 or 2,5, in m", "ZS | >1 | “>1” is a lower bound, must be a figure here, in Ω",
            "EARTHING | IT | “IT” is none of: TN-S; TN-C-S; TT", "NEXT_INSPECTION | 1999-12-31 | year 1999, must be 2000 to 2199", "NEXT_INSPECTION | 2200-01-01 | year 2200, must be 2000 to 2199", "NEXT_INSPECTION | 25.11.2027 | “25.11.2027” is not a day, must be written like 2026-11-25",
            "IP_CODE | IP99 | “IP99” is no IP code, must be one like IP65, IPX4 or IP65/IP67", "HEIGHT | 1200 mm | “mm” stands behind the number; this is in m, type the number in m"})
    void badValueGetsASentenceThatSaysWhatWouldBeRight(HandoverField field, String typed, String sentence) {
        assertThat(field.read(typed).value()).isEmpty();
        assertThat(field.read(typed).problem()).contains(sentence);
    }

    private static Stream<HandoverField> figures() {
        return Stream.of(HandoverField.values()).filter(field -> Set.of(Kind.DECIMAL, Kind.READING, Kind.WHOLE).contains(field.shape().kind()));
    }

    /** Every field that takes a figure. */
    @ParameterizedTest
    @MethodSource("figures")
    void figureThatCannotBeGetsASentenceWithTheUnit(HandoverField field) {
        HandoverField.Shape shape = field.shape();

        assertThat(field.read("-1000000").problem()).hasValueSatisfying(says -> assertThat(says).startsWith("-1000000 " + shape.unit() + ", must be ").endsWith(shape.unit()));
        assertThat(field.read("1000000").problem()).isPresent();
        assertThat(field.read("7 furlong").problem()).contains("“furlong” stands behind the number; this is in " + shape.unit() + ", type the number in " + shape.unit());
        assertThat(field.read("7,5,5").problem()).hasValueSatisfying(says -> assertThat(says).startsWith("“7,5,5” is not a number, must be written like "));
        assertThat(field.read("1,000").problem()).contains("“1,000” may be thousands or decimals; type it without the comma or with a point, in " + shape.unit());
        assertThat(field.read("about 7").problem()).isPresent();
        for (double end : new double[] {shape.least(), shape.most()}) {
            String typed = java.math.BigDecimal.valueOf(end).stripTrailingZeros().toPlainString();
            assertThat(field.read(typed).value()).as("the ends are included: %s", typed).isPresent();
            assertThat(field.read(java.math.BigDecimal.valueOf(end).add(java.math.BigDecimal.valueOf(end == shape.least() ? -0.01 : 0.01)).toPlainString()).problem()).isPresent();
        }
        if (shape.least() >= 0) {
            assertThat(field.read("-0,5").problem()).as("negative").isPresent();
        }
        if (shape.kind() != Kind.WHOLE && shape.least() <= 2.5 && shape.most() >= 2.5) {
            assertThat(field.read("2,5").value().orElseThrow().number()).as("comma").contains(2.5);
        }
    }

    @ParameterizedTest
    @CsvSource({"'0,350', 0.35", "'12,50', 12.5", "'1.125', 1.125"})
    void commaThatCanOnlyBeADecimalOneIsTaken(String typed, double expected) {
        assertThat(LENGTH.read(typed).value().orElseThrow().number()).contains(expected);
    }

    @ParameterizedTest
    @CsvSource({"13, 10, true", "13, 12, true", "13, 13, false", "3, 16, false"})
    void fuseIsNeverLargerThanTheDevice(String fuse, String rating, boolean isWrong) {
        java.util.Map<HandoverField, String> typed = HandoverFixture.exampleWith(FUSE, fuse);
        typed.put(RATING, rating);

        assertThat(HandoverValues.of(typed).problems().containsKey(FUSE)).isEqualTo(isWrong);
    }

    @Test
    void mcbHasNoResidualCurrentWhateverStillStandsThere() {
        assertThat(HandoverValues.of(HandoverFixture.exampleWith(DEVICE, "MCB")).residual()).isEmpty();
        assertThat(HandoverValues.of(HandoverFixture.example()).residual()).hasValue(30);
    }

    @Test
    void asManyDatedPartsAsTheRegisterTakes() {
        java.util.Map<HandoverField, String> typed = new java.util.EnumMap<>(HandoverFixture.example());
        HandoverField.parts().forEach(row -> {
            typed.put(row.name(), row.name().label());
            typed.put(row.until(), "2028-04-30");
        });
        List<DatedPart> parts = HandoverValues.of(typed).parts();

        assertThat(HandoverField.parts()).extracting(row -> row.name().key() + " " + row.until().key()).startsWith("part1 part1Until", "part2 part2Until").hasSize(12);
        assertThat(parts).hasSize(12);
        assertThat(new NewContent("kit", true, java.util.Optional.empty(), java.util.Optional.empty(), parts).problems()).isEmpty();
        List<DatedPart> more = new java.util.ArrayList<>(parts);
        more.add(parts.get(0));
        assertThat(new NewContent("kit", true, java.util.Optional.empty(), java.util.Optional.empty(), more).problems()).as("the register takes no more").isNotEmpty();
        typed.put(HandoverField.PART_12_UNTIL, "");
        assertThat(HandoverValues.of(typed).missing()).containsExactly(HandoverField.PART_12_UNTIL);
    }

    @Test
    void lowerBoundOfAReadingStaysALowerBound() {
        assertThat(HandoverValues.of(Map.of(MEGOHM, ">999")).reading(MEGOHM)).satisfies(reading -> {
            assertThat(reading.orMore()).isTrue();
            assertThat(reading.value()).isEqualTo(999);
        });
        assertThat(HandoverValues.of(Map.of(MEGOHM, "999")).reading(MEGOHM).orMore()).isFalse();
    }

    /** Of both half-waves the longer time counts: an instrument's manual (megger, mft1815, p. 40). It is asked for where it is typed. */
    @Test
    void longerOfBothHalfWavesIsAskedFor() {
        assertThat(TRIP_ONCE.hint()).contains("The longer of both half-waves");
    }

    @Test
    void keysAreUniqueAndFitTheirColumn() {
        List<String> keys = Stream.of(HandoverField.values()).map(HandoverField::key).toList();

        assertThat(new HashSet<>(keys)).hasSameSizeAs(keys);
        assertThat(keys).allMatch(key -> key.matches("[a-z][a-zA-Z0-9]{1,39}"));
        assertThat(HandoverField.values()).filteredOn(field -> field.shape().kind() == Kind.CHOICE).allMatch(field -> field.shape().choices().size() >= 2);
    }

    /** Each pair by itself: the fields, what is said, and beside which. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "SIZE=10, FUSE=3 | SIZE | 10 mm² does not go into the terminals of a fused connection unit (at most 6 mm², unless its papers say more: enter that at “Its terminals take”); end it in a joint box before",
            "SIZE=6.5, FUSE=3, TERMINAL=6.4 | SIZE | 6.5 mm² does not go into the terminals of a fused connection unit (at most 6.4 mm², as entered); end it in a joint box before",
            "FUSE=13, RATING=6 | FUSE | a fuse of 13 A behind a device of 6 A never blows first, must be smaller",
            "DEVICE=MCB, RESIDUAL=30 | RESIDUAL | an MCB has no residual-current part; empty it, or choose RCBO above",
            "DEVICE=MCB, RESIDUAL_TYPE=A | RESIDUAL_TYPE | an MCB has no residual-current part; empty it, or choose RCBO above",
            "DEVICE=MCB, DELAY=S | DELAY | an MCB has no residual-current part; empty it, or choose RCBO above",
            "DEVICE=MCB, TRIP_HALF=STAYED | TRIP_HALF | an MCB has no residual-current part; empty it, or choose RCBO above",
            "DEVICE=MCB, TRIP_ONCE=20 | TRIP_ONCE | an MCB has no residual-current part; empty it, or choose RCBO above",
            "DEVICE=MCB, TRIP_FIVE=20 | TRIP_FIVE | an MCB has no residual-current part; empty it, or choose RCBO above",
            "DEVICE=MCB, TEST_BUTTON=OPENS | TEST_BUTTON | an MCB has no residual-current part; empty it, or choose RCBO above",
            "TRIP_ONCE=24, TRIP_FIVE=25 | TRIP_FIVE | is longer than with a fifth of this current, 24 ms; one of both was read or typed wrongly",
            "CABLE=SHEATHED, BACK=ARMOUR | BACK | this cable has no armour; choose a core, or choose the armoured cable above",
            "CABLE=SHEATHED, ARMOUR_SIZE=17 | ARMOUR_SIZE | this cable has no armour; empty it, or choose the armoured cable above",
            "CABLE=SHEATHED, METHOD=D2 | METHOD | without armour a cable is not laid directly in the ground; choose a duct, or the armoured cable above",
            "BACK=ARMOUR, BACK_SIZE=2.5 | BACK_SIZE | is filled in, but the armour alone is chosen above; empty it or choose otherwise",
            "SIZE=2.5, BACK=CORE, BACK_SIZE=4 | BACK_SIZE | the protective core is larger than the live ones; look at the cable again",
            "CORES=2, BACK=CORE | CORES | two cores are line and neutral: there is none left for the protective conductor",
            "EARTHING=TN_S, ELECTRODE=30 | ELECTRODE | is filled in, but the supply is not TT; empty it or choose otherwise",
            "STORAGE=BOTH, LOWEST=5, HIGHEST=5 | HIGHEST | the highest must be above the lowest, 5 °C",
            "STORAGE=NONE, LOWEST=5 | LOWEST | is filled in, but above it is chosen that there is none; empty it or choose otherwise",
            "STORAGE=LOWEST, HIGHEST=5 | HIGHEST | is filled in, but above it is chosen that there is none; empty it or choose otherwise",
            "STORAGE=LOWEST, LOWEST=5, THERMOSTAT=5 | THERMOSTAT | is not above the lowest storage temperature, 5 °C: the heater would start too late",
            "STORAGE=HIGHEST, HIGHEST=30, THERMOSTAT=30 | THERMOSTAT | is not below the highest storage temperature, 30 °C: the heater would make it too hot",
            "HEATER=0, THERMOSTAT=8 | THERMOSTAT | is filled in, but the heater has 0 W; empty it, or say what the heater’s plate says",
            "DEVICE=MCB, TRIP_AT=20 | TRIP_AT | an MCB has no residual-current part; empty it, or choose RCBO above",
            "BACK=CONDUIT, BACK_SIZE=2.5 | BACK_SIZE | is filled in, but the steel conduit is chosen above; empty it or choose otherwise",
            "CABLE=SHEATHED, ARMOUR_METAL=STEEL | ARMOUR_METAL | this cable has no armour; empty it, or choose the armoured cable above",
            "SPACING=LAYER, METHOD=E | SPACING | is a row of the tables for cables clipped direct alone; empty it, then they count as bunched",
            "BACK=CONDUIT, METHOD=C | BACK | a cable that is laid otherwise than in conduit has none; choose another, or lay it in conduit below",
            "FUSE=3, VOLT=251 | FUSE | a fuse of a connection unit is made for at most 250 V, and the supply has 251 V",
            "ZS=0.3, R1R2=0.5 | ZS | is much less than R1 + R2 alone, 0.5 Ω; one of both was read or typed wrongly"})
    void impossiblePairIsSaidBesideTheField(String pairs, HandoverField beside, String sentence) {
        assertThat(problems(typed(pairs))).containsExactly(Map.entry(beside, sentence));
    }

    /** The same with the last figure that can be. */
    @ParameterizedTest
    @ValueSource(strings = {"SIZE=10, FUSE=3, TERMINAL=10", "SIZE=6, FUSE=3", "SIZE=10", "FUSE=6, RATING=6", "DEVICE=RCBO, RESIDUAL=30", "TRIP_ONCE=24, TRIP_FIVE=24", "TRIP_ONCE=>300, TRIP_FIVE=310",
            "CABLE=SWA, BACK=ARMOUR, ARMOUR_SIZE=17, METHOD=D2", "CABLE=SHEATHED, METHOD=D1", "SIZE=2.5, BACK=CORE, BACK_SIZE=2.5", "CORES=3, BACK=CORE", "CORES=2, BACK=ARMOUR",
            "EARTHING=TT, ELECTRODE=30", "STORAGE=BOTH, LOWEST=5, HIGHEST=6", "STORAGE=BOTH, LOWEST=5, HIGHEST=30, THERMOSTAT=5.1", "STORAGE=BOTH, LOWEST=5, HIGHEST=30, THERMOSTAT=29.9",
            "HEATER=1, THERMOSTAT=8", "ZS=0.4, R1R2=0.6", "FUSE=3, VOLT=250", "SPACING=LAYER, METHOD=C", "SPACING=BUNCHED, METHOD=E", "BACK=CONDUIT, METHOD=B, CABLE=SHEATHED, ARMOUR_SIZE=60",
            "CABLE=SHEATHED, SIZE=2.5, BACK=SEPARATE, BACK_SIZE=4, CORES=2", "CABLE=SWA, BACK=ARMOUR, ARMOUR_METAL=ALUMINIUM", "DEVICE=RCBO, TRIP_AT=22"})
    void pairThatCanBeIsTaken(String pairs) {
        assertThat(problems(typed(pairs))).isEmpty();
    }

    private static Map<HandoverField, String> typed(String pairs) {
        Map<HandoverField, String> typed = new EnumMap<>(HandoverField.class);
        for (String pair : pairs.split(", ")) {
            typed.put(HandoverField.valueOf(pair.substring(0, pair.indexOf('='))), pair.substring(pair.indexOf('=') + 1));
        }
        return typed;
    }

    @Test
    void whatIsNeededFollowsWhatIsThere() {
        assertThat(HandoverValues.of(Map.of()).missing()).contains(POSITION, STORAGE, EDITION).doesNotContain(RESIDUAL, ELECTRODE, WHY_LIVE, LOWEST, TERMINAL);
        assertThat(HandoverValues.of(Map.of(DEVICE, "RCBO", EARTHING, "TT", SHUTDOWN, "NOT_POSSIBLE", STORAGE, "BOTH")).missing())
                .contains(RESIDUAL, ELECTRODE, WHY_LIVE, LOWEST, HIGHEST, TRIP_ONCE).doesNotContain(SHUTDOWN_WITH);
        assertThat(HandoverValues.of(Map.of(HEATER, "0", CABLE, "SHEATHED", BACK, "ARMOUR")).missing()).doesNotContain(THERMOSTAT, ARMOUR_EARTHED, BACK_SIZE);
        assertThat(HandoverValues.of(Map.of(HEATER, "1", CABLE, "SWA", BACK, "CORE_AND_ARMOUR")).missing()).contains(THERMOSTAT, ARMOUR_EARTHED, BACK_SIZE);
        assertThat(HandoverValues.of(Map.of(SHUTDOWN, "AGREED", STORAGE, "LOWEST", DEVICE, "MCB", EARTHING, "TN_S")).missing()).contains(SHUTDOWN_WITH, LOWEST)
                .doesNotContain(WHY_LIVE, HIGHEST, RESIDUAL, TRIP_ONCE, ELECTRODE);
        assertThat(HandoverValues.of(Map.of(STORAGE, "HIGHEST", PART_2, "battery")).missing()).contains(HIGHEST, PART_2_UNTIL).doesNotContain(LOWEST, PART_1_UNTIL);
        assertThat(HandoverValues.of(Map.of(BACK, "SEPARATE")).missing()).contains(BACK_SIZE);
        assertThat(HandoverValues.of(Map.of(BACK, "CONDUIT")).missing()).doesNotContain(BACK_SIZE);
        assertThat(HandoverValues.of(Map.of()).missing()).doesNotContain(NETWORK, INRUSH, CONDUCTOR, ARMOUR_METAL, LOADED, SPACING, IMPACT, USE, TRIP_AT);
        assertThat(HandoverValues.of(HandoverFixture.example()).missing()).isEmpty();
        assertThat(HandoverValues.of(HandoverFixture.example()).problems()).isEmpty();
    }

    private static Map<HandoverField, String> problems(Map<HandoverField, String> typed) {
        return HandoverValues.of(new EnumMap<>(typed)).problems();
    }
}
