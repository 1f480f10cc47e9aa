package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Stream;

import org.lampkeeper.journal.JournalExtract.Line;
import org.lampkeeper.journal.JournalExtract.Says;
import org.lampkeeper.journal.JournalExtract.Told;
import org.lampkeeper.report.Evidence;
import org.lampkeeper.report.Evidence.Part;
import org.lampkeeper.report.Evidence.Stretch;
import org.lampkeeper.report.Evidence.Table;
import org.lampkeeper.report.EvidencePaper.Block;
import org.lampkeeper.report.EvidencePaper.Happened;
import org.lampkeeper.report.EvidencePaper.Pair;
import org.lampkeeper.report.EvidencePaper.Sheet;
import org.lampkeeper.report.EvidencePaper.Text;
import org.lampkeeper.report.EvidencePlot;
import org.lampkeeper.report.Lengths;
import org.lampkeeper.report.SupplyRecord;
import org.lampkeeper.report.SupplyRecord.Condition;
import org.lampkeeper.report.UnfitRecord;
import org.lampkeeper.report.UnfitWords;

/** Evidence in words, for people: times on the clocks of the site, names for references. */
final class EvidenceWords {

    private static final DateTimeFormatter TO_THE_SECOND = DateTimeFormatter.ofPattern("d MMM uuuu HH:mm:ss", Locale.ENGLISH);
    private static final DateTimeFormatter TO_THE_MINUTE = DateTimeFormatter.ofPattern("d MMMM uuuu, HH:mm", Locale.ENGLISH);

    private static final Pattern MOMENT = Pattern.compile("\\d{4}-\\d\\d-\\d\\dT[0-9:.]+Z");
    private static final Pattern CONSTANT = Pattern.compile("[A-Z]{2,}(_[A-Z]+)*");

    private final Evidence evidence;
    private final SupplyRecord supply;
    private final UnfitRecord unfit;
    private final ZoneId zone;
    private final JournalReading journal;

    EvidenceWords(Evidence evidence, SupplyRecord supply, UnfitRecord unfit, JournalReading journal) {
        this.evidence = evidence;
        this.supply = supply;
        this.unfit = unfit;
        this.zone = evidence.cabinet().zone();
        this.journal = journal;
    }

    /** For paper. {@code by}: who asked for it. */
    Text text(String by, Instant now) {
        return new Text(evidence.cabinet().name() + " (" + evidence.cabinet().code() + "), " + evidence.cabinet().site(), headline(), facts(),
                EvidencePlot.of(evidence, supply), "From " + minute(evidence.span().from()) + " on the left until " + minute(evidence.span().until()) + " on the right.",
                evidence.entries().stream().map(this::happened).toList(),
                Stream.of(Part.THEN, Part.ALARMS, Part.MESSAGES, Part.LOOKS, Part.ATTENDANCE, Part.UNFIT).map(this::sheet).toList(), proof(),
                "Made by Lampkeeper for " + by + " on " + TO_THE_MINUTE.format(now.atZone(zone)) + ". Times as at " + evidence.cabinet().site() + ".");
    }

    String headline() {
        Duration without = supply.of(Condition.LOST);
        Duration unknown = supply.of(Condition.UNKNOWN);
        String rest = unknown.isZero() ? "" : " For " + Lengths.words(unknown) + " it is not known.";
        String span = " between " + minute(evidence.span().from()) + " and " + minute(evidence.span().until()) + ".";
        if (without.isZero()) {
            return evidence.cabinet().name() + (supply.of(Condition.SUPPLIED).isZero() ? ": nothing is known of its supply" : " had supply for as long as it is known") + span + rest;
        }
        return evidence.cabinet().name() + " was without supply for " + Lengths.words(without) + span + rest;
    }

