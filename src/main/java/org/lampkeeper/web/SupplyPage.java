package org.lampkeeper.web;

import java.net.URLEncoder;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.format.TextStyle;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.function.Function;
import java.util.stream.Collectors;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.alarm.SupplyOverview;
import org.lampkeeper.demo.DemoSwitch;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.Picture.Line;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.CircuitRow;
import org.lampkeeper.web.SupplyReading.OpenAlarm;
import org.lampkeeper.web.SupplyReading.Outline;
import org.lampkeeper.web.SupplyReading.SensorRow;
import org.lampkeeper.web.SupplyReading.Told;
import org.lampkeeper.web.SupplyView.BoardView;
import org.lampkeeper.web.SupplyView.LineView;
import org.lampkeeper.web.SupplyView.Link;
import org.lampkeeper.web.SupplyView.NameView;
import org.lampkeeper.web.SupplyView.NamedView;
import org.lampkeeper.web.SupplyView.Remark;
import org.lampkeeper.web.SupplyView.SiteView;
import org.lampkeeper.web.SupplyView.SwitchView;

/** Decides what the supply page says and draws at one moment. Looks at no clock and no database; made for one page. */
final class SupplyPage {

    // Ours: nobody reads more lines than this, and a live page sends itself again on every change. Further cabinets are named with their state.
    private static final int LINES_AT_MOST = 40;

    private final Picture picture;
    private final Wish wish;
    private final boolean folds;
    private final Optional<DemoSwitch> demo;
    private final Instant now;
    private final Map<Long, List<String>> outlooks;
    private final Map<Long, Optional<Advice>> adviceByCabinet = new HashMap<>();
    private int drawn;
    private Optional<ZoneId> zoneSaid = Optional.empty();

    /** What the reader asked to see: {@code filter} is empty for everything, {@code site} names one that is to be unfolded. */
    record Wish(String filter, OptionalLong site) {

        boolean isNarrow() {
            return !filter.isEmpty() || site.isPresent();
        }

        private String asQuery() {
            String text = filter.isEmpty() ? "" : "?q=" + URLEncoder.encode(filter, StandardCharsets.UTF_8);
            return site.isEmpty() ? text : text + (text.isEmpty() ? "?" : "&") + "site=" + site.getAsLong();
        }
    }

    /** Asked once, of what is lost and may be drawn; what it knows nothing of is not among its answers. */
    interface Forecasts {
        Map<Long, List<String>> of(List<Long> cabinetIds, Instant now);
    }

    private SupplyPage(Picture picture, Wish wish, int foldOver, Optional<DemoSwitch> demo, Forecasts forecasts) {
        this.picture = picture;
        this.wish = wish;
        this.folds = picture.lines().size() > foldOver && !wish.isNarrow();
        this.demo = demo;
        this.now = picture.now();
        // In the order of the page: what is drawn at most is among the first.
        List<Long> lost = picture.sites().stream().flatMap(List::stream).filter(line -> line.lamp() == Lamp.OUT && isWished(line)).limit(LINES_AT_MOST)
                .map(line -> line.row().cabinetId()).toList();
        this.outlooks = lost.isEmpty() ? Map.of() : forecasts.of(lost, now);
    }

    /** {@code foldOver}: with more cabinets than this, where all is lit is folded. {@code pressed}: what a demo button that was just pressed is going to cause; empty when none was. */
    static SupplyView compose(Picture picture, Wish wish, int foldOver, Optional<DemoSwitch> demo, String pressed) {
        return compose(picture, wish, foldOver, demo, pressed, (lost, now) -> Map.of());
    }

    /** The same, saying of what is lost how long it stays warm. */
    static SupplyView compose(Picture picture, Wish wish, int foldOver, Optional<DemoSwitch> demo, String pressed, Forecasts forecasts) {
        return new SupplyPage(picture, wish, foldOver, demo, forecasts).compose(pressed);
    }

    private SupplyView compose(String pressed) {
        List<SiteView> sites = new ArrayList<>();
        // On a folded page, where a person is needed comes first; otherwise the order never changes under the reader's eyes.
        picture.sites().stream().sorted(Comparator.comparing((List<Line> lines) -> folds && lines.stream().noneMatch(picture::needsAPerson)))
                .forEach(lines -> site(lines).ifPresent(sites::add));

        SupplyOverview overview = overview();
        int lit = overview.withSupply();
        int all = picture.lines().size();
        String title = lit == all ? "Supply" : lit + " of " + all + " have supply";
        return new SupplyView(frame(title, "supply", picture.snapshot().outline(), now), Sentences.supplyHeadline(overview, now, firstZone()), lit == all, !picture.isListening(), remarks(overview), action(), sites,
                wish.filter(), wish.isNarrow(), all > 12 || wish.isNarrow(), "/supply/live" + wish.asQuery(), pressed,
                demo.isPresent(), Set.of());
    }

