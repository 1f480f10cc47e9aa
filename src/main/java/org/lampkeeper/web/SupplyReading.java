package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneId;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.DeviceMark;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.Reads.Row;

/** What the supply page shows, read in eight statements whatever the number of cabinets. */
@ApplicationScoped
class SupplyReading {

    /** Uses the primary keys and sensor_status' own; walks every cabinet, which is what the page is about. */
    private static final String CABINETS_WITH_ALL_THAT_FEEDS_THEM = """
            SELECT s.id AS site_id, s.name AS site, s.zone, s.intake,
                   c.id AS cabinet_id, c.code, c.name AS cabinet, c.content,
                   b.id AS board_id, b.name AS board, b.place AS board_place, b.site_id AS board_site_id, bs.name AS board_site,
                   f.way, f.device_curve, f.device_rating_a, f.residual_ma, f.cable, f.fuse_a,
                   st.sensor_id, st.reading, st.observed_at, st.seq, st.silent_after, st.suspected_at, st.confirm_at, st.lost_since,
                   st.quiet_since, st.silent, st.link_down, st.clock_odd, st.dips, st.dips_since, st.inside_c, st.outside_c, st.content_c
              FROM cabinet c
              JOIN site s ON s.id = c.site_id
              LEFT JOIN circuit f ON f.cabinet_id = c.id
              LEFT JOIN board b ON b.id = f.board_id
              LEFT JOIN site bs ON bs.id = b.site_id
              LEFT JOIN sensor e ON e.watches_cabinet_id = c.id
              LEFT JOIN sensor_status st ON st.sensor_id = e.id
             WHERE c.out_of_use_since IS NULL
            """;

    /** Uses one_open_alarm_per_cabinet_and_kind: its key is there exactly while the alarm is open. */
    private static final String OPEN_ALARMS = """
            SELECT a.id, a.kind, a.site_id, a.cabinet_id, a.live, a.since, a.eased_at, a.call_out_id,
                   a.acknowledged_at, p.name AS has_it
              FROM alarm a
              LEFT JOIN person p ON p.id = a.acknowledged_by
             WHERE a.open_key IS NOT NULL
            """;

    /** Uses outgoing_message_by_alarm and the alarms' open key. The newest message that really left, of each call-out that is still open. */
    private static final String LAST_TOLD = """
            SELECT m.call_out_id, m.created_at, p.name
              FROM outgoing_message m
              JOIN person p ON p.id = m.person_id
             WHERE m.call_out_id IS NOT NULL
               AND m.id IN (SELECT MAX(n.id) FROM outgoing_message n
                             WHERE n.alarm_id IN (SELECT a.id FROM alarm a WHERE a.open_key IS NOT NULL) AND n.purpose = 'ALARM' AND n.state = 'SENT'
                             GROUP BY n.call_out_id)
            """;

    /** Uses alarm_by_unattended. */
    private static final String UNATTENDED = "SELECT site_id FROM alarm WHERE unattended IS NOT NULL";

    /** Looks for one cabinet a site, by cabinet_name_is_unique_at_its_site. */
    private static final String ZONES = """
            SELECT DISTINCT s.zone FROM site s
             WHERE (? OR s.id = ANY (?))
               AND EXISTS (SELECT 1 FROM cabinet c WHERE c.site_id = s.id AND c.out_of_use_since IS NULL)
            """;

    /** Uses the alarms' open key and alarm_by_unattended. */
    private static final String ALARMS_TO_SEE = """
            SELECT (SELECT COUNT(*) FROM alarm a WHERE a.open_key IS NOT NULL AND (? OR a.site_id = ANY (?)))
                 + (SELECT COUNT(*) FROM alarm a WHERE a.unattended IS NOT NULL AND (? OR a.site_id = ANY (?))) AS to_see
            """;

    private static final String LAST_LISTENED = "SELECT last_listened_at FROM listening WHERE id = 1";

