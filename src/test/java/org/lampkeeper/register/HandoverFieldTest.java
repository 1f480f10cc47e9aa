package org.lampkeeper.register;

import java.util.EnumMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

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
            "EARTHING | IT | “IT” is none of: TN-S; TN-C-S; TT", "NEXT_INSPECTION | 25.11.2027 | “25.11.2027” is not a day, must be written like 2026-11-25",
            "IP_CODE | IP99 | “IP99” is no IP code, must be one like IP65, IPX4 or IP65/IP67", "HEIGHT | 1200 mm | “mm” stands behind the number; this is in m, type the number in m"})
    void badValueGetsASentenceThatSaysWhatWouldBeRight(HandoverField field, String typed, String sentence) {
        assertThat(field.read(typed).value()).isEmpty();
        assertThat(field.read(typed).problem()).contains(sentence);
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

    @Test
    void keysAreUniqueAndFitTheirColumn() {
        List<String> keys = Stream.of(HandoverField.values()).map(HandoverField::key).toList();

        assertThat(new HashSet<>(keys)).hasSameSizeAs(keys);
        assertThat(keys).allMatch(key -> key.matches("[a-z][a-zA-Z0-9]{1,39}"));
        assertThat(HandoverField.values()).filteredOn(field -> field.shape().kind() == Kind.CHOICE).allMatch(field -> field.shape().choices().size() >= 2);
    }

    @Test
    void impossiblePairsAreSaidBesideTheField() {
        assertThat(problems(Map.of(SIZE, "10", FUSE, "3"))).containsOnlyKeys(SIZE).satisfies(it -> assertThat(it.get(SIZE)).startsWith("10 mm² does not go into the terminals"));
        assertThat(problems(Map.of(SIZE, "10", FUSE, "3", TERMINAL, "10"))).isEmpty();
        assertThat(problems(Map.of(FUSE, "13", RATING, "6"))).containsOnlyKeys(FUSE);
        assertThat(problems(Map.of(DEVICE, "MCB", RESIDUAL, "30"))).containsOnlyKeys(RESIDUAL);
        assertThat(problems(Map.of(CABLE, "SHEATHED", BACK, "ARMOUR"))).containsOnlyKeys(BACK);
        assertThat(problems(Map.of(CORES, "2", BACK, "CORE"))).containsOnlyKeys(CORES);
        assertThat(problems(Map.of(STORAGE, "BOTH", LOWEST, "5", HIGHEST, "5"))).containsOnlyKeys(HIGHEST);
        assertThat(problems(Map.of(STORAGE, "NONE", LOWEST, "5"))).containsOnlyKeys(LOWEST);
        assertThat(problems(Map.of(STORAGE, "LOWEST", LOWEST, "5", THERMOSTAT, "5"))).containsOnlyKeys(THERMOSTAT);
        assertThat(problems(Map.of(ZS, "0.3", R1R2, "0.5"))).containsOnlyKeys(ZS);
    }

    @Test
    void whatIsNeededFollowsWhatIsThere() {
        assertThat(HandoverValues.of(Map.of()).missing()).contains(POSITION, STORAGE, EDITION).doesNotContain(RESIDUAL, ELECTRODE, WHY_LIVE, LOWEST, TERMINAL);
        assertThat(HandoverValues.of(Map.of(DEVICE, "RCBO", EARTHING, "TT", SHUTDOWN, "NOT_POSSIBLE", STORAGE, "BOTH")).missing())
                .contains(RESIDUAL, ELECTRODE, WHY_LIVE, LOWEST, HIGHEST, TRIP_ONCE).doesNotContain(SHUTDOWN_WITH);
        assertThat(HandoverValues.of(HandoverFixture.example()).missing()).isEmpty();
        assertThat(HandoverValues.of(HandoverFixture.example()).problems()).isEmpty();
    }

    private static Map<HandoverField, String> problems(Map<HandoverField, String> typed) {
        return HandoverValues.of(new EnumMap<>(typed)).problems();
    }
}
