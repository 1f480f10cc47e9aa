package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.time.YearMonth;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.report.SupplyRecord.Condition;
import org.lampkeeper.report.SupplyRecord.Stretch;

/**
 * A month of a site, in words and strips, for whoever answers for it. On the page and on paper it is the same.
 *
 * @param headline what there is to know if nothing else is read
 * @param span     what of the month is over
 * @param lines    a line a cabinet, those that were without supply the longest first
 * @param losses   how many, and what that says
 * @param met      how the losses were met
 * @param unfit    what was not fit for use, from when to when and why, a sentence each; one that says that nothing is on record where nothing is
 * @param next     what should be done next, a sentence each
 */
public record SiteMonth(String site, String month, String headline, Span span, List<CabinetLine> lines, String losses, List<String> met, List<String> unfit, List<String> next) {

    /** In the drawing: a month is so wide. */
    public static final int WIDTH = 600;

    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("MMMM uuuu", Locale.ENGLISH);
    private static final DateTimeFormatter AT = DateTimeFormatter.ofPattern("d MMM HH:mm", Locale.ENGLISH);
    // Ours: what would be narrower could not be seen, and a loss must be.
    private static final double THINNEST = 1.5;

    public SiteMonth {
        lines = List.copyOf(lines);
        met = List.copyOf(met);
        unfit = List.copyOf(unfit);
        next = List.copyOf(next);
    }

    /** The same, with what should be done next. */
    public SiteMonth followedBy(List<String> steps) {
        return new SiteMonth(site, month, headline, span, lines, losses, met, unfit, steps);
    }

    /**
     * @param supply  share of the time that is known, as "99.54 %"; "not known" where nothing is
     * @param looks   how many were taken on time, as a sentence
     * @param strip   the month as drawn, from left to right; what had supply is not among it
     * @param warmth  how warm it was; empty where nothing was measured
     */
    public record CabinetLine(String name, String code, String supply, String without, String unknown, String excluded, String losses, String looks, List<Mark> strip,
            Optional<MonthTemperatures> warmth) {
    }

    /** @param look  "lost", "unknown" or "excluded" */
    public record Mark(String look, String x, String width, String words) {
    }

    /**
     * @param records of all of these cabinets
     * @param looks   a sentence for each cabinet for which looks were planned
     * @param unfit   the cabinets that were not fit for use at any time of it, in use or not
     * @param warmth  the days of each cabinet that are on record, in order
     */
    public static SiteMonth of(String site, YearMonth month, Span span, ZoneId zone, List<CabinetSheet> cabinets, Map<Long, SupplyRecord> records,
            Map<Long, String> looks, List<Met> met, List<UnfitCabinet> unfit, Map<Long, List<MonthTemperatures.Day>> warmth) {
        Span whole = whole(month, zone);
        List<CabinetSheet> worstFirst = cabinets.stream().sorted((one, other) -> records.get(other.cabinetId()).of(Condition.LOST)
                .compareTo(records.get(one.cabinetId()).of(Condition.LOST))).toList();
        List<CabinetLine> lines = worstFirst.stream().map(cabinet -> line(cabinet, records.get(cabinet.cabinetId()),
                looks.getOrDefault(cabinet.cabinetId(), "No look was planned."), whole, zone,
                MonthTemperatures.of(warmth.getOrDefault(cabinet.cabinetId(), List.of()), whole))).toList();
        return new SiteMonth(site, MONTH.format(month), headline(worstFirst, records), span, lines, losses(SupplyTotal.of(records.values())), met(met), unfit(unfit, zone), List.of());
    }

    /** From its first midnight to that of the next, on the clocks of the site. */
    public static Span whole(YearMonth month, ZoneId zone) {
        return new Span(month.atDay(1).atStartOfDay(zone).toInstant(), month.plusMonths(1).atDay(1).atStartOfDay(zone).toInstant());
    }

    private static CabinetLine line(CabinetSheet cabinet, SupplyRecord record, String looks, Span whole, ZoneId zone, Optional<MonthTemperatures> warmth) {
        int losses = record.losses().size();
        return new CabinetLine(cabinet.name(), cabinet.code(), record.availability().map(SiteMonth::percent).orElse("not known"), length(record, Condition.LOST),
                length(record, Condition.UNKNOWN), length(record, Condition.EXCLUDED), losses == 0 ? "none" : losses + ", longest "
                        + Lengths.words(record.longestLoss().orElseThrow()) + ", on average " + Lengths.words(record.meanLoss().orElseThrow()), looks,
                record.stretches().stream().filter(each -> each.condition() != Condition.SUPPLIED).map(each -> mark(each, whole, zone)).toList(), warmth);
    }