    /** Boards and cabinets in the order in which a person would read them out: way 2 before way 10. */
    private static final Comparator<CabinetRow> READING_ORDER = Comparator.comparing(CabinetRow::site)
            .thenComparing(row -> row.circuit().map(CircuitRow::board).orElse("\uffff"))
            .thenComparing(row -> row.circuit().map(circuit -> wayNumber(circuit.way())).orElse(0))
            .thenComparing(row -> row.circuit().map(CircuitRow::way).orElse(""))
            .thenComparing(CabinetRow::cabinet);

    private final Reads reads;
    private final DutyReading duties;
    private final CurrentCaller current;
    private final Clock clock;

    SupplyReading(Reads reads, DutyReading duties, CurrentCaller current, Clock clock) {
        this.reads = reads;
        this.duties = duties;
        this.clock = clock;
        this.current = current;
    }

    /**
     * Everything that the page shows, in the order in which it is read out.
     *
     * @param unattendedAt for each alarm that is over without anybody having said what was done, its site
     * @param duty         who is on around now, by site
     */
    record Snapshot(List<CabinetRow> cabinets, List<OpenAlarm> alarms, Map<Long, Told> toldByCallOut, Optional<Instant> lastListenedAt,
            List<Long> unattendedAt, Map<Long, SiteDuty> duty) {

        /** How many alarms need somebody: those that are open, and those that are over with nobody having said what was done. */
        int alarmsToSee() {
            return alarms.size() + unattendedAt.size();
        }

        /** What the top of a page says of it. */
        Outline outline() {
            return new Outline(cabinets.stream().map(CabinetRow::zone).collect(Collectors.toSet()), alarmsToSee());
        }

        /** Without the cabinets and the alarms of sites that {@code reach} does not see. */
        Snapshot seenBy(Reach reach) {
            return new Snapshot(cabinets.stream().filter(row -> reach.sees(row.siteId())).toList(),
                    alarms.stream().filter(alarm -> reach.sees(alarm.siteId())).toList(), toldByCallOut, lastListenedAt,
                    unattendedAt.stream().filter(reach::sees).toList(), duty);
        }
    }

    /** What the top of every page says: the zones in which cabinets stand, and how many alarms need somebody. */
    record Outline(Set<ZoneId> zones, int alarmsToSee) {
    }

    record CabinetRow(long siteId, String site, ZoneId zone, String intake, long cabinetId, String code, String cabinet, String content,
            Optional<CircuitRow> circuit, Optional<SensorRow> sensor) {
    }

    record CircuitRow(long boardId, String board, String boardPlace, String way, String device, String cable, int fuseAmpere) {
    }

    record SensorRow(SensorState state, Optional<Double> inside, Optional<Double> outside, Optional<Double> content) {
    }

    /** {@code cabinetId} is empty for the whole site; {@code siteId} 0 is the installation itself. */
    record OpenAlarm(long id, AlarmKind kind, long siteId, OptionalLong cabinetId, boolean live, Instant since, Optional<Instant> eased,
            OptionalLong callOutId, Optional<Told> hasIt) {
    }

    /** A person and since when they have it, or when they were told. */
    record Told(String person, Instant at) {
    }

    /** The same as the {@link Snapshot#outline()} of what the caller of this request sees, at a cost that does not follow the cabinets. */
    Outline outline() {
        Reach reach = current.get().reach();
        return new Outline(Set.copyOf(reads.list(ZONES, row -> ZoneId.of(row.text("zone")), reach)),
                reads.first(ALARMS_TO_SEE, row -> (int) row.number("to_see"), reach, reach).orElseThrow());
    }

    /** As much as the caller of this request sees. */
    Snapshot now() {
        return everything().seenBy(current.get().reach());
    }

