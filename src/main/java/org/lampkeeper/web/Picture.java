package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.function.Function;
import java.util.stream.Collectors;

import org.lampkeeper.access.Reach;
import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Neighbour;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.alarm.Surroundings;
import org.lampkeeper.alarm.WhereToLook;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.CircuitRow;
import org.lampkeeper.web.SupplyReading.OpenAlarm;
import org.lampkeeper.web.SupplyReading.Snapshot;
import org.lampkeeper.web.SupplyReading.Told;

/** What a snapshot means at one moment: which lamp is lit, and what that says about the lines. Looks at no clock and no database. */
final class Picture {

    private final Snapshot snapshot;
    private final boolean isListening;
    private final Instant now;
    private final Map<Long, OpenAlarm> alarmByCabinet;
    private final Map<Long, OpenAlarm> alarmBySite;
    private final List<Line> lines;
    private final Map<Long, List<Line>> bySite;
    private final Map<Long, List<Line>> byBoard;

    private Picture(Picture whole, Reach reach) {
        this.snapshot = whole.snapshot.seenBy(reach);
        this.now = whole.now;
        this.isListening = whole.isListening;
        this.alarmByCabinet = whole.alarmByCabinet;
        this.alarmBySite = whole.alarmBySite;
        this.lines = whole.lines.stream().filter(line -> reach.sees(line.row().siteId())).toList();
        this.bySite = grouped(lines, line -> line.row().siteId());
        this.byBoard = whole.byBoard;
    }

    /** {@code listeningWithin}: when Lampkeeper last listened longer ago than this, nothing counts as fresh. */
    Picture(Snapshot snapshot, Duration listeningWithin, Instant now) {
        this.snapshot = snapshot;
        this.now = now;
        this.isListening = snapshot.lastListenedAt().filter(at -> !at.plus(listeningWithin).isBefore(now)).isPresent();
        this.alarmByCabinet = mostUrgent(snapshot.alarms().stream().filter(alarm -> alarm.cabinetId().isPresent()).toList(),
                alarm -> alarm.cabinetId().getAsLong());
        this.alarmBySite = mostUrgent(snapshot.alarms().stream().filter(alarm -> alarm.cabinetId().isEmpty()).toList(), OpenAlarm::siteId);
        this.lines = snapshot.cabinets().stream().map(this::lineOf).toList();
        this.bySite = grouped(lines, line -> line.row().siteId());
        this.byBoard = grouped(lines.stream().filter(line -> line.row().circuit().isPresent()).toList(), Line::boardId);
    }

    /** One cabinet. {@code word} is its state where that needs a person, empty when lit; {@code since} belongs to the word. */
    record Line(CabinetRow row, Lamp lamp, String word, Optional<Instant> since, String note) {

        private long boardId() {
            return row.circuit().orElseThrow().boardId();
        }
    }

    /** Only the lines of sites that {@code reach} sees. Whether a board is alive still counts every line on it: that does not depend on who looks. */
    Picture seenBy(Reach reach) {
        return new Picture(this, reach);
    }

    Snapshot snapshot() {
        return snapshot;
    }

    Instant now() {
        return now;
    }

    boolean isListening() {
        return isListening;
    }

    List<Line> lines() {
        return lines;
    }

    List<List<Line>> sites() {
        return List.copyOf(bySite.values());
    }

    /** Every line that starts at a board, whichever site it goes to. */
    List<Line> onBoard(long boardId) {
        return byBoard.getOrDefault(boardId, List.of());
    }

    boolean isAlive(long boardId) {
        return onBoard(boardId).stream().anyMatch(line -> line.lamp() == Lamp.LIT);
    }

    Optional<Line> line(long cabinetId) {
        return lines.stream().filter(line -> line.row().cabinetId() == cabinetId).findFirst();
    }

    Optional<OpenAlarm> alarmOf(CabinetRow row) {
        return Optional.ofNullable(alarmByCabinet.get(row.cabinetId()));
    }

    /** The alarm of a whole site; of the installation for site 0. */
    Optional<OpenAlarm> alarmOfSite(long siteId) {
        return Optional.ofNullable(alarmBySite.get(siteId));
    }

    /** Whether somebody has to look at this line, as opposed to something that is said once for all. */
    boolean needsAPerson(Line line) {
        // While nobody listens every lamp is a question, and that is one fault, said at the top, not one in every line.
        return alarmOf(line.row()).isPresent() || (isListening && line.lamp() != Lamp.LIT);
    }

    boolean isFresh(CabinetRow row) {
        return isListening && row.sensor().filter(sensor -> sensor.state().readingAt(now) != Reading.UNKNOWN).isPresent();
    }

