package org.lampkeeper.web;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.web.SupplyPage.Wish;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.tuple;
import static org.lampkeeper.web.SupplyFixture.NOW;

class SupplyPageTest {

    @ParameterizedTest
    @CsvSource({"0, lit", "1, unknown"}) // seconds past the last moment at which the report may be believed; that moment included
    void lampIsLitOnlyWhileAFreshReportSaysSo(long past, String look) {
        SupplyFixture harbour = new SupplyFixture().reportedHealthy(111, NOW.minusSeconds(900), NOW.minusSeconds(past));

        assertThat(harbour.line(111).look()).isEqualTo(look);
    }

    @ParameterizedTest
    @CsvSource({"60, lit", "61, unknown"}) // seconds since Lampkeeper last listened; the limit of 60 s included
    void nothingIsKnownWhileLampkeeperDoesNotListen(long ago, String look) {
        SupplyFixture harbour = new SupplyFixture().lit(111, 112).lastListened(Duration.ofSeconds(ago));

        assertThat(harbour.line(111).look()).isEqualTo(look);
        assertThat(harbour.page().isDeaf()).isEqualTo(look.equals("unknown"));
    }

    @Test
    void lossStaysALossWhenItsSensorFallsSilent() {
        SupplyFixture harbour = new SupplyFixture().lost(111, Duration.ofMinutes(4), NOW.minusSeconds(1));

        assertThat(harbour.line(111).word()).isEqualTo("LOST");
        assertThat(harbour.line(111).note()).contains("not heard since 02:44");
    }

    @Test
    void suspectedLossIsShownAsOffAndNotConfirmed() {
        SupplyFixture harbour = new SupplyFixture().suspected(111).lit(112);

        assertThat(harbour.line(111).look()).isEqualTo("lost");
        assertThat(harbour.line(111).word()).isEqualTo("OFF");
        assertThat(harbour.line(111).note()).isEqualTo("not confirmed yet");
    }

    @Test
    void whatIsLostSaysHowLongItStaysWarmAndNothingElseIsAskedFor() {
        List<List<Long>> asked = new ArrayList<>();
        SupplyView page = new SupplyFixture().lit(111).lost(112, Duration.ofMinutes(4)).lost(113, Duration.ofMinutes(4)).page((lost, now) -> {
            asked.add(lost);
            return Map.of(112L, List.of("Content below 0 °C between 04:40 and 06:10 if nothing changes."));
        });

        assertThat(asked).containsExactly(List.of(112L, 113L));
        assertThat(page.sites().get(0).boards().get(0).lines()).extracting(SupplyView.LineView::id, SupplyView.LineView::outlook).containsExactly(tuple(111L, ""),
                tuple(112L, "Content below 0 °C between 04:40 and 06:10 if nothing changes."), tuple(113L, ""));
    }

    @Test
    void forecastsAreAskedForOnceAndForNoMoreThanAreDrawn() {
        List<Integer> asked = new ArrayList<>();
        SupplyFixture harbour = new SupplyFixture();
        IntStream.range(0, 90).forEach(number -> harbour.lost(1000 + number, Duration.ofMinutes(4)));
        harbour.page((lost, now) -> {
            asked.add(lost.size());
            return Map.of();
        });
        new SupplyFixture().lit(111).page((lost, now) -> {
            throw new AssertionError("nothing is lost");
        });

        assertThat(asked).containsExactly(40);
    }

    @Test
    void siteSaysWhoIsOnAndNextAndWhereNobodyIs() {
        SupplyFixture harbour = new SupplyFixture().lit(111, 222)
                .onDuty(1, new Gap(DutyRole.ELECTRICIAN, NOW.plusSeconds(3600), NOW.plusSeconds(7200)));

        assertThat(harbour.page().sites()).extracting(SupplyView.SiteView::duty).containsExactly("M. Teal (duty manager) until 06:00, then A. Wren", "");
        assertThat(harbour.page().sites()).extracting(SupplyView.SiteView::nobody).containsExactly("No electrician from 03:45 to 04:45", "");
    }

    @Test
    void cabinetThatWasNeverHeardIsAQuestion() {
        assertThat(new SupplyFixture().unheard(111).line(111).word()).isEqualTo("NEVER HEARD");
        assertThat(new SupplyFixture().unheard(111).line(111).look()).isEqualTo("unknown");
    }

    @Test
    void lineOfALostCabinetIsDeadOnlyBehindItsDeviceWhileTheBoardIsAlive() {
        SupplyFixture harbour = new SupplyFixture().lost(111, Duration.ofMinutes(4)).lit(112);

        assertThat(harbour.line(111).drawing().orElseThrow().isNearDead()).isFalse();
        assertThat(harbour.line(111).drawing().orElseThrow().order().device()).isEqualTo("2");
        assertThat(harbour.page().sites().get(0).boards().get(0).look()).isEqualTo("lit");
    }