    private List<String> facts() {
        List<String> facts = new ArrayList<>(supply.losses().stream().map(loss -> "Without supply from " + second(loss.from())
                + (loss.until().equals(evidence.span().until()) ? " on, until the end of this time." : " until " + second(loss.until()) + ", " + Lengths.words(loss.length())
                        + ".")).toList());
        facts.addAll(unfit.stretches().isEmpty() ? List.of(UnfitWords.NOTHING) : unfit.stretches().stream().map(each -> "Not fit for use. " + UnfitWords.of(each, zone)).toList());
        Table measured = evidence.tables().get(Part.TEMPERATURES);
        facts.add(measured.rows().isEmpty() ? "No temperature was measured." : measured("Inside", "inside", measured)
                .orElseGet(() -> "No temperature inside was measured; " + measured.rows().size() + " quarters of an hour are in temperatures.csv."));
        measured("Of the content itself", "content", measured).ifPresent(facts::add);
        boolean stepped = evidence.entries().stream().anyMatch(line -> line.says().orElseThrow().body().contains("CLOCK_STEPPED"));
        facts.add("Lampkeeper’s own clock: " + (stepped ? "a jump was noticed in this time, see below." : "no jump was noticed in this time, by a counter that only runs forward.")
                + " " + compared(evidence.tables().get(Part.CLOCK)));
        return facts;
    }

    /** What was found in this time, and what was found nearest to it on either side. */
    private String compared(Table table) {
        if (table.rows().isEmpty()) {
            return "It was not compared with another clock.";
        }
        int at = table.columns().indexOf("compared");
        List<List<String>> within = table.rows().stream().filter(row -> evidence.span().holds(Instant.parse(row.get(at)))).toList();
        StringBuilder words = new StringBuilder(within.isEmpty() ? "It was not compared with another clock in this time." : within.size() == 1
                ? "It was compared with another clock once in this time: " + off(table, within.get(0)) + "."
                : "It was compared with another clock " + within.size() + " times in this time, from " + off(table, furthest(table, within, false)) + " to "
                        + off(table, furthest(table, within, true)) + ".");
        table.rows().stream().filter(row -> Instant.parse(row.get(at)).isBefore(evidence.span().from())).reduce((one, other) -> other)
                .ifPresent(row -> words.append(" Nearest before it, at ").append(local(row.get(at))).append(", ").append(off(table, row)).append('.'));
        table.rows().stream().filter(row -> !Instant.parse(row.get(at)).isBefore(evidence.span().until())).findFirst()
                .ifPresent(row -> words.append(" Nearest after it, at ").append(local(row.get(at))).append(", ").append(off(table, row)).append('.'));
        return words + " Each comparison is in clock.csv.";
    }

    private static List<String> furthest(Table table, List<List<String>> rows, boolean behind) {
        Comparator<List<String>> order = Comparator.comparingLong(row -> Long.parseLong(row.get(table.columns().indexOf("offset ms"))));
        return rows.stream().max(behind ? order : order.reversed()).orElseThrow();
    }

    private static String off(Table table, List<String> row) {
        return ClockWords.off(Long.parseLong(row.get(table.columns().indexOf("offset ms"))));
    }

    /** Empty where none of it was measured. */
    private Optional<String> measured(String where, String column, Table table) {
        int at = table.columns().indexOf("observed");
        int newest = table.columns().indexOf(column + " C");
        int least = table.columns().indexOf(column + " lowest C");
        int most = table.columns().indexOf(column + " highest C");
        List<List<String>> with = table.rows().stream().filter(row -> !row.get(newest).isEmpty()).toList();
        if (with.isEmpty()) {
            return Optional.empty();
        }
        List<String> lowest = with.stream().min((one, other) -> Double.compare(degrees(one, least), degrees(other, least))).orElseThrow();
        List<String> highest = with.stream().max((one, other) -> Double.compare(degrees(one, most), degrees(other, most))).orElseThrow();
        return Optional.of(where + ", the lowest was " + celsius(lowest, least) + " in the quarter of an hour until " + local(lowest.get(at)) + ", the highest "
                + celsius(highest, most) + " in that until " + local(highest.get(at)) + "; every quarter of an hour is in temperatures.csv.");
    }

