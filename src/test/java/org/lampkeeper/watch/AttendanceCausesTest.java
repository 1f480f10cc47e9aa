package org.lampkeeper.watch;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Scope;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class AttendanceCausesTest {

    private static final String ALL = "- {word: other, text: Other, at: [cabinet, site, installation]}\n";

    @TempDir
    Path directory;

    @Test
    void listOfTheProgramOffersSomethingForEveryAlarm() {
        AttendanceCauses causes = new AttendanceCauses(Optional.empty());

        assertThat(causes.find("fuse-blown")).get().satisfies(cause -> {
            assertThat(cause.needsFuse()).isTrue();
            assertThat(cause.needsRetest()).isTrue();
        });
        for (Scope scope : Scope.values()) {
            assertThat(causes.at(scope)).isNotEmpty();
        }
    }

    @Test
    void orderOfTheFileIsTheOrderOfTheForm() throws IOException {
        assertThat(read("causes:\n- {word: zebra, text: Z, at: [site]}\n" + ALL).all()).extracting(AttendanceCause::word)
                .containsExactly("zebra", "other");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "'- {word: other, text: x, at: [site]}' | cause 2: word 'other' is there twice",
            "'- {word: Other One, text: x, at: [site]}' | cause 2: word 'Other One', must be",
            "'- {word: a, text: x, at: [roof]}' | cause 2: at 'roof', must be cabinet, site or installation",
            "'- {word: a, text: \"\", at: [site]}' | cause 2: text of 'a' has 0 characters",
            "'- {word: a, text: x}' | cause 2: at of 'a' is empty"})
    void badFileStopsTheStartAndSaysWhere(String second, String said) {
        assertThatThrownBy(() -> read("causes:\n" + ALL + second + "\n")).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("causes.yaml").hasMessageContaining(said);
    }

    @Test
    void unknownNameInTheFileIsAMistake() {
        assertThatThrownBy(() -> read("causes:\n- {word: a, text: x, at: [site], retset: true}\n")).hasMessageContaining("retset");
    }

    @Test
    void emptyFileAndMissingKindOfAlarmAreMistakes() {
        assertThatThrownBy(() -> read("causes: []\n")).hasMessageContaining("causes is empty");
        assertThatThrownBy(() -> read("causes:\n- {word: a, text: x, at: [site]}\n")).hasMessageContaining("no cause has at cabinet");
    }

    @Test
    void fileThatIsNotThereStopsTheStart() {
        assertThatThrownBy(() -> new AttendanceCauses(Optional.of(directory.resolve("gone.yaml"))))
                .hasMessageContaining("gone.yaml").hasMessageContaining("lampkeeper.attendance.causes");
    }

    private AttendanceCauses read(String content) throws IOException {
        return new AttendanceCauses(Optional.of(Files.writeString(directory.resolve("causes.yaml"), content)));
    }
}
