package org.lampkeeper.report;

import java.awt.image.BufferedImage;
import java.time.Duration;
import java.time.Instant;
import java.time.YearMonth;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.IntStream;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.MonthTemperatures.Day;
import org.lampkeeper.report.MonthTemperatures.Range;
import org.lampkeeper.report.SiteMonth.Mark;
import org.lampkeeper.report.SupplyFact.Heard;
import org.lampkeeper.report.SupplyFact.Lost;
import org.lampkeeper.report.SupplyFact.Returned;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;

/** A month in words, and on paper. */
@QuarkusTest
@TestProfile(WithDemo.class)
class SiteMonthTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final YearMonth NOVEMBER = YearMonth.of(2026, 11);
    private static final Instant START = Instant.parse("2026-11-01T00:00:00Z");
    private static final Span SPAN = new Span(START, Instant.parse("2026-12-01T00:00:00Z"));

    @Test
    void monthWithoutLossesSaysSoAndNotThatThereWillBeNone() {
        SiteMonth month = month(Map.of(1L, record(List.of(new Heard(START.minusSeconds(5))))), List.of());

        assertThat(month.headline()).isEqualTo("Every cabinet had supply for as long as it is known.");
        assertThat(month.losses()).isEqualTo("No loss in 30 d of known time, all cabinets together, 100 % of it with supply. With 95 % confidence, as much time again has 0.0 to 3.7 losses.");
        assertThat(month.lines()).singleElement().satisfies(line -> {
            assertThat(line.supply()).isEqualTo("100 %");
            assertThat(line.strip()).isEmpty();
        });
    }

    @Test
    void whoWasWithoutTheLongestComesFirstAndUnknownIsSaid() {
        SiteMonth month = month(Map.of(1L, record(List.of()), 2L, record(List.of(new Heard(START), new Lost(START.plus(Duration.ofHours(72))),
                new Returned(START.plus(Duration.ofHours(75).plusMinutes(20)))))), List.of(new Met(2, Optional.of(Duration.ofSeconds(22)), Optional.empty(), Optional.empty(), Optional.of(Duration.ofMinutes(200)))));

        assertThat(month.headline()).isEqualTo("1 of 2 cabinets was without supply for a time, Stair 2: 3 h 20 min. Of one, nothing is known.");
        assertThat(month.lines()).extracting(SiteMonth.CabinetLine::name).containsExactly("Stair 2", "Stair 1");
        // (720 h - 3 h 20 min) / 720 h = 0.99537
        assertThat(month.lines().get(0).supply()).isEqualTo("99.53 %");
        assertThat(month.lines().get(1).supply()).isEqualTo("not known");
        assertThat(month.lines().get(0).strip()).containsExactly(new Mark("lost", "60.00", "2.78", "without supply from 4 Nov 00:00 until 4 Nov 03:20"));
        assertThat(month.met()).containsExactly("Told: 1 of 1 loss, after 22 s.", "Taken by somebody: 0 of 1 loss.", "Somebody was there: 0 of 1 loss.", "Supply restored: 1 of 1 loss, after 3 h 20 min.");
    }

    @Test
    void paperSaysTheSameOnPagesOfA4() {
        SupplyRecord lost = record(List.of(new Heard(START), new Lost(START.plus(Duration.ofHours(72))), new Returned(START.plus(Duration.ofHours(75)))));
        Map<Long, SupplyRecord> records = new java.util.HashMap<>();
        for (long id = 1; id <= 40; id++) {
            records.put(id, lost);
        }

        try (PaperPages pages = new PaperPages(MonthPaper.of(month(records, List.of()), "Made by Lampkeeper on 1 December 2026, 06:00."))) {
            String text = pages.text().replaceAll("\\s+", " ");

            assertThat(pages.count()).isBetween(3, 10);
            assertThat(pages.title()).isEqualTo("North Stair, November 2026");
            assertThat(text).contains("40 of 40 cabinets were without supply for a time", "Stair 40 (S40): with supply 99.58 %", "1 of " + pages.count(),
                    "Made by Lampkeeper on 1 December 2026", "A report is no certificate");
            assertThat(pages.letters()).allMatch(letter -> letter.right() < 200 && letter.bottom() < 290);
        }
    }

    /** Three days of 30, then a hole, then one: of 600 in width a day is 20, drawn at its middle; from -6 up to 12 °C on 60 in height. */
    @Test
    void temperaturesOfAMonthAreDrawnDayByDayAndAHoleStaysOne() {
        long first = START.getEpochSecond() / 86_400;
        List<Day> days = List.of(new Day(first, Optional.of(new Range(4, 6, 8)), Optional.of(new Range(5, 6.5, 7)), Optional.of(new Range(-5.5, 0, 3))),
                new Day(first + 1, Optional.of(new Range(5, 6, 7)), Optional.empty(), Optional.empty()), new Day(first + 9, Optional.of(new Range(6, 9, 11.6)), Optional.empty(), Optional.empty()));

        MonthTemperatures drawn = MonthTemperatures.of(days, SPAN).orElseThrow();

        assertThat(drawn.words()).isEqualTo("Inside 4.0 to 11.6 °C, content 5.0 to 7.0 °C, outside -5.5 to 3.0 °C, on 3 days on record.");
        assertThat(drawn.top()).isEqualTo("12 °C");
        assertThat(drawn.bottom()).isEqualTo("-6 °C");
        assertThat(drawn.zero()).contains("40.00");
        assertThat(drawn.inside()).containsExactly("10.00,20.00 30.00,20.00", "190.00,10.00");
        assertThat(drawn.bands().get(0)).isEqualTo("10.00,13.33 30.00,16.67 30.00,23.33 10.00,26.67");
        assertThat(drawn.outside()).containsExactly("10.00,40.00");
        assertThat(drawn.content()).containsExactly("10.00,18.33");
        assertThat(MonthTemperatures.of(List.of(new Day(first, Optional.empty(), Optional.empty(), Optional.of(new Range(1, 2, 3)))), SPAN)).isEmpty();
        assertThat(MonthTemperatures.of(List.of(new Day(first, Optional.empty(), Optional.of(new Range(1, 2, 3)), Optional.empty())), SPAN).orElseThrow().words())
                .isEqualTo("Content 1.0 to 3.0 °C, on 1 day on record.");
    }

    @Test
    void paperSaysAndDrawsTheTemperaturesOfAMonth() {
        long first = START.getEpochSecond() / 86_400;
        Map<Long, List<Day>> warmth = Map.of(1L, IntStream.range(0, 30).mapToObj(day -> new Day(first + day, Optional.of(new Range(4, 6, 8)),
                Optional.of(new Range(4.5, 5, 7)), Optional.of(new Range(-5, -1, 3)))).toList());
        SiteMonth month = SiteMonth.of("North Stair", NOVEMBER, SPAN, LONDON, List.of(cabinet(1)), Map.of(1L, record(List.of(new Heard(START)))), Map.of(), List.of(), List.of(),
                warmth);

        try (PaperPages pages = new PaperPages(MonthPaper.of(month, "Made by Lampkeeper on 1 December 2026, 06:00."))) {
            assertThat(pages.text()).contains("Inside 4.0 to 8.0 °C, content 4.5 to 7.0 °C, outside -5.0 to 3.0 °C, on 30 days on record.", "8 °C", "-5 °C");
            // The grey from 4 to 8 of 13 degrees of 17.8 mm is 5.5 mm high, down the middle of the page; a line of 0.5 mm runs through it.
            BufferedImage page = pages.printed(0, 100);
            long grey = IntStream.range(0, page.getHeight()).filter(y -> Math.abs(page.getRaster().getSample(page.getWidth() / 2, y, 0) - 0xcc) < 8).count();
            assertThat(grey / 100.0 * 25.4).isBetween(4.0, 5.6);
        }
    }

    @Test
    void whatWasNotFitForUseIsSaidWithWhyAndThatNothingIsOnRecordIsNoWordThatAllIsFit() {
        UnfitRecord unfit = UnfitRecord.of(List.of(new FitnessFact.Found(UnfitRecord.Reason.TOO_COLD, START.plus(Duration.ofHours(72)))), SPAN, SPAN.until());
        SiteMonth month = SiteMonth.of("North Stair", NOVEMBER, SPAN, LONDON, List.of(cabinet(1)), Map.of(1L, record(List.of())), Map.of(), List.of(),
                List.of(new UnfitCabinet(1, "S1", "Stair 1", unfit)), Map.of());

        assertThat(month.unfit()).containsExactly("Stair 1 (S1). From 4 Nov 2026 00:00 on, nobody has said since that it is fit, 27 d: its content was measured colder than it may be.");
        assertThat(month(Map.of(1L, record(List.of())), List.of()).unfit()).containsExactly(UnfitWords.NOTHING);
        try (PaperPages pages = new PaperPages(MonthPaper.of(month, "Made by Lampkeeper on 1 December 2026, 06:00."))) {
            assertThat(pages.text().replaceAll("\\s+", " ")).contains("What was not fit for use Stair 1 (S1). From 4 Nov 2026");
        }
    }

    @ParameterizedTest
    @CsvSource({"0, 0 s", "59, 59 s", "60, 1 min", "75, 1 min 15 s", "3600, 1 h", "12000, 3 h 20 min", "86400, 1 d", "187200, 2 d 4 h"})
    void lengthsAreSaidToTheirTwoLargestUnits(long seconds, String words) {
        assertThat(Lengths.words(Duration.ofSeconds(seconds))).isEqualTo(words);
    }

    @ParameterizedTest
    @CsvSource({"1, 100 %", "0.999999, 99.99 %", "0.5, 50.00 %", "0, 0.00 %"})
    void shareWithALossInItIsNotAHundredPerCent(double share, String words) {
        assertThat(SiteMonth.percent(share)).isEqualTo(words);
    }

    private static SiteMonth month(Map<Long, SupplyRecord> records, List<Met> met) {
        List<CabinetSheet> cabinets = records.keySet().stream().sorted().map(SiteMonthTest::cabinet).toList();
        return SiteMonth.of("North Stair", NOVEMBER, SPAN, LONDON, cabinets, records, Map.of(), met, List.of(), Map.of());
    }

    private static SupplyRecord record(List<SupplyFact> facts) {
        return SupplyRecord.of(facts, List.of(), SPAN);
    }

    private static CabinetSheet cabinet(long id) {
        SiteSheet site = new SiteSheet(3, "North Stair", "Quay road 1", LONDON, "gate code 4715", "meter cupboard", Optional.empty(), 1);
        return new CabinetSheet(id, "S" + id, "Stair " + id, "foot", "defibrillator", "under", site, new BoardSheet(5, 3, "North Stair", "A", "intake", "key", 1),
                new CircuitSheet("4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3 x 2.5 mm2", 3, "behind", 9, 1), 1);
    }
}
