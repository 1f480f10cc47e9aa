package org.lampkeeper.report;

import java.nio.charset.StandardCharsets;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.report.Evidence.Table;

import static org.assertj.core.api.Assertions.assertThat;

/** The beginnings are those of OWASP, "CSV injection": = + - @, tab and carriage return. */
class CsvTextTest {

    @ParameterizedTest
    @CsvSource(delimiter = ';', quoteCharacter = '`', value = {
        "=1+1;            '=1+1",
        "@SUM(A1);        '@SUM(A1)",
        "+44 1632 960123; '+44 1632 960123",
        "-1+cmd;          '-1+cmd",
        "-3.50;           -3.50",
        "-3;              -3",
        "3.50;            3.50",
        "-;               '-",
        "-3.5.1;          '-3.5.1",
        "lit;             lit",
    })
    void figureStaysAFigureAndNothingElseIsRun(String text, String cell) {
        assertThat(CsvText.cell(text)).isEqualTo(cell);
    }

    @Test
    void cellOfAnArchiveIsNoFormula() {
        byte[] file = EvidenceArchive.csv(new Table(List.of("note", "inside C"), List.of(List.of("=HYPERLINK(\"http://a.example\")", "-3.5"))));

        assertThat(new String(file, StandardCharsets.UTF_8)).contains("'=HYPERLINK(").contains(",-3.5");
    }
}
