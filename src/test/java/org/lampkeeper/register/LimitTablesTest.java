package org.lampkeeper.register;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class LimitTablesTest {

    @TempDir
    Path folder;

    @Test
    void ownTablesAreReadAndSayWhatTheyWereNotCheckedAgainst() {
        LimitTables own = LimitTables.own();

        assertThat(own.editions()).isNotEmpty();
        assertThat(own.editions()).allSatisfy(edition -> assertThat(own.find(edition).orElseThrow().remark()).contains("Not checked against"));
    }

    /** Each of them keeps the service from starting, and says where it is and what would be right. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "loopScreen: 0.8 | loopScreen: -0.8 | loopScreen is -0.8, must be 0 or more",
            "loopScreen: 0.8 | loopScreen: lots | loopScreen",
            "loopScreen: 0.8 | loopSkreen: 0.8 | loopScreen",
            "touchVoltage: 50 | # | touchVoltage",
            "TT: | TX: | TX",
            "like: BS 7671:2018+A2:2022 | like: another | must be an edition that stands before it",
            "PRIVATE: {LIGHTING: 6, OTHER: 8} | PRIVATE: {LIGHTING: 6} | dropPercent has no PRIVATE OTHER, must have one",
            "dropMillivoltThree: {1.5: 25, | dropMillivoltThree: { | dropMillivoltThree has [2.5, 4.0, 6.0, 10.0] mm², must have those of dropMillivolt",
            "STEEL_CONDUIT: | STEEL_CONDUIT1: | STEEL_CONDUIT1",
            "seconds: 0.8 | seconds: -1 | disconnection.TN_S[1].seconds is -1"})
    void fileThatCannotBeRightIsRefusedWithThePlace(String was, String is, String says) throws IOException {
        Path file = Files.writeString(folder.resolve("limits.yaml"), Files.readString(Path.of("config", "electrical-limits.yaml")).replaceFirst(
                java.util.regex.Pattern.quote(was), is));

        assertThatThrownBy(() -> new LimitTables(new ConfiguredFile("limits", "", Optional.of(file)))).isInstanceOf(RuntimeException.class).hasMessageContaining(says);
    }
}