    static Frame frame(String title, String place, Outline outline, Instant now) {
        Set<ZoneId> zones = outline.zones();
        String clock = zones.size() == 1 ? Sentences.clock(now, zones.iterator().next(), now) + " at the sites"
                : Sentences.clock(now, ZoneOffset.UTC, now) + " UTC";
        return new Frame(title, place, clock, Moment.of(now, ZoneOffset.UTC, now).iso(), outline.alarmsToSee(), "");
    }

    private Optional<SiteView> site(List<Line> lines) {
        CabinetRow any = lines.get(0).row();
        List<Line> shown = lines.stream().filter(this::isWished).filter(line -> !folds || picture.needsAPerson(line)).toList();
        if (wish.isNarrow() && shown.isEmpty()) {
            return Optional.empty();
        }
        Map<Long, List<Line>> byBoard = shown.stream().filter(line -> line.row().circuit().isPresent()).collect(
                Collectors.groupingBy(line -> line.row().circuit().get().boardId(), LinkedHashMap::new, Collectors.toList()));
        List<BoardView> boards = new ArrayList<>();
        byBoard.values().forEach(onBoard -> boards.add(board(onBoard)));
        List<Line> loose = shown.stream().filter(line -> line.row().circuit().isEmpty()).toList();
        Split looseSplit = split(loose);
        String intakeMark = mark(shown, LookOrder::intake);
        boolean intakeMatters = !intakeMark.isEmpty() || picture.alarmOfSite(any.siteId()).isPresent();
        // Of hundreds of sites on one page, those say who is on duty of which anything is drawn, and the others on their own pages; nor do
        // these repeat the zone of the one above.
        boolean isDrawn = !folds || !looseSplit.drawn().isEmpty() || boards.stream().anyMatch(board -> !board.lines().isEmpty());
        Optional<SiteDuty> duty = Optional.ofNullable(picture.snapshot().duty().get(any.siteId())).filter(known -> isDrawn);
        boolean isSaid = !isDrawn && zoneSaid.equals(Optional.of(any.zone()));
        zoneSaid = Optional.of(any.zone());
        return Optional.of(new SiteView(any.siteId(), any.site(), any.zone().getId(), isSaid ? "" : zoneName(any.zone()), outside(lines),
                duty.map(it -> it.brief(now)).orElse(""), duty.map(it -> it.remark(now)).orElse(""), intakeMatters ? any.intake() : "", intakeMark, folded(lines, shown), "/?site=" + any.siteId(), boards,
                looseSplit.drawn().stream().map(line -> line(line, false)).toList(), named(looseSplit)));
    }

    private String folded(List<Line> all, List<Line> shown) {
        int rest = all.size() - shown.size();
        if (wish.isNarrow() || rest == 0) {
            return "";
        }
        String state = picture.isListening() ? "lit" : "not known";
        if (rest == 1) {
            return shown.isEmpty() ? all.get(0).row().cabinet() + " " + state : "the other one " + state;
        }
        return shown.isEmpty() ? "all " + rest + " " + state : "the other " + rest + " " + state;
    }

    /** Lines that are drawn, and those that are named only, each in the order of the page. */
    private record Split(List<Line> drawn, List<Line> named) {
    }

    /** What still fits on the page is drawn; what needs a person before what does not. */
    private Split split(List<Line> shown) {
        Set<Long> chosen = shown.stream().sorted(Comparator.comparing((Line line) -> !picture.needsAPerson(line))).limit(LINES_AT_MOST - drawn)
                .map(line -> line.row().cabinetId()).collect(Collectors.toSet());
        drawn += chosen.size();
        Map<Boolean, List<Line>> parts = shown.stream().collect(Collectors.partitioningBy(line -> chosen.contains(line.row().cabinetId())));
        return new Split(parts.get(true), parts.get(false));
    }

    /** The first mark that the advice about one of these lines sets; empty where none does. */
    private String mark(List<Line> lines, Function<LookOrder, String> which) {
        return lines.stream().flatMap(line -> adviceOf(line).stream()).map(advice -> which.apply(LookOrder.of(advice)))
                .filter(mark -> !mark.isEmpty()).findFirst().orElse("");
    }

    /** Worked out once a line: its site, its board and its drawing ask for it. */
    private Optional<Advice> adviceOf(Line line) {
        return adviceByCabinet.computeIfAbsent(line.row().cabinetId(), id -> picture.adviceOf(line));
    }

