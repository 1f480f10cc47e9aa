package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.AlarmRates.Change;
import org.lampkeeper.alarm.AlarmRates.Often;
import org.lampkeeper.alarm.AlarmRates.Source;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.entry;
import static org.assertj.core.api.Assertions.within;

/**
 * The limits are those of ISA-18.2 as told by prosys.com ("eliminate alarm floods") and inductiveautomation.com ("quick alarm system self-audit");
 * the standards themselves were not read.
 */
class AlarmRatesTest {

    private static final Instant FROM = Instant.parse("2026-11-24T00:00:00Z");
    private static final Instant TO = FROM.plus(Duration.ofDays(2));

    @ParameterizedTest
    @CsvSource({"10, 0", "11, 1", "0, 0", "150, 1"})
    void floodBeginsAboveTenInTenMinutes(int alarms, int floods) {
        assertThat(rates(evenly(FROM.plusSeconds(3600), alarms, Duration.ofSeconds(1))).floods()).isEqualTo(floods);
    }

    @Test
    void elevenWithinExactlyTenMinutesAreNoFloodAndAMillisecondLessIs() {
        // A minute apart, the eleventh comes when the first has just left.
        assertThat(rates(evenly(FROM, 11, Duration.ofMinutes(1))).floods()).isZero();
        assertThat(rates(evenly(FROM, 11, Duration.ofMillis(59_999))).floods()).isOne();
    }

    @Test
    void floodLastsWhileFiveAreThereAndEndsAtFour() {
        List<Change> changes = new ArrayList<>(evenly(FROM, 11, Duration.ZERO));
        // When the eleven leave, five stand, the last since that moment: still a flood. It ends when the first of the five leaves.
        changes.addAll(evenly(FROM.plusSeconds(480), 5, Duration.ofSeconds(30)));

        assertThat(rates(changes).inFlood()).isEqualTo(Duration.ofMinutes(18));
        assertThat(rates(changes).floods()).isOne();

        changes.remove(changes.size() - 1);
        assertThat(rates(changes).inFlood()).isEqualTo(Duration.ofMinutes(10));
    }

    @Test
    void floodThatReachesOverAnEndCountsWithinTheTimeOnly() {
        AlarmRates before = rates(evenly(FROM.minusSeconds(240), 11, Duration.ZERO));
        AlarmRates after = rates(evenly(TO.minusSeconds(240), 11, Duration.ZERO));

        assertThat(before.inFlood()).isEqualTo(Duration.ofMinutes(6));
        assertThat(before.alarms()).isZero();
        assertThat(after.inFlood()).isEqualTo(Duration.ofMinutes(4));
        assertThat(after.floodShare()).isEqualTo(4 / 2880.0, within(1e-12));
    }

    @Test
    void averagesArePerDayAndPerTenMinutes() {
        AlarmRates rates = rates(evenly(FROM, 300, Duration.ofMinutes(9)));

        assertThat(rates.alarms()).isEqualTo(300);
        assertThat(rates.perDay()).isEqualTo(150, within(1e-9));
        // 150 a day is about one in ten minutes, as the standards say too (from memory): 150 / 144.
        assertThat(rates.perTenMinutes()).isEqualTo(150 / 144.0, within(1e-9));
        assertThat(rates.mostInTen()).isEqualTo(2);
        assertThat(rates.byDay()).containsExactly(entry(LocalDate.of(2026, 11, 24), 160), entry(LocalDate.of(2026, 11, 25), 140));
    }

    @Test
    void daysAreThoseOfTheZone() {
        ZoneId auckland = ZoneId.of("Pacific/Auckland");
        AlarmRates rates = AlarmRates.of(List.of(raised(1, TO.minusSeconds(1))), FROM, TO, auckland);

        assertThat(rates.byDay().keySet()).containsExactly(LocalDate.of(2026, 11, 24), LocalDate.of(2026, 11, 25), LocalDate.of(2026, 11, 26));
        assertThat(rates.byDay()).containsEntry(LocalDate.of(2026, 11, 26), 1);
    }

    @Test
    void tenMostFrequentAreNamedWithTheirShare() {
        List<Change> changes = new ArrayList<>();
        for (int cabinet = 1; cabinet <= 12; cabinet++) {
            for (int time = 0; time < cabinet; time++) {
                changes.add(raised(cabinet, FROM.plusSeconds(cabinet * 3600L + time)));
            }
        }
        AlarmRates rates = rates(changes);

        assertThat(rates.mostFrequent()).hasSize(10).startsWith(new Often(source(12), 12), new Often(source(11), 11)).endsWith(new Often(source(3), 3));
        assertThat(rates.shareOfTen()).isEqualTo(75 / 78.0, within(1e-12));
    }

    @ParameterizedTest
    @CsvSource({"0, 20, 59999, true", "0, 20, 60000, false", "0, 0, 0, true"})
    void threeChangesWithinAMinuteAreChattering(long first, long second, long third, boolean chattering) {
        AlarmRates rates = rates(List.of(raised(1, FROM.plusMillis(first)), gone(1, FROM.plusMillis(second)), raised(1, FROM.plusMillis(third))));

        assertThat(rates.chattering()).isEqualTo(chattering ? List.of(new Often(source(1), 3)) : List.of());
    }

    @Test
    void changesOfDifferentCabinetsAreNotChattering() {
        assertThat(rates(List.of(raised(1, FROM), raised(2, FROM), raised(3, FROM))).chattering()).isEmpty();
    }

    @Test
    void nothingIsNothing() {
        AlarmRates rates = rates(List.of());

        assertThat(rates.perDay()).isZero();
        assertThat(rates.shareOfTen()).isZero();
        assertThat(rates.byDay()).hasSize(2).containsValue(0);
        assertThatThrownBy(() -> AlarmRates.of(List.of(), FROM, FROM, ZoneOffset.UTC)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("must be after");
    }

    private static AlarmRates rates(List<Change> changes) {
        return AlarmRates.of(changes, FROM, TO, ZoneOffset.UTC);
    }

    private static List<Change> evenly(Instant first, int count, Duration apart) {
        return IntStream.range(0, count).mapToObj(each -> raised(each, first.plus(apart.multipliedBy(each)))).toList();
    }

    private static Change raised(long cabinet, Instant at) {
        return new Change(source(cabinet), at, true);
    }

    private static Change gone(long cabinet, Instant at) {
        return new Change(source(cabinet), at, false);
    }

    private static Source source(long cabinet) {
        return new Source(AlarmKind.SUPPLY_LOST, 1, OptionalLong.of(cabinet));
    }
}