    private static double degrees(List<String> row, int column) {
        return Double.parseDouble(row.get(column));
    }

    private static String celsius(List<String> row, int column) {
        return SupplyPage.temperature(Optional.of(degrees(row, column)));
    }

    private Happened happened(Line line) {
        Says says = line.says().orElseThrow();
        String where = says.cabinet().isPresent() ? evidence.cabinet().name() : says.site().orElse(0) == 0 ? "Lampkeeper" : evidence.cabinet().site();
        return new Happened(second(says.at()), "" + line.head().number(), JournalWords.of(says.kind(), journal.facts(says.body()), where,
                reference -> Optional.ofNullable(evidence.names().get(reference)), zone, says.at()));
    }

    private Sheet sheet(Part part) {
        Table table = evidence.tables().get(part);
        if (part == Part.THEN) {
            List<Pair> pairs = table.rows().stream().filter(row -> !row.get(2).isEmpty()).map(row -> new Pair(row.get(0) + ", " + called(row.get(1)), yesOrNo(row.get(2))))
                    .toList();
            return new Sheet(part.heading(), pairs.isEmpty() ? List.of() : List.of(new Block(pairs)), pairs.isEmpty() ? "The journal does not say." : "");
        }
        List<Block> blocks = table.rows().stream().map(row -> {
            List<Pair> pairs = new ArrayList<>();
            for (int i = 0; i < row.size(); i++) {
                if (!row.get(i).isEmpty()) {
                    pairs.add(new Pair(table.columns().get(i), cell(row.get(i))));
                }
            }
            return new Block(pairs);
        }).toList();
        return new Sheet(part.heading(), blocks, blocks.isEmpty() ? "None in this time." : "");
    }

    private String cell(String value) {
        if (MOMENT.matcher(value).matches()) {
            return local(value);
        }
        if (CONSTANT.matcher(value).matches()) {
            return value.toLowerCase(Locale.ROOT).replace('_', ' ');
        }
        return yesOrNo(evidence.names().getOrDefault(value, value));
    }

    private static String yesOrNo(String value) {
        return value.equals("true") ? "yes" : value.equals("false") ? "no" : value;
    }

    /** The journal's name of a fact, with its unit as it is written. */
    private static String called(String fact) {
        return fact.replaceAll("-ma$", " (mA)").replaceAll("-a$", " (A)").replaceAll("-c$", " (°C)").replaceAll("-w$", " (W)").replace('-', ' ');
    }

    private List<String> proof() {
        Stretch chain = evidence.chain();
        List<String> lines = new ArrayList<>();
        lines.add(chain.broken().map(place -> "The journal is not as it was written: entry " + place + " does not follow from what is before it. This cannot be relied upon.")
                .orElse("Entries " + (chain.from().number() + 1) + " to " + chain.until().number() + " of the journal follow from each other: each has in its SHA-256 that of the one before it."));
        lines.add(chain.before().map(told -> "The head before them left with a mail" + of(told) + ": " + head(chain.from().number(), chain.from().hash()))
                .orElse("No mail had left before; they begin with the first entry of all."));
        lines.add(chain.after().map(told -> "The head behind them left with a mail" + of(told) + ": " + head(chain.until().number(), chain.until().hash()))
                .orElse("No mail has left since with a head behind them. Their own is " + head(chain.until().number(), chain.until().hash())));
        lines.add("Whoever kept one of these mails can tell whether the journal was written anew. The archive that belongs to this can be checked without Lampkeeper.");
        return lines;
    }

    private String of(Told told) {
        return " at " + second(told.at()) + (told.message().isEmpty() ? "" : ", whose Message-ID begins with " + told.message());
    }

    private static String head(long number, String hash) {
        return number + " " + hash;
    }

    private String local(String moment) {
        return second(Instant.parse(moment));
    }

    private String second(Instant at) {
        return TO_THE_SECOND.format(at.atZone(zone));
    }

    private String minute(Instant at) {
        return TO_THE_MINUTE.format(at.atZone(zone));
    }
}
