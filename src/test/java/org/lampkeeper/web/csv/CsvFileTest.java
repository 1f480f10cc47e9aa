package org.lampkeeper.web.csv;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.web.csv.CsvFile.Row;
import org.lampkeeper.web.csv.CsvFile.Table;

import static org.assertj.core.api.Assertions.assertThat;

class CsvFileTest {

    @ParameterizedTest
    @ValueSource(strings = {"deviceId,cabinet,baseName\r\na,C1,u:\r\n", "deviceId;cabinet;baseName\na;C1;u:",
            "\"deviceId\",\"cabinet\",\"baseName\"\n\"a\",\"C1\",\"u:\"\n",
            "baseName , DEVICEID,cabinet\nu:,a,C1\n", "\n\ndeviceId,cabinet,baseName\n\n,,\na,C1,u:\n"})
    void separatorOrderAndEmptyRowsDoNotMatter(String text) {
        Table table = CsvFile.read(CsvKind.SENSORS, text.stripLeading());

        assertThat(table.wrong()).isEmpty();
        assertThat(table.rows()).extracting(Row::cells).containsExactly(Map.of("deviceId", "a", "cabinet", "C1", "baseName", "u:"));
    }

    @Test
    void rowsCountAsInASpreadsheetAlsoAfterACellOfSeveralLines() {
        Table table = CsvFile.read(CsvKind.SENSORS, "deviceId,cabinet,baseName\n\"a\nb\",\"x \"\"y\"\", z\",u:\nc,C2,v:\n");

        assertThat(table.rows()).extracting(Row::number).containsExactly(2, 3);
        assertThat(table.rows().get(0).text("deviceId")).isEqualTo("a\nb");
        assertThat(table.rows().get(0).text("cabinet")).isEqualTo("x \"y\", z");
    }

    @Test
    void fileThatIsNoneOfOursSaysWhatIsWrongWithIt() {
        assertThat(CsvFile.read(CsvKind.SENSORS, "").wrong()).singleElement().satisfies(wrong -> assertThat(wrong.text())
                .contains("is empty"));
        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,colour\n").wrong()).extracting(Wrong::column).containsExactly("colour",
                "cabinet", "baseName");
        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,deviceId,cabinet,baseName\n").wrong()).singleElement()
                .isEqualTo(new Wrong(1, "deviceId", "is there twice, must be there once"));
        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,cabinet,baseName\na,b,c,d\n").wrong()).singleElement()
                .satisfies(wrong -> assertThat(wrong.text()).contains("has 4 cells"));
        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,cabinet,baseName\n\"a,b,c\n").wrong()).singleElement()
                .satisfies(wrong -> assertThat(wrong.row()).isEqualTo(2));
        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,cabinet,baseName\n" + "x".repeat(2001) + ",b,c\n").wrong()).singleElement()
                .isEqualTo(new Wrong(2, "deviceId", "has 2001 characters, must have at most 2000"));
    }

    @Test
    void oneRowTooManyIsToldWithItsNumber() {
        String rows = "a,b,c\n".repeat(CsvFile.MOST_ROWS);

        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,cabinet,baseName\n" + rows).wrong()).isEmpty();
        assertThat(CsvFile.read(CsvKind.SENSORS, "deviceId,cabinet,baseName\n" + rows + "a,b,c\n").wrong()).singleElement()
                .satisfies(wrong -> assertThat(wrong.row()).isEqualTo(CsvFile.MOST_ROWS + 2));
    }

    @Test
    void textIsUtf8WithOrWithoutAMark() {
        assertThat(CsvFile.text("\uFEFFé".getBytes(StandardCharsets.UTF_8))).contains("é");
        assertThat(CsvFile.text("é".getBytes(StandardCharsets.UTF_8))).contains("é");
        assertThat(CsvFile.text("é".getBytes(StandardCharsets.ISO_8859_1))).isEmpty();
        assertThat(CsvFile.text("a\0b".getBytes(StandardCharsets.UTF_8))).isEmpty();
    }

    @Test
    void whatIsWrittenIsReadTheSameWhateverIsInIt() {
        List<String> hostile = List.of(Cells.harmless("=cmd|' /C calc'!A0"), Cells.harmless("\"; DROP\r\nTABLE"),
                Cells.harmless("'\u202E,;\t<b>"));
        for (char separator : new char[] {',', ';'}) {
            String file = CsvFile.write(CsvKind.SENSORS, List.of(hostile, List.of("", " x ", "a\\b")), separator);
            Table table = CsvFile.read(CsvKind.SENSORS, file);

            assertThat(table.wrong()).isEmpty();
            assertThat(table.rows()).extracting(row -> List.copyOf(row.cells().values())).containsExactly(
                    List.of("=cmd|' /C calc'!A0", "\"; DROP\r\nTABLE", "'\u202E,;\t<b>"), List.of("", " x ", "a\\b"));
            assertThat(file).startsWith("deviceId" + separator + "cabinet").contains("\r\n").doesNotContainPattern("(^|[\\r\\n,;\"])[=+@]");
        }
    }
}
