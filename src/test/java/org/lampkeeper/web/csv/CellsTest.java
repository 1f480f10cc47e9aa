package org.lampkeeper.web.csv;

import java.time.LocalDate;
import java.util.List;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.StringLength;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.DatedPart;

import static org.assertj.core.api.Assertions.assertThat;

class CellsTest {

    @ParameterizedTest
    @ValueSource(strings = {"=1+1", "+44 7700 900101", "-2+3", "@SUM(A1)", "\tx", "\rx", "  =1", "\uFF1D1", "'=1", "''", "%0", "|x"})
    void whatASpreadsheetWouldRunIsMarkedAndComesBack(String text) {
        assertThat(Cells.harmless(text)).isEqualTo("'" + text);
        assertThat(Cells.meant(Cells.harmless(text))).isEqualTo(text);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "North Stair", "2.5 mm²", "o'clock", "a=b", "7"})
    void plainTextIsLeftAsItIs(String text) {
        assertThat(Cells.harmless(text)).isEqualTo(text);
        assertThat(Cells.meant(text)).isEqualTo(text);
    }

    @Property
    void everyTextComesBack(@ForAll @StringLength(max = 12) String text) {
        assertThat(Cells.meant(Cells.harmless(text))).isEqualTo(text);
    }

    @Property
    void everyListOfPartsComesBack(@ForAll @StringLength(min = 1, max = 8) String one, @ForAll @StringLength(min = 1,
            max = 8) String other) {
        List<DatedPart> parts = List.of(new DatedPart(one, LocalDate.of(2027, 3, 31)), new DatedPart(other, LocalDate.of(2100, 12, 31)));

        assertThat(Cells.parts(Cells.parts(parts))).contains(parts);
    }

    @ParameterizedTest
    @ValueSource(strings = {"pads", "2027-03-31", "2027-02-30 pads", "pads 2027-03-31", "2027-03-31 pads;; x"})
    void partsThatCannotBeReadAreNone(String cell) {
        assertThat(Cells.parts(cell)).isEmpty();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"2,5|2.5", "2.5|2.5", "-10|-10", " 7 |7", "0,10|0.1"})
    void decimalsTakeACommaOrAPoint(String cell, double value) {
        assertThat(Cells.decimal(cell)).contains(value);
        assertThat(Cells.decimal(Cells.decimal(value))).contains(value);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "2,5,1", "1e3", "NaN", "2 5", "½"})
    void whatIsNoNumberIsNone(String cell) {
        assertThat(Cells.decimal(cell)).isEmpty();
    }

    @Test
    void wholeNumbersHaveNoFraction() {
        assertThat(Cells.whole("16")).contains(16);
        assertThat(Cells.whole("16,0")).isEmpty();
        assertThat(Cells.whole("99999999999")).isEmpty();
    }
}
