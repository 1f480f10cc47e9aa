package org.lampkeeper.web;

import java.time.Instant;
import java.time.LocalDate;
import java.time.YearMonth;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.quantity.Share;
import org.lampkeeper.quantity.Share.Interval;
import org.lampkeeper.web.CheckReading.Look;
import org.lampkeeper.web.CheckReading.Said;

/**
 * A month of looks as it stands on a sheet of paper: a row a day, with initials, a mark and a word. Pure.
 *
 * @param days every day of the month; one on which nothing was due has no lines
 */
record CheckSheet(YearMonth month, List<Day> days, String compliance) {

    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("EEE d", Locale.UK);
    private static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("HH:mm", Locale.UK);

    record Day(String name, List<Line> lines) {
    }

    /**
     * One thing that was said, or that nothing was.
     *
     * @param what     what was looked at; empty for the lamp, which is what a sheet is about
     * @param mark     to be seen from afar
     * @param word     the same in a word, which the mark never stands without
     * @param initials of whoever said so; empty for nobody
     * @param photo    its address; empty where there is none
     * @param needs    whether it needs somebody
     */
    record Line(String what, String mark, String word, String initials, String at, String note, String photo, boolean needs) {
    }

    static CheckSheet of(YearMonth month, List<Look> looks, ZoneId zone, Instant now) {
        List<Day> days = new ArrayList<>();
        for (LocalDate day = month.atDay(1); day.isBefore(month.plusMonths(1).atDay(1)); day = day.plusDays(1)) {
            LocalDate that = day;
            days.add(new Day(DAY.format(day), looks.stream().filter(look -> look.due().day().equals(that)).flatMap(look -> lines(look, zone, now)).toList()));
        }
        return new CheckSheet(month, days, compliance(looks));
    }

    private static Stream<Line> lines(Look look, ZoneId zone, Instant now) {
        String what = look.isFromLabel() ? "of their own accord" : look.isExtra() ? "the sensor was silent" : look.kind() == CheckKind.LAMP ? "" : look.kind().task();
        Stream<Line> said = look.said().stream().map(one -> line(what, one, look.cabinetId(), zone));
        if (look.state() == CheckState.MISSED) {
            return Stream.concat(Stream.of(new Line(what, "✕", "missed", "", "", "", "", true)), said);
        }
        if (look.state() == CheckState.DONE) {
            return said;
        }
        String word = look.openedAt().isPresent() ? "open until " + TIME.format(look.due().closes().atZone(zone))
                : now.isBefore(look.due().opens()) ? "from " + TIME.format(look.due().opens().atZone(zone)) : "opens now";
        return Stream.concat(said, Stream.of(new Line(what, "…", word, "", "", "", "", false)));
    }

    private static Line line(String what, Said said, long cabinetId, ZoneId zone) {
        boolean isSensor = said.personId().isEmpty();
        String late = said.isCounted() || !said.answer().isLook() ? "" : ", late";
        String word = isSensor ? "the sensor says supply" : word(said.answer()) + (said.atCabinet() ? ", at the cabinet" : "") + (said.isWrong() ? ", tapped wrong" : late);
        return new Line(what, isSensor ? "S" : mark(said.answer()), word, isSensor ? "" : initials(said.person()), TIME.format(said.lookedAt().atZone(zone)),
                said.note(), said.hasPhoto() ? photo(cabinetId, said) : "", said.answer().needsAPerson() && !said.isWrong());
    }

    private static String mark(Answer answer) {
        return switch (answer) {
            case LIT -> "✓";
            case OUT -> "○";
            case NOT_SEEN -> "–";
            case DAMAGED -> "!";
        };
    }

    static String word(Answer answer) {
        return switch (answer) {
            case LIT -> "lit";
            case OUT -> "out";
            case NOT_SEEN -> "not seen";
            case DAMAGED -> "damaged or missing";
        };
    }

    /** "MT" for "M. Teal"; a question mark for somebody who was erased. */
    static String initials(String name) {
        String initials = Stream.of(name.split("[\\s.\\-]+")).filter(part -> !part.isEmpty())
                .map(part -> part.substring(0, part.offsetByCodePoints(0, 1)).toUpperCase(Locale.ROOT)).collect(Collectors.joining());
        return initials.isEmpty() ? "?" : initials;
    }

    /** How many looks were taken on time, with what that says. What has not closed counts for nothing yet. */
    static String compliance(List<Look> all) {
        return complianceOf(all.stream().filter(look -> !look.isFromLabel()).toList());
    }

    /** What nobody was asked for is no look on time. */
    private static String complianceOf(List<Look> looks) {
        long done = looks.stream().filter(look -> look.state() == CheckState.DONE).count();
        long all = done + looks.stream().filter(look -> look.state() == CheckState.MISSED).count();
        if (all == 0) {
            return "No look has come to its end yet.";
        }
        long bySensor = looks.stream().filter(look -> look.state() == CheckState.DONE).filter(look -> look.said().stream().anyMatch(Said::isCounted)
                && look.said().stream().filter(Said::isCounted).allMatch(said -> said.personId().isEmpty())).count();
        Interval interval = new Share(done, all).interval();
        return done + " of " + all + (all == 1 ? " look was" : " looks were") + " taken on time" + (bySensor == 0 ? "" : ", " + bySensor + " of them by the sensor")
                + ". With 95 % confidence that is " + percent(interval.low()) + " to " + percent(interval.high()) + " %.";
    }

    private static String percent(double share) {
        return String.format(Locale.ROOT, "%.1f", share * 100);
    }

    /** Where the photo is that was sent with it. */
    static String photo(long cabinetId, Said said) {
        return "/cabinets/" + cabinetId + "/checks/photo?record=" + said.id();
    }
}