    @Test
    void boardWhoseEveryCabinetIsLostIsDrawnLostAndMarked() {
        SupplyFixture harbour = new SupplyFixture().lost(111, Duration.ofMinutes(4)).lost(112, Duration.ofMinutes(4)).lit(121);

        assertThat(harbour.line(111).drawing().orElseThrow().isNearDead()).isTrue();
        assertThat(harbour.page().sites().get(0).boards().get(0).look()).isEqualTo("lost");
        assertThat(harbour.page().sites().get(0).boards().get(0).mark()).isEqualTo("1");
    }

    @Test
    void headlineCountsWhatIsKnownToHaveSupply() {
        SupplyFixture harbour = new SupplyFixture().lit(111, 112).lost(113, Duration.ofMinutes(4)).unheard(114);

        assertThat(harbour.page().headline())
                .isEqualTo("2 of 4 cabinets have supply. Cabinet 113 lost it at 02:41 and nobody has taken it yet.");
    }

    @Test
    void siteWhereAllIsLitFoldsOnALargePage() {
        SupplyFixture harbour = new SupplyFixture().lit(IntStream.range(111, 135).toArray()).lit(IntStream.range(211, 235).toArray());

        assertThat(harbour.page().sites()).extracting(SupplyView.SiteView::folded).containsExactly("all 24 lit", "all 24 lit");
        assertThat(harbour.page().sites()).allMatch(site -> site.boards().isEmpty());
    }

    @Test
    void foldedSiteStillDrawsWhatNeedsAPersonAndComesFirst() {
        SupplyFixture harbour = new SupplyFixture().lit(IntStream.range(111, 135).toArray()).lit(IntStream.range(211, 234).toArray())
                .lost(234, Duration.ofMinutes(4)).alarm(7, AlarmKind.SUPPLY_LOST, 234);

        assertThat(harbour.page().sites().get(0).name()).isEqualTo("Site 2");
        assertThat(harbour.page().sites().get(0).folded()).isEqualTo("the other 23 lit");
        assertThat(harbour.page().sites().get(0).boards()).singleElement()
                .satisfies(board -> assertThat(board.lines()).extracting(SupplyView.LineView::id).containsExactly(234L))
                .satisfies(board -> assertThat(board.others()).isEqualTo("4 other ways lit"));
    }

    @Test
    void foldedPageClaimsNoLitLampWhileLampkeeperDoesNotListen() {
        SupplyFixture harbour = new SupplyFixture().lit(IntStream.range(111, 135).toArray()).lit(IntStream.range(211, 235).toArray())
                .lastListened(Duration.ofMinutes(5));

        assertThat(harbour.page().sites()).extracting(SupplyView.SiteView::folded).containsOnly("all 24 not known");
    }

    @ParameterizedTest
    @CsvSource({"cabinet 11, 9", "N112, 1", "site 2, 24", "nowhere, 0"})
    void filterFindsByNameAndCodeInAnyCase(String typed, int found) {
        SupplyFixture harbour = new SupplyFixture().lit(IntStream.range(111, 135).toArray()).lit(IntStream.range(211, 235).toArray());

        SupplyView page = harbour.page(new Wish(typed, OptionalLong.empty()));

        assertThat(page.sites().stream().flatMap(site -> site.boards().stream()).mapToInt(board -> board.lines().size()).sum())
                .isEqualTo(found);
    }

    @Test
    void pageIsEqualAgainWhenOnlyTimeHasPassed() {
        Moment earlier = Moment.of(NOW.minusSeconds(40), java.time.ZoneOffset.UTC, NOW);
        Moment later = Moment.of(NOW.minusSeconds(40), java.time.ZoneOffset.UTC, NOW.plusSeconds(1));

        assertThat(later).isEqualTo(earlier);
        assertThat(later.ago()).isNotEqualTo(earlier.ago());
    }

    @ParameterizedTest
    @CsvSource({"9.44, 9.4 °C", "-2.06, −2.1 °C", "-0.04, 0.0 °C", "0, 0.0 °C"})
    void temperatureHasOneDecimalAndATrueMinus(double celsius, String text) {
        assertThat(SupplyPage.temperature(java.util.Optional.of(celsius))).isEqualTo(text);
    }

    @Test
    void missingTemperatureIsSaidAndNotInvented() {
        assertThat(SupplyPage.temperature(java.util.Optional.empty())).isEqualTo("no temperature");
    }
}
