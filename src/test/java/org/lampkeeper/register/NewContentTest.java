package org.lampkeeper.register;

import java.time.LocalDate;
import java.util.Collections;
import java.util.List;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.quantity.Celsius;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class NewContentTest {

    private static final DatedPart PADS = new DatedPart("pads", LocalDate.parse("2027-06-30"));

    @ParameterizedTest
    @CsvSource({"-60, 100,", "0, 50,", "-60.1, 50, lowest", "0, 100.1, highest", "50, 50, highest", "51, 50, highest"})
    void limitsAreIncludedAndTheHighestIsAbove(double lowest, double highest, String field) {
        NewContent entered = new NewContent("kind", true, Optional.of(new Celsius(lowest)), Optional.of(new Celsius(highest)), List.of());

        assertThat(entered.problems()).extracting(Problem::field).isEqualTo(field == null ? List.of() : List.of(field));
    }

    @Test
    void aLimitThatNobodyAskedForIsRefused() {
        assertThat(new NewContent("kind", false, Optional.of(new Celsius(0)), Optional.empty(), List.of()).problems())
                .extracting(Problem::field).containsExactly("lowest");
        assertThat(NewContent.ofKind("kind").problems()).isEmpty();
        assertThat(new NewContent("kind", true, Optional.empty(), Optional.empty(), List.of()).problems()).isEmpty();
    }

    @Test
    void partsAreTwelveAtMostAndEachIsNamedByItsPlace() {
        assertThat(new NewContent("kind", false, Optional.empty(), Optional.empty(), Collections.nCopies(12, PADS)).problems()).isEmpty();
        assertThat(new NewContent("kind", false, Optional.empty(), Optional.empty(), Collections.nCopies(13, PADS)).problems())
                .extracting(Problem::field).containsExactly("parts");
        assertThat(new NewContent("kind", false, Optional.empty(), Optional.empty(), List.of(PADS, new DatedPart("", LocalDate.parse("1999-12-31"))))
                .problems()).extracting(Problem::field).containsExactly("parts.1.name", "parts.1.goodUntil");
    }

    @ParameterizedTest
    @ValueSource(strings = {"\u202Eevil", "a\u2066b", "tab\there", "line\nbreak", "\uD800"})
    void textThatWouldDisturbWhatStandsAroundItIsRefused(String text) {
        assertThat(NewContent.ofKind(text).problems()).singleElement().satisfies(problem -> assertThat(problem.text()).contains("must be"));
    }

    @ParameterizedTest
    @ValueSource(strings = {"<b>bold</b>", "\u05D0\u05D1\u200F!", "O’Neill & Söhne", "'; DROP TABLE site; --", "\uD83D\uDE97"})
    void anyOtherTextIsTaken(String text) {
        assertThat(NewContent.ofKind(text).problems()).isEmpty();
    }

    @Test
    void temperatureBelowAbsoluteZeroDoesNotExist() {
        assertThatThrownBy(() -> new Celsius(-273.16)).hasMessageContaining("not below -273.15");
        assertThatThrownBy(() -> new Celsius(Double.NaN)).isInstanceOf(IllegalArgumentException.class);
        assertThat(new Celsius(-273.15).value()).isEqualTo(-273.15);
    }
}
