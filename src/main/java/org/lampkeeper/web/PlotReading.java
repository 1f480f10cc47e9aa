package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.thermal.Band;
import org.lampkeeper.watch.WarmthBook;
import org.lampkeeper.web.Plot.Figure;
import org.lampkeeper.web.Plot.Look;
import org.lampkeeper.web.Plot.Range;
import org.lampkeeper.web.Plot.Reading;
import org.lampkeeper.web.Plot.Span;
import org.lampkeeper.web.Reads.Row;

/** What is plotted of one cabinet: a day and a week from its quarters of an hour, a season and a year from its days. */
@ApplicationScoped
class PlotReading {

    /** By sensor_quarter_is_unique; and what is known now, which no row holds yet. The sensors that were there before count too. */
    private static final String QUARTERS = """
            SELECT q.observed_at, q.reading, q.inside_c, q.outside_c, q.door_open, COALESCE(q.inside_least_c, q.inside_c) AS inside_min_c,
                   COALESCE(q.inside_most_c, q.inside_c) AS inside_max_c, COALESCE(q.outside_least_c, q.outside_c) AS outside_min_c,
                   COALESCE(q.outside_most_c, q.outside_c) AS outside_max_c, q.content_c, COALESCE(q.content_least_c, q.content_c) AS content_min_c,
                   COALESCE(q.content_most_c, q.content_c) AS content_max_c
              FROM sensor_quarter q
             WHERE q.sensor_id IN (SELECT e.id FROM sensor e WHERE e.cabinet_id = ?) AND q.quarter >= ? AND q.observed_at >= ?
             UNION ALL
            SELECT st.observed_at, st.reading, CASE WHEN st.inside_at = st.observed_at THEN st.inside_c END,
                   CASE WHEN st.outside_at = st.observed_at THEN st.outside_c END, st.door_open, st.inside_least_c, st.inside_most_c, st.outside_least_c,
                   st.outside_most_c, CASE WHEN st.content_at = st.observed_at THEN st.content_c END, st.content_least_c, st.content_most_c
              FROM sensor_status st WHERE st.cabinet_id = ? AND st.observed_at >= ?
             ORDER BY 1""";

    /** By sensor_day_is_unique. */
    private static final String DAYS = """
            SELECT d.on_day, d.quarters, d.quarters_lost, d.inside_min_c, d.inside_mean_c, d.inside_max_c, d.outside_min_c, d.outside_mean_c, d.outside_max_c,
                   d.door_open, d.content_min_c, d.content_mean_c, d.content_max_c
              FROM sensor_day d WHERE d.sensor_id IN (SELECT e.id FROM sensor e WHERE e.cabinet_id = ?) AND d.on_day >= ? ORDER BY d.on_day""";

    /** By check_record_by_cabinet. */
    private static final String LOOKS = """
            SELECT r.looked_at, r.answer FROM check_record r WHERE r.cabinet_id = ? AND r.looked_at >= ? AND r.looked_at <= ? AND r.person_id IS NOT NULL
             ORDER BY r.looked_at""";

    /** Ours: half a day ahead is what somebody who is called can do something about. */
    private static final Duration AHEAD = Duration.ofHours(12);

    private static final Duration HALF_A_DAY = Duration.ofHours(12);

    private final Reads reads;
    private final Register register;
    private final WarmthBook warmth;

    PlotReading(Reads reads, Register register, WarmthBook warmth) {
        this.reads = reads;
        this.register = register;
        this.warmth = warmth;
    }

    /** Without a forecast where the axis ends now: a season is about what was. {@code isAhead}: whether it goes on into the forecast. */
    Plot.Input input(long cabinetId, Span span, boolean isAhead, ZoneId zone, Instant now) {
        Instant from = now.minus(span.length());
        List<Reading> readings = readings(cabinetId, span, from);
        Optional<ContentSheet> content = register.content(cabinetId);
        Optional<Band> band = isAhead ? warmth.outlook(cabinetId, now).flatMap(it -> Band.of(it.situation(), Duration.ofMinutes(15), AHEAD, now)) : Optional.empty();
        return new Plot.Input(span, from, band.isPresent() ? now.plus(AHEAD) : now, now, zone, readings,
                content.flatMap(ContentSheet::lowest).map(Celsius::value), content.flatMap(ContentSheet::highest).map(Celsius::value),
                reads.list(LOOKS, row -> new Look(row.instant("looked_at"), word(row.text("answer"))), cabinetId, from, now), band);
    }

    /** In order of time. */
    List<Reading> readings(long cabinetId, Span span, Instant from) {
        return span.isOfDays() ? reads.list(DAYS, PlotReading::day, cabinetId, Math.floorDiv(from.getEpochSecond(), Duration.ofDays(1).toSeconds()))
                : reads.list(QUARTERS, PlotReading::quarter, cabinetId, Quarters.of(from), from, cabinetId, from);
    }

    private static Reading quarter(Row row) throws SQLException {
        return new Reading(row.instant("observed_at"), figure(row, "inside_c", "inside"), figure(row, "outside_c", "outside"), figure(row, "content_c", "content"),
                row.text("reading").equals("LOST"), row.has("door_open") && row.is("door_open"));
    }

    private static Reading day(Row row) throws SQLException {
        return new Reading(Instant.ofEpochSecond(row.number("on_day") * Duration.ofDays(1).toSeconds()).plus(HALF_A_DAY),
                figure(row, "inside_mean_c", "inside"), figure(row, "outside_mean_c", "outside"), figure(row, "content_mean_c", "content"),
                row.number("quarters_lost") > 0, row.number("door_open") > 0);
    }

    private static Figure figure(Row row, String value, String of) throws SQLException {
        return new Figure(row.optionalDecimal(value), range(row, of));
    }

    private static Optional<Range> range(Row row, String of) throws SQLException {
        Optional<Double> low = row.optionalDecimal(of + "_min_c");
        Optional<Double> high = row.optionalDecimal(of + "_max_c");
        return low.isPresent() && high.isPresent() ? Optional.of(new Range(low.get(), high.get())) : Optional.empty();
    }

    private static String word(String answer) {
        return "seen " + answer.toLowerCase(Locale.ROOT).replace('_', ' ');
    }

    /** The same figures as a table: of a day each reading, of a week each hour, else each day. */
    static List<Reading> rows(Plot.Input input) {
        if (input.span() != Span.WEEK) {
            return input.readings();
        }
        List<Reading> hourly = new ArrayList<>();
        for (Reading each : input.readings()) {
            int last = hourly.size() - 1;
            if (last < 0 || hourOf(hourly.get(last)) != hourOf(each)) {
                hourly.add(each);
            } else {
                hourly.set(last, joined(hourly.get(last), each));
            }
        }
        return hourly;
    }

    /** What was in either is in the hour; its line stands at the first. */
    private static Reading joined(Reading one, Reading other) {
        return new Reading(one.at(), joined(one.inside(), other.inside()), joined(one.outside(), other.outside()), joined(one.content(), other.content()),
                one.lost() || other.lost(), one.doorOpen() || other.doorOpen());
    }

    private static Figure joined(Figure one, Figure other) {
        return new Figure(one.value().or(other::value), Stream.of(one.range(), other.range()).flatMap(Optional::stream)
                .reduce((first, second) -> new Range(Math.min(first.low(), second.low()), Math.max(first.high(), second.high()))));
    }

    private static long hourOf(Reading reading) {
        return reading.at().getEpochSecond() / Duration.ofHours(1).toSeconds();
    }
}