    private static String headline(List<CabinetSheet> worstFirst, Map<Long, SupplyRecord> records) {
        if (worstFirst.isEmpty()) {
            return "No cabinet is in use here.";
        }
        List<CabinetSheet> without = worstFirst.stream().filter(cabinet -> !records.get(cabinet.cabinetId()).of(Condition.LOST).isZero()).toList();
        long unknown = worstFirst.stream().filter(cabinet -> records.get(cabinet.cabinetId()).availability().isEmpty()).count();
        String known = unknown == 0 ? "" : unknown == worstFirst.size() ? "" : unknown == 1 ? " Of one, nothing is known." : " Of " + unknown + ", nothing is known.";
        if (unknown == worstFirst.size()) {
            return "Of no cabinet is it known whether it had supply.";
        }
        if (without.isEmpty()) {
            return "Every cabinet had supply for as long as it is known." + known;
        }
        CabinetSheet worst = without.get(0);
        return without.size() + " of " + worstFirst.size() + (worstFirst.size() == 1 ? " cabinet" : " cabinets") + (without.size() == 1 ? " was" : " were")
                + " without supply for a time, " + worst.name()
                + (without.size() == 1 ? "" : " the longest") + ": " + Lengths.words(records.get(worst.cabinetId()).of(Condition.LOST)) + "." + known;
    }

    /** How many losses there were in how much time, how much of it was with supply, and what that says; empty where nothing is known. */
    public static String losses(SupplyTotal total) {
        if (total.known().isZero()) {
            return "";
        }
        int losses = total.losses();
        Rate rate = new Rate(losses);
        return (losses == 0 ? "No loss" : losses == 1 ? "One loss" : losses + " losses") + " in " + Lengths.words(total.known())
                + " of known time, all cabinets together, " + percent(total.availability().orElseThrow()) + " of it with supply. With 95 % confidence, as much time again has "
                + String.format(Locale.ROOT, "%.1f to %.1f losses.", rate.low(), rate.high());
    }

    private static List<String> unfit(List<UnfitCabinet> unfit, ZoneId zone) {
        return unfit.isEmpty() ? List.of(UnfitWords.NOTHING) : unfit.stream().sorted(Comparator.comparing((UnfitCabinet each) -> each.record().length()).reversed())
                .flatMap(each -> each.record().stretches().stream().map(stretch -> each.name() + " (" + each.code() + "). " + UnfitWords.of(stretch, zone))).toList();
    }

    /** How losses were met, a sentence for each step; none where there was no loss. */
    public static List<String> met(List<Met> met) {
        if (met.isEmpty()) {
            return List.of();
        }
        MetTotal total = MetTotal.of(met);
        return List.of(step("Told", total, total.told()), step("Taken by somebody", total, total.taken()), step("Somebody was there", total, total.attended()),
                step("Supply restored", total, total.restored()));
    }

    private static String step(String what, MetTotal total, Optional<Spread> times) {
        String share = what + ": " + times.map(Spread::cases).orElse(0) + " of " + total.losses() + (total.losses() == 1 ? " loss" : " losses");
        return share + times.map(spread -> spread.cases() == 1 ? ", after " + Lengths.words(spread.worst()) + "." : ", half of them within "
                + Lengths.words(spread.median()) + ", nine in ten within " + Lengths.words(spread.ninetieth()) + ", all within " + Lengths.words(spread.worst()) + ".")
                .orElse(".");
    }

    private static Mark mark(Stretch stretch, Span whole, ZoneId zone) {
        double scale = WIDTH / (double) whole.length().getSeconds();
        double x = Duration.between(whole.from(), stretch.span().from()).getSeconds() * scale;
        double width = stretch.span().length().getSeconds() * scale;
        String look = switch (stretch.condition()) {
            case LOST -> "lost";
            case UNKNOWN -> "unknown";
            case EXCLUDED -> "excluded";
            case SUPPLIED -> throw new IllegalArgumentException("what had supply has no mark");
        };
        return new Mark(look, decimal(Math.min(x, WIDTH - THINNEST)), decimal(Math.max(width, THINNEST)),
                words(stretch.condition()) + " from " + at(stretch.span().from(), zone) + " until " + at(stretch.span().until(), zone));
    }

    private static String words(Condition condition) {
        return switch (condition) {
            case SUPPLIED -> "with supply";
            case LOST -> "without supply";
            case UNKNOWN -> "not known";
            case EXCLUDED -> "left out";
        };
    }

    private static String at(Instant moment, ZoneId zone) {
        return AT.format(moment.atZone(zone));
    }

    private static String length(SupplyRecord record, Condition condition) {
        Duration length = record.of(condition);
        return length.isZero() ? "–" : Lengths.words(length);
    }

    /** Rounded down: 99.9999 % with a loss in it is not 100 %. */
    public static String percent(double share) {
        return share == 1 ? "100 %" : String.format(Locale.ROOT, "%.2f %%", Math.floor(share * 10_000) / 100);
    }

    private static String decimal(double value) {
        return String.format(Locale.ROOT, "%.2f", value);
    }
}