    /** The rest, by state: nothing that needs a person goes unmentioned. */
    private List<NamedView> named(Split split) {
        Map<String, List<Line>> byState = split.named().stream().collect(
                Collectors.groupingBy(line -> line.word().isEmpty() ? "lit" : line.word(), LinkedHashMap::new, Collectors.toList()));
        List<NamedView> named = new ArrayList<>();
        byState.forEach((word, same) -> named.add(new NamedView(same.get(0).lamp().look(), same.size() + (split.drawn().isEmpty() ? " " : " more ") + word,
                same.stream().map(this::name).toList())));
        return named;
    }

    private NameView name(Line line) {
        CabinetRow row = line.row();
        return new NameView(row.code(), picture.alarmOf(row).map(alarm -> "/alarms/" + alarm.id()).orElse("/cabinets/" + row.cabinetId()),
                line.since().map(at -> Moment.of(at, row.zone(), now).clock()).orElse(""));
    }

    private BoardView board(List<Line> shown) {
        CircuitRow circuit = shown.get(0).row().circuit().orElseThrow();
        List<Line> fed = picture.onBoard(circuit.boardId());
        boolean isAlive = picture.isAlive(circuit.boardId());
        boolean isLost = fed.stream().allMatch(line -> line.lamp() == Lamp.OUT);
        Lamp look = isAlive ? Lamp.LIT : isLost ? Lamp.OUT : Lamp.NOT_KNOWN;
        String mark = mark(shown, LookOrder::board);
        int others = fed.size() - shown.size();
        Split split = split(shown);
        boolean isFolded = folds && picture.isListening() && others > 0;
        return new BoardView(circuit.boardId(), circuit.board(), circuit.boardPlace(), look.look(), mark,
                isFolded ? others + (others == 1 ? " other way lit" : " other ways lit") : "",
                split.drawn().stream().map(line -> line(line, isAlive)).toList(), named(split),
                demo.map(it -> switchView(it, new DemoSwitch.Target(DemoSwitch.Target.Kind.BOARD, circuit.boardId()), circuit.board())));
    }

    private LineView line(Line line, boolean isBusbarAlive) {
        CabinetRow row = line.row();
        Optional<OpenAlarm> alarm = picture.alarmOf(row);
        boolean isFresh = picture.isFresh(row);
        Optional<Moment> heard = row.sensor().map(SensorRow::state).flatMap(SensorState::observedAt).filter(at -> isFresh)
                .map(at -> Moment.of(at, row.zone(), now));
        String note = line.note();
        if (line.lamp() == Lamp.LIT && alarm.isPresent()) {
            note = alarm.get().live()
                    ? Sentences.alarmHeadline(alarm.get().kind(), row.cabinet(), alarm.get().since(), now, row.zone(), true)
                    : "It is back; the alarm since " + Sentences.clock(alarm.get().since(), row.zone(), now) + " is still open.";
        }
        return new LineView(row.cabinetId(), row.code(), row.cabinet(), row.content(), line.lamp().look(), line.lamp().spoken(),
                row.circuit().map(circuit -> Drawing.of(circuit.board(), circuit.way(), circuit.device(), circuit.cable(),
                        circuit.fuseAmpere(), line.lamp(), isBusbarAlive, adviceOf(line))),
                line.word(), line.since().map(at -> Moment.of(at, row.zone(), now)), note,
                alarm.map(it -> picture.carried(it, row.zone())).orElse(""),
                alarm.map(it -> new Link("of " + row.cabinet(), "/alarms/" + it.id())),
                isFresh ? temperature(row.sensor().flatMap(SensorRow::inside)) : "", heard, String.join(" ", outlooks.getOrDefault(row.cabinetId(), List.of())),
                demo.map(it -> switchView(it, new DemoSwitch.Target(DemoSwitch.Target.Kind.CABINET, row.cabinetId()), row.cabinet())));
    }

    private static SwitchView switchView(DemoSwitch demo, DemoSwitch.Target target, String name) {
        String where = "/demo/" + target.kind().name().toLowerCase(Locale.ROOT) + "/" + target.id();
        return demo.isAway(target) ? new SwitchView("Give it back", "to " + name, where + "/give-back")
                : new SwitchView("Take supply away", "from " + name, where + "/take-away");
    }

    private boolean isWished(Line line) {
        if (wish.site().isPresent() && line.row().siteId() != wish.site().getAsLong()) {
            return false;
        }
        CabinetRow row = line.row();
        String all = String.join("\n", row.site(), row.cabinet(), row.code(), row.content(), row.circuit().map(CircuitRow::board).orElse(""));
        return all.toLowerCase(Locale.ROOT).contains(wish.filter().toLowerCase(Locale.ROOT));
    }