    /**
     * Every site's, whoever asks: what a line means also depends on its neighbours at the same board, which may be another site's. Show
     * nothing of it that the reader does not see.
     */
    Snapshot everything() {
        List<CabinetRow> cabinets = reads.list(CABINETS_WITH_ALL_THAT_FEEDS_THEM, SupplyReading::cabinet);
        List<OpenAlarm> alarms = reads.list(OPEN_ALARMS, SupplyReading::alarm);
        Map<Long, Told> told = reads
                .list(LAST_TOLD, row -> Map.entry(row.number("call_out_id"), new Told(row.text("name"), row.instant("created_at"))))
                .stream().collect(Collectors.toMap(Map.Entry::getKey, Map.Entry::getValue));
        Optional<Instant> listened = reads.first(LAST_LISTENED, row -> row.optionalInstant("last_listened_at")).flatMap(at -> at);
        return new Snapshot(cabinets.stream().sorted(READING_ORDER).toList(), alarms, told, listened,
                reads.list(UNATTENDED, row -> row.number("site_id")), duties.everywhere(clock.instant()));
    }

    private static CabinetRow cabinet(Row row) throws SQLException {
        Optional<CircuitRow> circuit = row.has("board_id") ? Optional.of(circuit(row)) : Optional.empty();
        Optional<SensorRow> sensor = row.has("sensor_id") ? Optional.of(sensor(row)) : Optional.empty();
        return new CabinetRow(row.number("site_id"), row.text("site"), ZoneId.of(row.text("zone")), row.text("intake"),
                row.number("cabinet_id"), row.text("code"), row.text("cabinet"), row.text("content"), circuit, sensor);
    }

    private static CircuitRow circuit(Row row) throws SQLException {
        // A board of another site is said to be there: whoever goes to this site would look for it in vain.
        boolean isElsewhere = row.number("board_site_id") != row.number("site_id");
        String place = isElsewhere ? row.text("board_site") + ", " + row.text("board_place") : row.text("board_place");
        return new CircuitRow(row.number("board_id"), row.text("board"), place, row.text("way"), device(row),
                row.text("cable"), (int) row.number("fuse_a"));
    }

    static String device(Row row) throws SQLException {
        OptionalLong residual = row.optionalNumber("residual_ma");
        return DeviceMark.of(row.text("device_curve"), (int) row.number("device_rating_a"),
                residual.isPresent() ? Optional.of((int) residual.getAsLong()) : Optional.empty());
    }

    private static SensorRow sensor(Row row) throws SQLException {
        SensorState state = new SensorState(Reading.valueOf(row.text("reading")), row.optionalInstant("observed_at"),
                row.optionalNumber("seq"), row.optionalInstant("silent_after"), row.optionalInstant("suspected_at"),
                row.optionalInstant("confirm_at"), row.optionalInstant("lost_since"), row.optionalInstant("quiet_since"), row.is("silent"),
                row.is("link_down"), row.is("clock_odd"), (int) row.number("dips"), row.optionalInstant("dips_since"));
        return new SensorRow(state, row.optionalDecimal("inside_c"), row.optionalDecimal("outside_c"), row.optionalDecimal("content_c"));
    }

    private static OpenAlarm alarm(Row row) throws SQLException {
        Optional<Told> hasIt = row.has("acknowledged_at") && row.has("has_it")
                ? Optional.of(new Told(row.text("has_it"), row.instant("acknowledged_at"))) : Optional.empty();
        return new OpenAlarm(row.number("id"), AlarmKind.valueOf(row.text("kind")), row.number("site_id"), row.optionalNumber("cabinet_id"),
                row.is("live"), row.instant("since"), row.optionalInstant("eased_at"), row.optionalNumber("call_out_id"), hasIt);
    }

    private static int wayNumber(String way) {
        String digits = way.replaceAll("^\\D*(\\d{0,6}).*$", "$1");
        return digits.isEmpty() ? Integer.MAX_VALUE : Integer.parseInt(digits);
    }
}
