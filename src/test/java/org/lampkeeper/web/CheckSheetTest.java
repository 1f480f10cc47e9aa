package org.lampkeeper.web;

import java.time.Instant;
import java.time.LocalDate;
import java.time.YearMonth;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.LongStream;
import java.util.stream.Stream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckDue;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.web.CheckReading.Look;
import org.lampkeeper.web.CheckReading.Said;

import static org.assertj.core.api.Assertions.assertThat;

class CheckSheetTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final LocalDate FIRST = LocalDate.parse("2026-11-01");
    private static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");

    /** Intervals as Wilson's of 1927; those of 81 of 263, 15 of 148 and 1 of 29 as printed by R. G. Newcombe, Statistics in Medicine 17 (1998) 857. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "0   | 0   | No look has come to its end yet.",
            "81  | 263 | 81 of 263 looks were taken on time. With 95 % confidence that is 25.5 to 36.6 %.",
            "15  | 148 | 15 of 148 looks were taken on time. With 95 % confidence that is 6.2 to 16.0 %.",
            "1   | 29  | 1 of 29 looks were taken on time. With 95 % confidence that is 0.6 to 17.2 %.",
            "28  | 30  | 28 of 30 looks were taken on time. With 95 % confidence that is 78.7 to 98.2 %.",
            "30  | 30  | 30 of 30 looks were taken on time. With 95 % confidence that is 88.6 to 100.0 %.",
            "360 | 365 | 360 of 365 looks were taken on time. With 95 % confidence that is 96.8 to 99.4 %."})
    void complianceSaysHowSureItIs(long done, long all, String sentence) {
        List<Look> looks = new ArrayList<>();
        LongStream.range(0, done).forEach(i -> looks.add(look(CheckState.DONE, said(Answer.LIT))));
        LongStream.range(done, all).forEach(i -> looks.add(look(CheckState.MISSED)));
        looks.add(look(CheckState.OPEN));

        assertThat(CheckSheet.compliance(looks)).isEqualTo(sentence);
    }

    @Test
    void looksThatTheSensorStoodInForAreCountedApart() {
        Said bySensor = new Said(1, OptionalLong.empty(), "", Answer.LIT, NOW, NOW, true, false, OptionalLong.empty(), "", "HEALTHY", false, Optional.empty(), false);

        assertThat(CheckSheet.compliance(List.of(look(CheckState.DONE, bySensor), look(CheckState.DONE, said(Answer.LIT)))))
                .startsWith("2 of 2 looks were taken on time, 1 of them by the sensor.");
    }

    @ParameterizedTest
    @CsvSource({"M. Teal, MT", "R.Osk, RO", "åsa von Berg-Lund, ÅVBL", "'', ?", "' . ', ?"})
    void initialsAreThoseOfAPaperSheet(String name, String initials) {
        assertThat(CheckSheet.initials(name)).isEqualTo(initials);
    }

    @Test
    void sheetHasARowADayWithAMarkAndAWord() {
        Said wrong = new Said(1, OptionalLong.of(7), "M. Teal", Answer.OUT, NOW, NOW, true, true, OptionalLong.empty(), "", "UNKNOWN", false, Optional.empty(), false);

        CheckSheet sheet = CheckSheet.of(YearMonth.of(2026, 11), List.of(look(CheckState.DONE, wrong, said(Answer.LIT)), look(CheckState.MISSED)), LONDON, NOW);

        assertThat(sheet.days()).hasSize(30);
        assertThat(sheet.days().get(0).name()).isEqualTo("Sun 1");
        assertThat(sheet.days().get(0).lines()).extracting(line -> line.mark() + " " + line.word() + " " + line.initials() + " " + line.at() + " " + line.needs())
                .containsExactly("○ out, tapped wrong MT 02:45 false", "✓ lit MT 02:45 false", "✕ missed   true");
        assertThat(sheet.days().get(1).lines()).isEmpty();
    }

    @Test
    void lookOfTheirOwnAccordStandsOnTheSheetAndIsNoLookOnTime() {
        Look own = look(CheckState.DONE, said(Answer.LIT));
        Look atTheLabel = new Look(own.id(), own.siteId(), own.cabinetId(), own.cabinet(), own.code(), own.kind(), own.due(), own.openedAt(), false, own.state(), false, true,
                own.said());

        CheckSheet sheet = CheckSheet.of(YearMonth.of(2026, 11), List.of(atTheLabel, look(CheckState.MISSED)), LONDON, NOW);

        assertThat(sheet.compliance()).startsWith("0 of 1 look was taken on time.");
        assertThat(sheet.days().get(0).lines().get(0)).satisfies(line -> assertThat(line.word() + " " + line.what()).isEqualTo("lit of their own accord"));
    }

    @Test
    void lookWithTheCodeOfTheLabelSaysSo() {
        Said there = new Said(1, OptionalLong.of(7), "M. Teal", Answer.LIT, NOW, NOW, true, false, OptionalLong.empty(), "", "UNKNOWN", true, Optional.empty(), false);

        assertThat(CheckSheet.of(YearMonth.of(2026, 11), List.of(look(CheckState.DONE, there)), LONDON, NOW).days().get(0).lines()).singleElement()
                .satisfies(line -> assertThat(line.word()).isEqualTo("lit, at the cabinet"));
    }

    @Test
    void headlineNamesWhatIsOpenBeforeWhatWasMissed() {
        assertThat(ChecksResource.headline("North Stair", List.of())).isEqualTo("Nothing is to be looked at today at North Stair.");
        assertThat(ChecksResource.headline("North Stair", List.of(look(CheckState.OPEN), look(CheckState.MISSED))))
                .isEqualTo("Nobody has said yet what is with North Stair 1. Nobody is known to have looked at North Stair 1 in time today.");
        assertThat(ChecksResource.headline("North Stair", List.of(look(CheckState.DONE, said(Answer.LIT)))))
                .isEqualTo("All that was to be looked at today at North Stair was.");
    }

    private static Said said(Answer answer) {
        return new Said(2, OptionalLong.of(7), "M. Teal", answer, NOW, NOW, true, false, OptionalLong.empty(), "", "UNKNOWN", false, Optional.empty(), false);
    }

    private static Look look(CheckState state, Said... said) {
        Instant opens = FIRST.atTime(9, 0).atZone(LONDON).toInstant();
        CheckDue due = new CheckDue(FIRST, opens, opens.plusSeconds(7200), opens.plusSeconds(9000), false);
        return new Look(1, 3, 7, "North Stair 1", "NS1", CheckKind.LAMP, due, Optional.of(opens), false, state, false, false, Stream.of(said).toList());
    }
}
