package org.lampkeeper.register;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.check.CheckKind;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class LookQuestionsTest {

    @TempDir
    Path directory;

    private LookQuestions from(String content) throws IOException {
        return new LookQuestions(Optional.of(Files.writeString(directory.resolve("questions.yaml"), content)));
    }

    @Test
    void whatIsAskedOfEveryCabinetComesFirstAndThenWhatIsAskedOfItsContent() throws IOException {
        LookQuestions questions = from("""
                looks:
                  - {content: defibrillator, at: cabinet, ask: ["Is it ready?"]}
                  - {content: any, at: cabinet, ask: ["Does the door close?", "Is it dry?"]}
                  - {content: any, at: test-button, ask: ["Did the lamp go out?"]}
                """);

        assertThat(questions.at(CheckKind.CABINET, "Defibrillator ")).containsExactly("Does the door close?", "Is it dry?", "Is it ready?");
        assertThat(questions.at(CheckKind.CABINET, "rope")).containsExactly("Does the door close?", "Is it dry?");
        assertThat(questions.at(CheckKind.TEST_BUTTON, "rope")).containsExactly("Did the lamp go out?");
        assertThat(questions.at(CheckKind.LAMP, "defibrillator")).isEmpty();
    }

    /** Whoever looks at the lamp answers with one press; the other looks ask something of each kind that the demo has. */
    @Test
    void deliveredFileAsksOfCabinetAndDates() {
        LookQuestions delivered = new LookQuestions(Optional.empty());

        assertThat(delivered.at(CheckKind.LAMP, "defibrillator")).isEmpty();
        assertThat(delivered.at(CheckKind.CABINET, "defibrillator")).hasSizeGreaterThan(delivered.at(CheckKind.CABINET, "rope").size());
        assertThat(delivered.at(CheckKind.CONTENT, "rope")).isNotEmpty();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "{content: any, at: roof, ask: [x]}       | look 1: at 'roof', must be one of lamp, cabinet, content, test-button",
            "{at: cabinet, ask: [x]}                  | look 1: content is empty",
            "{content: any, at: cabinet, ask: []}     | look 1: ask has 0 questions, must have 1 to 8",
            "{content: any, at: cabinet, ask: ['']}   | look 1: question '', must have 1 to 120 characters",
            "{content: any, at: cabinet, asks: [x]}   | asks"})
    void fileThatCannotBeRightStopsTheStartAndSaysWhere(String look, String says) {
        assertThatThrownBy(() -> from("looks:\n  - " + look + "\n")).hasMessageContaining("questions.yaml").hasMessageContaining(says);
    }

    @Test
    void missingFileIsNamedWithItsSetting() {
        assertThatThrownBy(() -> new LookQuestions(Optional.of(directory.resolve("gone.yaml")))).hasMessageContaining("gone.yaml")
                .hasMessageContaining("lampkeeper.look.questions");
    }
}
