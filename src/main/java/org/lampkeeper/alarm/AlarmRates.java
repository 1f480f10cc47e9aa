package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.Deque;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * What the alarms of a time ask of whoever is told of them: the figures of ISA-18.2 and IEC 62682, each with the source of its limit beside it.
 * An alarm counts whenever it is raised or raised again, also one that is held back.
 *
 * @param alarms         raised in the time
 * @param perDay         average over the time
 * @param byDay          alarms by calendar day, oldest first; every day of the time, also those without
 * @param perTenMinutes  average over the time
 * @param mostInTen      the most within any ten minutes
 * @param floods         how many floods reached into the time
 * @param inFlood        how much of the time was flood
 * @param floodShare     the same as a share, 0 to 1
 * @param mostFrequent   at most ten, the most frequent first
 * @param shareOfTen     what those are of all alarms, 0 to 1; 0 where there was none
 * @param chattering     what changed three times or more within a minute, with the most changes within one
 */
public record AlarmRates(int alarms, double perDay, SortedMap<LocalDate, Integer> byDay, double perTenMinutes, int mostInTen, int floods,
        Duration inFlood, double floodShare, List<Often> mostFrequent, double shareOfTen, List<Often> chattering) {

    /** ISA-18.2 and IEC 62682 count by ten minutes. */
    public static final Duration WINDOW = Duration.ofMinutes(10);

    /** A flood begins above so many in ten minutes: prosys.com, "eliminate alarm floods", after ISA-18.2. */
    public static final int FLOOD_BEGINS_ABOVE = 10;

    /** A flood ends below so many in ten minutes: same source. */
    public static final int FLOOD_ENDS_BELOW = 5;

    /** Time in flood should stay below this share: same source. */
    public static final double FLOOD_SHARE = 0.01;

    /** Up to so many a day one person can manage: inductiveautomation.com, "quick alarm system self-audit". */
    public static final int MANAGEABLE_A_DAY = 150;

    /** From so many a day on something has to be done: same source. */
    public static final int TOO_MANY_A_DAY = 300;

    /** An alarm that stands for longer is stale: same source. */
    public static final Duration STALE_AFTER = Duration.ofHours(24);

    /** So many changes between there and gone within {@link #CHATTER_WITHIN} are chattering: same source. */
    public static final int CHATTER_CHANGES = 3;

    /** See {@link #CHATTER_CHANGES}. */
    public static final Duration CHATTER_WITHIN = Duration.ofMinutes(1);

    private static final int TEN = 10;

    public AlarmRates {
        byDay = Collections.unmodifiableSortedMap(new TreeMap<>(byDay));
        mostFrequent = List.copyOf(mostFrequent);
        chattering = List.copyOf(chattering);
    }

    /** What raises alarms: a condition of a cabinet, of a site, or of the installation (site 0). */
    public record Source(AlarmKind kind, long siteId, OptionalLong cabinetId) {
    }

    /** A source's condition came ({@code raised}) or went. */
    public record Change(Source source, Instant at, boolean raised) {
    }

    /** {@code count} alarms, or changes within a minute. */
    public record Often(Source source, int count) {
    }

    /**
     * The figures of {@code [from, to)}.
     *
     * @param changes in any order. Those before {@code from} only tell whether the time began within a flood; those from {@code to} on are left out
     * @param zone    whose calendar days are counted
     * @throws IllegalArgumentException if {@code to} is not after {@code from}
     */
    public static AlarmRates of(List<Change> changes, Instant from, Instant to, ZoneId zone) {
        if (!from.isBefore(to)) {
            throw new IllegalArgumentException("from " + from + " to " + to + ": the end must be after the beginning");
        }
        List<Change> sorted = changes.stream().filter(change -> change.at().isBefore(to)).sorted(Comparator.comparing(Change::at)).toList();
        List<Instant> raised = sorted.stream().filter(Change::raised).map(Change::at).toList();
        List<Change> within = sorted.stream().filter(change -> !change.at().isBefore(from)).toList();
        List<Change> alarms = within.stream().filter(Change::raised).toList();
        Floods floods = floods(raised, from, to);
        List<Often> all = often(alarms);
        List<Often> ten = all.subList(0, Math.min(TEN, all.size()));
        int ofTen = ten.stream().mapToInt(Often::count).sum();
        double seconds = Duration.between(from, to).toMillis() / 1000.0;
        return new AlarmRates(alarms.size(), alarms.size() * 86_400 / seconds, byDay(alarms, from, to, zone),
                alarms.size() * (WINDOW.toSeconds() / seconds), mostWithin(alarms, WINDOW), floods.count(), floods.lasted(),
                floods.lasted().toMillis() / 1000.0 / seconds, ten, alarms.isEmpty() ? 0 : (double) ofTen / alarms.size(), chattering(within));
    }

    private record Floods(int count, Duration lasted) {
    }

    /** An alarm counts from its moment until ten minutes later, its end excluded; what leaves goes before what comes at the same moment. */
    private static Floods floods(List<Instant> raised, Instant from, Instant to) {
        Deque<Instant> counted = new ArrayDeque<>();
        List<Instant> moments = new ArrayList<>(raised);
        raised.forEach(at -> moments.add(at.plus(WINDOW)));
        moments.sort(Comparator.naturalOrder());
        int next = 0;
        int count = 0;
        Duration lasted = Duration.ZERO;
        Instant began = Instant.MAX;
        boolean flooded = false;
        for (Instant moment : moments.stream().distinct().toList()) {
            while (!counted.isEmpty() && !counted.peekFirst().plus(WINDOW).isAfter(moment)) {
                counted.removeFirst();
            }
            while (next < raised.size() && raised.get(next).equals(moment)) {
                counted.addLast(raised.get(next++));
            }
            if (!flooded && counted.size() > FLOOD_BEGINS_ABOVE) {
                flooded = true;
                began = moment;
            } else if (flooded && counted.size() < FLOOD_ENDS_BELOW) {
                flooded = false;
                Duration part = overlap(began, moment, from, to);
                lasted = lasted.plus(part);
                count += part.isZero() ? 0 : 1;
            }
        }
        return new Floods(count, lasted);
    }

    private static Duration overlap(Instant began, Instant ended, Instant from, Instant to) {
        Instant first = began.isAfter(from) ? began : from;
        Instant last = ended.isBefore(to) ? ended : to;
        return first.isBefore(last) ? Duration.between(first, last) : Duration.ZERO;
    }

    private static SortedMap<LocalDate, Integer> byDay(List<Change> alarms, Instant from, Instant to, ZoneId zone) {
        SortedMap<LocalDate, Integer> days = new TreeMap<>();
        from.atZone(zone).toLocalDate().datesUntil(to.minusNanos(1).atZone(zone).toLocalDate().plusDays(1)).forEach(day -> days.put(day, 0));
        alarms.forEach(alarm -> days.merge(alarm.at().atZone(zone).toLocalDate(), 1, Integer::sum));
        return days;
    }

    private static List<Often> often(List<Change> alarms) {
        Map<Source, Integer> counts = new HashMap<>();
        alarms.forEach(alarm -> counts.merge(alarm.source(), 1, Integer::sum));
        return sorted(counts);
    }

    private static List<Often> chattering(List<Change> within) {
        Map<Source, List<Change>> bySource = new HashMap<>();
        within.forEach(change -> bySource.computeIfAbsent(change.source(), source -> new ArrayList<>()).add(change));
        Map<Source, Integer> most = new HashMap<>();
        bySource.forEach((source, its) -> {
            int changes = mostWithin(its, CHATTER_WITHIN);
            if (changes >= CHATTER_CHANGES) {
                most.put(source, changes);
            }
        });
        return sorted(most);
    }

    /** The most within {@code [t, t + window)} for any t. */
    private static int mostWithin(List<Change> sorted, Duration window) {
        int most = 0;
        int first = 0;
        for (int last = 0; last < sorted.size(); last++) {
            while (!sorted.get(first).at().plus(window).isAfter(sorted.get(last).at())) {
                first++;
            }
            most = Math.max(most, last - first + 1);
        }
        return most;
    }

    /** The most frequent first; the rest of the order is fixed so that a page does not jump. */
    private static List<Often> sorted(Map<Source, Integer> counts) {
        return counts.entrySet().stream().map(each -> new Often(each.getKey(), each.getValue()))
                .sorted(Comparator.comparingInt(Often::count).reversed().thenComparing(often -> often.source().kind())
                        .thenComparingLong(often -> often.source().siteId()).thenComparingLong(often -> often.source().cabinetId().orElse(0)))
                .toList();
    }
}
