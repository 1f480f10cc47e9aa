package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.SortedMap;
import java.util.stream.Stream;

import org.lampkeeper.alarm.AlarmRates;
import org.lampkeeper.alarm.AlarmRates.Change;
import org.lampkeeper.alarm.AlarmRates.Often;
import org.lampkeeper.alarm.AlarmRates.Source;
import org.lampkeeper.alarm.Sentences;

/**
 * How many alarms there were, in words, and as bars for who sees them.
 *
 * @param width of the drawing, whose height is 120
 * @param drawn what the bars show, for who does not see them
 * @param most  on one day
 */
record AlarmFigures(String sentence, int width, String drawn, String from, String to, int most, List<Day> days, List<Fact> facts, List<Fact> frequent,
        List<Fact> chattering, List<Fact> stale) {

    // Ours: a month shows a weekly pattern, and one storm does not rule it.
    private static final int DAYS = 30;
    // Ours: what a page reads in a moment. A thousand cabinets that flap all day are still a few days.
    private static final int CHANGES = 20_000;
    // Ours: a flood that began so long before and has not ended since would be known otherwise.
    private static final Duration RUN_UP = Duration.ofHours(1);
    // Ours: the oldest; the alarm page has them all.
    private static final int STALE = 10;
    private static final int STEP = 10;
    private static final double TALLEST = 116;
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("EEE d MMM", Locale.ENGLISH);

    /** One bar: {@code y} is its top. */
    record Day(String day, int count, boolean isTooMany, String x, String y, String height) {
    }

    record Fact(String name, String value) {
    }

    static AlarmFigures read(OperationReading reading, ZoneId zone, Instant now) {
        Instant wanted = now.atZone(zone).toLocalDate().minusDays(DAYS - 1L).atStartOfDay(zone).toInstant();
        // At midnight the new day has no moment yet: an instant of it keeps the time from being empty.
        Instant to = now.plusMillis(1);
        List<Change> changes = reading.alarmChanges(wanted.minus(RUN_UP), to, CHANGES);
        boolean isCut = changes.size() == CHANGES && changes.get(CHANGES - 1).at().isAfter(wanted);
        Instant from = isCut ? changes.get(CHANGES - 1).at() : wanted;
        AlarmRates rates = AlarmRates.of(changes, from.isBefore(to) ? from : wanted, to, zone);
        List<OperationReading.StaleRow> stale = reading.stale(now.minus(AlarmRates.STALE_AFTER), STALE);
        Map<Source, String> names = reading.names(Stream.of(rates.mostFrequent().stream().map(Often::source),
                rates.chattering().stream().limit(STALE).map(Often::source), stale.stream().map(OperationReading.StaleRow::source))
                .flatMap(each -> each).distinct().toList());
        int most = rates.byDay().values().stream().mapToInt(Integer::intValue).max().orElse(0);
        String sentence = sentence(rates) + (isCut ? " There were so many that only those since " + Sentences.clock(from, zone, now) + " are counted." : "");
        String first = DAY.format(rates.byDay().firstKey());
        String last = DAY.format(rates.byDay().lastKey());
        return new AlarmFigures(sentence, rates.byDay().size() * STEP, "Alarms by day, " + first + " to " + last + ", at most " + most + "; the numbers are below.",
                first, last, most, days(rates.byDay(), most), facts(rates, stale),
                rates.mostFrequent().stream().map(each -> fact(each, names)).toList(),
                rates.chattering().stream().limit(STALE).map(each -> fact(each, names)).toList(),
                stale.stream().map(each -> new Fact(name(each.source(), names), Sentences.clock(each.since(), zone, now))).toList());
    }

    private static String sentence(AlarmRates rates) {
        if (rates.alarms() == 0) {
            return "No alarm in this time.";
        }
        String load = rates.perDay() <= AlarmRates.MANAGEABLE_A_DAY ? "which one person can manage"
                : rates.perDay() < AlarmRates.TOO_MANY_A_DAY ? "more than the 150 that one person can manage" : "far more than the 150 that one person can manage";
        String flood = rates.inFlood().isZero() ? "" : rates.floodShare() < AlarmRates.FLOOD_SHARE ? " Some came as a flood." : " Too much of the time was flood.";
        return decimal(rates.perDay()) + " alarms a day, " + load + "." + flood;
    }

    private static List<Day> days(SortedMap<LocalDate, Integer> byDay, int most) {
        List<Day> days = new ArrayList<>();
        byDay.forEach((day, count) -> {
            double height = most == 0 ? 0 : TALLEST * count / most;
            days.add(new Day(DAY.format(day), count, count > AlarmRates.MANAGEABLE_A_DAY, Integer.toString(days.size() * STEP + 1), three(119 - height), three(height)));
        });
        return days;
    }

    private static List<Fact> facts(AlarmRates rates, List<OperationReading.StaleRow> stale) {
        long isStale = stale.isEmpty() ? 0 : stale.get(0).total();
        return List.of(new Fact("alarms", Integer.toString(rates.alarms())), new Fact("a day, on average", decimal(rates.perDay())),
                new Fact("in ten minutes, on average", String.format(Locale.ROOT, "%.3f", rates.perTenMinutes())),
                new Fact("in ten minutes, at most", Integer.toString(rates.mostInTen())),
                new Fact("in flood", rates.floods() == 0 ? "never" : Sentences.ago(rates.inFlood()) + " in " + rates.floods() + (rates.floods() == 1 ? " flood" : " floods")
                        + ", " + percent(rates.floodShare()) + " of the time"),
                new Fact("share of the ten most frequent", rates.alarms() == 0 ? "none" : percent(rates.shareOfTen())),
                new Fact("chattering", Integer.toString(rates.chattering().size())), new Fact("stale now", Long.toString(isStale)));
    }

    private static Fact fact(Often often, Map<Source, String> names) {
        return new Fact(name(often.source(), names), Integer.toString(often.count()));
    }

    private static String name(Source source, Map<Source, String> names) {
        return JournalWords.alarm(source.kind(), names.getOrDefault(source, "what is not registered any more"));
    }

    private static String decimal(double value) {
        return String.format(Locale.ROOT, "%.1f", value);
    }

    private static String percent(double share) {
        return String.format(Locale.ROOT, "%.1f %%", share * 100);
    }

    private static String three(double value) {
        return String.format(Locale.ROOT, "%.3f", value);
    }
}