    private SupplyOverview overview() {
        List<SupplyOverview.Lost> lost = new ArrayList<>();
        List<SupplyOverview.NotKnown> notKnown = new ArrayList<>();
        for (Line line : picture.lines()) {
            Optional<SensorState> state = line.row().sensor().map(SensorRow::state);
            if (line.lamp() == Lamp.OUT) {
                Optional<String> taker = picture.alarmOf(line.row()).flatMap(OpenAlarm::hasIt).map(Told::person);
                lost.add(new SupplyOverview.Lost(line.row().cabinet(), line.since().orElse(now), taker));
            } else if (line.lamp() == Lamp.NOT_KNOWN) {
                notKnown.add(new SupplyOverview.NotKnown(line.row().cabinet(), line.since().or(() -> state.flatMap(SensorState::observedAt))));
            }
        }
        Optional<Instant> notListening = picture.isListening() ? Optional.empty() : picture.snapshot().lastListenedAt();
        return new SupplyOverview(picture.lines().size() - lost.size() - notKnown.size(), lost, notKnown, notListening);
    }

    private List<Remark> remarks(SupplyOverview overview) {
        List<Remark> remarks = new ArrayList<>();
        Sentences.supplySubline(overview, now, firstZone()).ifPresent(line -> remarks.add(new Remark(line, "", "plain")));
        if (!picture.isListening()) {
            remarks.add(new Remark("Until Lampkeeper listens again, every lamp is a question.", "", "plain"));
        }
        for (OpenAlarm alarm : picture.snapshot().alarms()) {
            if (alarm.cabinetId().isPresent() || (alarm.kind() == AlarmKind.NOT_LISTENING && !picture.isListening())) {
                continue;
            }
            Optional<CabinetRow> atSite = picture.lines().stream().map(Line::row).filter(row -> row.siteId() == alarm.siteId()).findFirst();
            ZoneId zone = atSite.map(CabinetRow::zone).orElse(firstZone());
            String text = Sentences.alarmHeadline(alarm.kind(), atSite.map(CabinetRow::site).orElse("Lampkeeper"), alarm.since(), now, zone,
                    alarm.live());
            remarks.add(new Remark(text, "/alarms/" + alarm.id(), alarm.kind() == AlarmKind.PROBABLE_SITE_LOSS ? "lost" : "unknown"));
        }
        return remarks;
    }

    /** The alarm that most needs somebody; the line of each has its own link. Where there is nothing to watch yet, what comes first. */
    private Optional<Link> action() {
        Comparator<OpenAlarm> urgency = Comparator.comparing((OpenAlarm alarm) -> alarm.hasIt().isPresent())
                .thenComparing(alarm -> !alarm.live()).thenComparing(alarm -> alarm.kind().priority()).thenComparing(OpenAlarm::since);
        List<OpenAlarm> open = picture.snapshot().alarms().stream().sorted(urgency).toList();
        if (open.isEmpty()) {
            return picture.lines().isEmpty() ? Optional.of(new Link("Go to the sites", "/sites")) : Optional.empty();
        }
        OpenAlarm first = open.get(0);
        String whose = first.cabinetId().isPresent() ? picture.line(first.cabinetId().getAsLong()).map(line -> " of " + line.row().cabinet())
                .orElse("") : "";
        return Optional.of(new Link("Open the alarm" + (open.size() == 1 ? "" : whose), "/alarms/" + first.id()));
    }

    private String outside(List<Line> lines) {
        return lines.stream().filter(line -> picture.isFresh(line.row())).flatMap(line -> line.row().sensor().stream())
                .filter(sensor -> sensor.outside().isPresent())
                .max(Comparator.comparing(sensor -> sensor.state().observedAt().orElse(Instant.EPOCH)))
                .map(sensor -> temperature(sensor.outside()) + " outside").orElse("");
    }

    private ZoneId firstZone() {
        return picture.lines().stream().map(line -> line.row().zone()).findFirst().orElse(ZoneOffset.UTC);
    }

    private String clock(Instant at) {
        return Sentences.clock(at, firstZone(), now);
    }

    /** One decimal and a true minus sign: at a distance a hyphen is easily lost. */
    static String temperature(Optional<Double> celsius) {
        return celsius.map(value -> degrees(value) + " °C").orElse("no temperature");
    }

    /** "7.5 to 8.0 °C". */
    static String temperature(double low, double high) {
        return degrees(low) + " to " + degrees(high) + " °C";
    }

    private static String degrees(double celsius) {
        return String.format(Locale.ROOT, "%.1f", celsius).replaceFirst("^-0\\.0$", "0.0").replace('-', '\u2212');
    }

    static String zoneName(ZoneId zone) {
        return zone.getDisplayName(TextStyle.FULL, Locale.UK);
    }
}