    /** Where to look first for the break in the line of a lost cabinet; the same rule and numbers as in the messages. Empty unless it is lost. */
    Optional<Advice> adviceOf(Line line) {
        if (line.lamp() != Lamp.OUT || line.row().circuit().isEmpty()) {
            return Optional.empty();
        }
        CabinetRow row = line.row();
        CircuitRow circuit = row.circuit().get();
        Surroundings around = new Surroundings(row.cabinet(), row.content(), "", "", circuit.board(), circuit.boardPlace(), "", circuit.way(),
                circuit.device(), circuit.fuseAmpere(), "", circuit.cable(), row.intake(), othersOnBoard(line), elsewhere(line), false, false);
        return Optional.of(WhereToLook.advise(around));
    }

    List<Neighbour> othersOnBoard(Line line) {
        return onBoard(line.boardId()).stream().filter(other -> other != line).map(Picture::neighbour).toList();
    }

    /** The cabinets of the same site on its other boards. */
    List<Neighbour> elsewhere(Line line) {
        return bySite.get(line.row().siteId()).stream()
                .filter(other -> other.row().circuit().isPresent() && other.boardId() != line.boardId()).map(Picture::neighbour).toList();
    }

    private static Neighbour neighbour(Line line) {
        Reading reading = switch (line.lamp()) {
            case LIT -> Reading.HEALTHY;
            case OUT -> Reading.LOST;
            case NOT_KNOWN -> Reading.UNKNOWN;
        };
        return new Neighbour(line.row().cabinet(), reading);
    }

    /** Who has the alarm, else who was told last; empty for an alarm that nobody is called out for. */
    String carried(OpenAlarm alarm, ZoneId zone) {
        if (alarm.hasIt().isPresent()) {
            Told has = alarm.hasIt().get();
            return has.person() + " has it since " + Sentences.clock(has.at(), zone, now);
        }
        OptionalLong callOut = alarm.callOutId();
        Optional<Told> told = callOut.isPresent() ? Optional.ofNullable(snapshot.toldByCallOut().get(callOut.getAsLong())) : Optional.empty();
        String nobody = callOut.isPresent() ? "nobody told yet" : "";
        return told.map(it -> it.person() + " told " + Sentences.clock(it.at(), zone, now)).orElse(nobody);
    }

    private Line lineOf(CabinetRow row) {
        if (row.sensor().isEmpty()) {
            return new Line(row, Lamp.NOT_KNOWN, "NO SENSOR", Optional.empty(), "nothing watches this supply");
        }
        SensorState state = row.sensor().get().state();
        Optional<String> heard = state.observedAt().map(at -> clock(at, row));
        if (!isListening) {
            String note = state.lostSince().map(at -> "lost at " + clock(at, row) + " when Lampkeeper last listened")
                    .orElse(heard.map(at -> "last heard " + at).orElse("never heard"));
            return new Line(row, Lamp.NOT_KNOWN, "NOT KNOWN", Optional.empty(), note);
        }
        Reading reading = state.readingAt(now);
        if (state.lostSince().isPresent()) {
            String note = reading == Reading.UNKNOWN ? heard.map(at -> "and not heard since " + at).orElse("") : "";
            return new Line(row, Lamp.OUT, "LOST", state.lostSince(), note);
        }
        if (state.suspectedAt().isPresent()) {
            return new Line(row, Lamp.OUT, "OFF", state.suspectedAt(), "not confirmed yet");
        }
        return switch (reading) {
            case HEALTHY -> new Line(row, Lamp.LIT, "", Optional.empty(), "");
            case LOST -> new Line(row, Lamp.OUT, "OFF", state.observedAt(), "");
            case UNKNOWN -> notHeard(row, state);
        };
    }

    private Line notHeard(CabinetRow row, SensorState state) {
        if (state.observedAt().isEmpty()) {
            return new Line(row, Lamp.NOT_KNOWN, "NEVER HEARD", Optional.empty(), "");
        }
        // The alarm's own time where there is one, so that page and message say the same.
        Instant since = alarmOf(row).filter(alarm -> alarm.kind() == AlarmKind.NOT_HEARD).map(OpenAlarm::since)
                .orElse(state.quietSince().orElse(state.observedAt().get()));
        return new Line(row, Lamp.NOT_KNOWN, "NOT HEARD", Optional.of(since), state.linkDown() ? "its connection broke" : "");
    }

    private String clock(Instant at, CabinetRow row) {
        return Sentences.clock(at, row.zone(), now);
    }

    private static Map<Long, List<Line>> grouped(List<Line> lines, Function<Line, Long> key) {
        return lines.stream().collect(Collectors.groupingBy(key, LinkedHashMap::new, Collectors.toList()));
    }

    private static Map<Long, OpenAlarm> mostUrgent(List<OpenAlarm> alarms, Function<OpenAlarm, Long> key) {
        Comparator<OpenAlarm> urgency = Comparator.comparing((OpenAlarm alarm) -> !alarm.live())
                .thenComparing(alarm -> alarm.kind().priority()).thenComparing(OpenAlarm::id);
        List<OpenAlarm> sorted = new ArrayList<>(alarms);
        sorted.sort(urgency);
        return sorted.stream().collect(Collectors.toMap(key, alarm -> alarm, (first, second) -> first, LinkedHashMap::new));
    }
}
