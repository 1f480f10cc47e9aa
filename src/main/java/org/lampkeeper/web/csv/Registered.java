package org.lampkeeper.web.csv;

import java.sql.SQLException;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.Set;

import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;

/**
 * What is registered, as far as a caller may see it, and what is taken elsewhere. Some queries, each of them one moment: what changes
 * between them is noticed when a change names its version.
 */
record Registered(Map<String, Site> sites, Map<BoardName, Board> boards, Map<String, Cabinet> cabinets, Map<String, Sensor> sensors,
        Set<String> siteNames, Set<String> codes, Set<String> deviceIds, Set<String> baseNames, Map<String, String> usedWays) {

    private static final String SITES = """
            SELECT s.id, s.name, s.address, s.zone, s.access, s.intake, s.electrician_name, s.electrician_phone, s.version FROM site s ORDER BY s.id""";

    private static final String BOARDS = """
            SELECT b.id, b.site_id, s.name AS site, b.name, b.place, b.access, b.version
              FROM board b JOIN site s ON s.id = b.site_id ORDER BY b.id""";

    private static final String CABINETS = """
            SELECT c.id, c.site_id, s.name AS site, c.code, c.name, c.place, c.lamp_place, c.content, c.out_of_use_since, c.version,
                   k.limits_asked, k.lowest_c, k.highest_c, k.version AS content_version,
                   w.board_id, w.way, w.device_kind, w.device_curve, w.device_rating_a, w.residual_ma, w.cable, w.fuse_a, w.fused_unit_place,
                   w.version AS circuit_version, b.name AS board, b.site_id AS board_site_id, t.name AS board_site
              FROM cabinet c
              JOIN site s ON s.id = c.site_id
              JOIN content k ON k.cabinet_id = c.id
              LEFT JOIN circuit w ON w.cabinet_id = c.id
              LEFT JOIN board b ON b.id = w.board_id
              LEFT JOIN site t ON t.id = b.site_id
             ORDER BY c.id""";

    private static final String PARTS = "SELECT p.cabinet_id, p.name, p.good_until FROM content_part p ORDER BY p.cabinet_id, p.position";

    private static final String SENSORS = """
            SELECT s.id, s.device_id, s.base_name, s.retired_at, s.version, c.code, c.site_id
              FROM sensor s JOIN cabinet c ON c.id = s.cabinet_id ORDER BY s.id""";

    record Site(long id, int version, NewSite facts) {
    }

    record BoardName(String site, String board) {
    }

    record Board(long id, long siteId, int version, BoardName name, String place, String access) {
    }

    /** {@code boardId} and {@code circuit}: of one in use. */
    record Cabinet(long id, long siteId, String site, CabinetFacts facts, int version, NewContent content, int contentVersion,
            BoardName board,
            NewCircuit circuit, int circuitVersion) {
    }

    record Sensor(long id, String deviceId, String baseName, String cabinetCode, int version) {
    }

    static Registered read(Reads reads, Reach reach) {
        Map<String, Site> sites = new LinkedHashMap<>();
        Set<String> siteNames = new HashSet<>();
        reads.list(SITES, Registered::site).forEach(site -> {
            siteNames.add(site.facts().name());
            if (reach.sees(site.id())) {
                sites.put(site.facts().name(), site);
            }
        });
        Map<BoardName, Board> boards = new LinkedHashMap<>();
        reads.list(BOARDS, Registered::board).stream().filter(board -> reach.sees(board.siteId()))
                .forEach(board -> boards.put(board.name(), board));
        Map<Long, List<DatedPart>> parts = new HashMap<>();
        reads.list(PARTS, row -> Map.entry(row.number("cabinet_id"), new DatedPart(row.text("name"),
                LocalDate.parse(row.text("good_until")))))
                .forEach(part -> parts.computeIfAbsent(part.getKey(), id -> new ArrayList<>()).add(part.getValue()));
        Map<String, Cabinet> cabinets = new LinkedHashMap<>();
        Set<String> codes = new HashSet<>();
        Map<String, String> usedWays = new HashMap<>();
        reads.list(CABINETS, row -> cabinet(row, parts)).forEach(found -> {
            codes.add(found.code());
            found.inUse().ifPresent(cabinet -> {
                usedWays.put(way(cabinet.board(), cabinet.circuit().way()), found.code());
                if (reach.sees(cabinet.siteId())) {
                    cabinets.put(found.code(), cabinet);
                }
            });
        });
        Map<String, Sensor> sensors = new LinkedHashMap<>();
        Set<String> deviceIds = new HashSet<>();
        Set<String> baseNames = new HashSet<>();
        reads.list(SENSORS, Registered::sensor).forEach(found -> {
            deviceIds.add(found.sensor().deviceId());
            baseNames.add(found.sensor().baseName());
            if (!found.isRetired() && reach.may(Right.SEE, found.siteId())) {
                sensors.put(found.sensor().deviceId(), found.sensor());
            }
        });
        return new Registered(sites, boards, cabinets, sensors, siteNames, codes, deviceIds, baseNames, usedWays);
    }

    static String way(BoardName board, String way) {
        return board.site() + "\n" + board.board() + "\n" + way;
    }

    private static Site site(Row row) throws SQLException {
        Optional<String> phone = row.optionalText("electrician_phone");
        return new Site(row.number("id"), (int) row.number("version"), new NewSite(row.text("name"), row.text("address"),
                java.time.ZoneId.of(row.text("zone")), row.text("access"), row.text("intake"),
                row.optionalText("electrician_name").map(name -> new Electrician(name, phone))));
    }

    private static Board board(Row row) throws SQLException {
        return new Board(row.number("id"), row.number("site_id"), (int) row.number("version"),
                new BoardName(row.text("site"), row.text("name")), row.text("place"), row.text("access"));
    }

    /** {@code inUse}: empty for one out of use, whose code stays taken. */
    private record Found(String code, Optional<Cabinet> inUse) {
    }

    private static Found cabinet(Row row, Map<Long, List<DatedPart>> parts) throws SQLException {
        String code = row.text("code");
        if (row.has("out_of_use_since") || !row.has("board_id")) {
            return new Found(code, Optional.empty());
        }
        NewContent content = new NewContent(row.text("content"), row.is("limits_asked"), row.optionalDecimal("lowest_c").map(Celsius::new),
                row.optionalDecimal("highest_c").map(Celsius::new), parts.getOrDefault(row.number("id"), List.of()));
        OptionalLong residual = row.optionalNumber("residual_ma");
        NewCircuit circuit = new NewCircuit(row.number("board_id"), row.text("way"), DeviceKind.valueOf(row.text("device_kind")),
                Curve.valueOf(row.text("device_curve")), (int) row.number("device_rating_a"),
                residual.isPresent() ? OptionalInt.of((int) residual.getAsLong()) : OptionalInt.empty(), row.text("cable"),
                (int) row.number("fuse_a"), row.text("fused_unit_place"));
        return new Found(code, Optional.of(new Cabinet(row.number("id"), row.number("site_id"), row.text("site"),
                new CabinetFacts(code, row.text("name"), row.text("place"), row.text("lamp_place")), (int) row.number("version"), content,
                (int) row.number("content_version"), new BoardName(row.text("board_site"), row.text("board")), circuit,
                (int) row.number("circuit_version"))));
    }

    private record FoundSensor(Sensor sensor, boolean isRetired, long siteId) {
    }

    private static FoundSensor sensor(Row row) throws SQLException {
        return new FoundSensor(new Sensor(row.number("id"), row.text("device_id"), row.text("base_name"), row.text("code"),
                (int) row.number("version")), row.has("retired_at"), row.number("site_id"));
    }
}
