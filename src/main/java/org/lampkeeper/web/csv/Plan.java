package org.lampkeeper.web.csv;

import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;

import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.TimeZones;
import org.lampkeeper.web.csv.CsvFile.Row;
import org.lampkeeper.web.csv.CsvFile.Table;
import org.lampkeeper.web.csv.Registered.Board;
import org.lampkeeper.web.csv.Registered.BoardName;
import org.lampkeeper.web.csv.Registered.Cabinet;
import org.lampkeeper.web.csv.Registered.Sensor;
import org.lampkeeper.web.csv.Registered.Site;

/**
 * What a file would do to the register, and everything that keeps it from doing so. Looks at no database: a thing that is registered is
 * known by its name (a site), its code (a cabinet) or its device id (a sensor), changed where the row says otherwise, and left where it
 * does not.
 */
final class Plan {

    // Ours: with so many, the file as such is wrong, and nobody reads on.
    private static final int MOST_WRONG = 1000;

    private final CsvKind kind;
    private final Registered register;
    private final Reach reach;
    private final List<Wrong> wrong;
    private final List<Step> steps = new ArrayList<>();
    private final Map<String, Integer> rowByKey = new HashMap<>();
    private final Map<String, Integer> rowByName = new HashMap<>();
    private final Map<String, Integer> rowByWay = new HashMap<>();
    private final Map<BoardName, BoardRow> boardRows = new HashMap<>();
    private final Set<String> usedCabinets = new HashSet<>();
    private final Map<String, String> sensorByCabinet = new HashMap<>();
    private int added;
    private int changed;
    private int unchanged;

    private Plan(CsvKind kind, Registered register, Reach reach, List<Wrong> wrong) {
        this.kind = kind;
        this.register = register;
        this.reach = reach;
        this.wrong = new ArrayList<>(wrong);
    }

    /** What is to be done, when nothing is wrong. Counts are of rows. */
    record Outcome(int rows, int added, int changed, int unchanged, List<Step> steps, List<Wrong> wrong) {
    }

    /** How a board was described the first time, and where. */
    private record BoardRow(int row, String place, String access) {
    }

    static Outcome of(CsvKind kind, Table table, Registered register, Reach reach) {
        Plan plan = new Plan(kind, register, reach, table.wrong());
        register.sensors().values().forEach(sensor -> plan.sensorByCabinet.put(sensor.cabinetCode(), sensor.deviceId()));
        for (Row row : table.rows()) {
            if (plan.wrong.size() >= MOST_WRONG) {
                plan.wrong.add(new Wrong(0, "", "More is wrong than is listed here; put this right first"));
                break;
            }
            switch (kind) {
                case SITES -> plan.site(row);
                case CABINETS -> plan.cabinet(row);
                case SENSORS -> plan.sensor(row);
            }
        }
        plan.wrong.sort(Comparator.comparingInt(Wrong::row));
        return new Outcome(table.rows().size(), plan.added, plan.changed, plan.unchanged,
                plan.wrong.isEmpty() ? List.copyOf(plan.steps) : List.of(), List.copyOf(plan.wrong));
    }

    /** The column that holds a field of the register; see {@link Problem#field()}. */
    static String column(CsvKind kind, String field) {
        return switch (field) {
            case "electrician.name" -> "electricianName";
            case "electrician.phone" -> "electricianPhone";
            case "siteId" -> "site";
            case "cabinetId" -> "cabinet";
            case "content.kind", "kind" -> "content";
            case "content.lowest", "lowest" -> "lowestCelsius";
            case "content.highest", "highest" -> "highestCelsius";
            case "circuit.boardId", "boardId" -> "board";
            default -> {
                String last = field.startsWith("content.parts") || field.startsWith("parts") ? "parts"
                        : field.substring(field.lastIndexOf('.') + 1);
                yield kind.columns().contains(last) ? last : "";
            }
        };
    }

    private void site(Row row) {
        int before = wrong.size();
        String name = row.text("name");
        isFirst(rowByKey, name, row, "name");
        Optional<Site> stored = Optional.ofNullable(register.sites().get(name));
        Optional<Electrician> electrician = electrician(row, stored);
        NewSite entered = new NewSite(name, row.text("address"), zone(row), row.text("access"), row.text("intake"), electrician);
        add(row, entered.problems());
        if (stored.isEmpty() && register.siteNames().contains(name)) {
            say(row, "name", "is registered already, where you may not see it");
        } else if (stored.isEmpty() && !reach.mayEverywhere(Right.EDIT_SITE)) {
            say(row, "name", "is not registered, and you may not register sites; that takes the right to change every site");
        } else if (stored.isPresent() && !stored.get().facts().equals(entered) && !reach.may(Right.EDIT_SITE, stored.get().id())) {
            say(row, "name", "is a site that you may not change");
        }
        if (wrong.size() > before) {
            return;
        }
        if (stored.isEmpty()) {
            added++;
            steps.add(new Step.AddSite(row.number(), entered));
        } else if (stored.get().facts().equals(entered)) {
            unchanged++;
        } else {
            changed++;
            steps.add(new Step.ChangeSite(row.number(), stored.get().id(), stored.get().version(), entered));
        }
    }

    private Optional<Electrician> electrician(Row row, Optional<Site> stored) {
        Optional<Electrician> known = stored.flatMap(site -> site.facts().electrician());
        Optional<String> name = row.cell("electricianName").or(() -> known.map(Electrician::name)).filter(text -> !text.isEmpty());
        Optional<String> phone = row.cell("electricianPhone").or(() -> known.flatMap(Electrician::phone)).filter(text -> !text.isEmpty());
        if (name.isEmpty() && phone.isPresent()) {
            say(row, "electricianName", "is empty, must name whose telephone number is given");
        }
        return name.map(text -> new Electrician(text, phone));
    }

    private ZoneId zone(Row row) {
        String name = row.text("zone").strip();
        return TimeZones.named(name).orElseGet(() -> {
            say(row, "zone", quoted(name) + ", must be an IANA time zone like Europe/London");
            return ZoneOffset.UTC;
        });
    }

    private void cabinet(Row row) {
        int before = wrong.size();
        String code = row.text("code").strip();
        isFirst(rowByKey, code, row, "code");
        String siteName = row.text("site");
        Optional<Site> site = Optional.ofNullable(register.sites().get(siteName));
        if (site.isEmpty()) {
            say(row, "site", quoted(siteName) + ", no site of this name is registered; import sites first");
        }
        Optional<Cabinet> stored = Optional.ofNullable(register.cabinets().get(code));
        if (stored.isEmpty() && register.codes().contains(code)) {
            say(row, "code", "was given to a cabinet that is out of use or that you may not see, choose another");
        } else if (stored.isPresent() && site.isPresent() && stored.get().siteId() != site.get().id()) {
            say(row, "site", quoted(siteName) + ", but this cabinet stands at " + stored.get().site() + ": a cabinet does not move");
        }
        isFirst(rowByName, siteName + "\n" + row.text("name"), row, "name");
        BoardName boardName = new BoardName(row.cell("boardSite").filter(text -> !text.isEmpty()).orElse(siteName), row.text("board"));
        CabinetFacts facts = new CabinetFacts(code, row.text("name"), row.text("place"), row.text("lampPlace"));
        NewContent content = content(row, stored.map(Cabinet::content));
        NewCircuit circuit = circuit(row, boardId(boardName, stored));
        add(row, facts.problems());
        add(row, content.problems());
        add(row, circuit.problems());
        isFirst(rowByWay, Registered.way(boardName, circuit.way()), row, "way");
        Optional<Step> board = board(row, boardName, stored);
        boolean isSame = stored.filter(it -> it.facts().equals(facts) && it.content().equals(content) && it.circuit().equals(circuit)
                && it.board().equals(boardName)).isPresent() && board.isEmpty();
        if (!isSame && site.isPresent() && !reach.may(Right.EDIT_PLANT, site.get().id())) {
            say(row, "site", quoted(siteName) + ", a site at which you may not change cabinets");
        }
        if (wrong.size() > before) {
            return;
        }
        board.ifPresent(steps::add);
        if (isSame) {
            unchanged++;
        } else if (stored.isEmpty()) {
            added++;
            steps.add(new Step.AddCabinet(row.number(), boardName, new NewCabinet(site.orElseThrow().id(), code, facts.name(),
                    facts.place(),
                    content, facts.lampPlace(), circuit)));
        } else {
            changed++;
            change(row, stored.get(), facts, content, circuit, boardName);
        }
    }

    private void change(Row row, Cabinet stored, CabinetFacts facts, NewContent content, NewCircuit circuit, BoardName boardName) {
        if (!stored.facts().equals(facts)) {
            steps.add(new Step.ChangeCabinet(row.number(), stored.id(), stored.version(), facts));
        }
        if (!stored.content().equals(content)) {
            steps.add(new Step.ChangeContent(row.number(), stored.id(), stored.contentVersion(), content));
        }
        if (!stored.circuit().equals(circuit) || !stored.board().equals(boardName)) {
            steps.add(new Step.ChangeCircuit(row.number(), stored.id(), stored.circuitVersion(), boardName, circuit));
        }
    }

    /** 0 for a board that an earlier step makes. */
    private long boardId(BoardName name, Optional<Cabinet> stored) {
        return Optional.ofNullable(register.boards().get(name)).map(Board::id)
                .or(() -> stored.filter(it -> it.board().equals(name)).map(it -> it.circuit().boardId())).orElse(0L);
    }

    /** What the row does to the board, if anything. Every row of a board describes it alike, or leaves it undescribed. */
    private Optional<Step> board(Row row, BoardName name, Optional<Cabinet> cabinet) {
        Optional<Board> stored = Optional.ofNullable(register.boards().get(name));
        Optional<String> place = row.cell("boardPlace").filter(text -> !text.isEmpty());
        Optional<String> access = row.cell("boardAccess").filter(text -> !text.isEmpty());
        BoardRow first = boardRows.get(name);
        if (first != null) {
            differs(row, "boardPlace", place, first.place(), first.row());
            differs(row, "boardAccess", access, first.access(), first.row());
            return Optional.empty();
        }
        if (stored.isEmpty() && cabinet.filter(it -> it.board().equals(name)).isPresent()) {
            // It feeds this cabinet already, from a site that the caller does not see: it stays as it is.
            return Optional.empty();
        }
        Optional<Site> site = Optional.ofNullable(register.sites().get(name.site()));
        if (site.isEmpty()) {
            if (row.cell("boardSite").filter(text -> !text.isEmpty()).isPresent()) {
                say(row, "boardSite", quoted(name.site()) + ", no site of this name is registered");
            }
            return Optional.empty();
        }
        NewBoard entered = new NewBoard(site.get().id(), name.board(), place.or(() -> stored.map(Board::place)).orElse(""),
                access.or(() -> stored.map(Board::access)).orElse(""));
        boardRows.put(name, new BoardRow(row.number(), entered.place(), entered.access()));
        if (stored.isPresent() && stored.get().place().equals(entered.place()) && stored.get().access().equals(entered.access())) {
            return Optional.empty();
        }
        entered.problems().forEach(problem -> say(row, switch (problem.field()) {
            case "place" -> "boardPlace";
            case "access" -> "boardAccess";
            default -> "board";
        }, problem.text() + (stored.isEmpty() ? "; this board is not registered yet" : "")));
        if (!reach.may(Right.EDIT_PLANT, site.get().id())) {
            say(row, "board", quoted(name.board()) + " at " + name.site() + ", where you may not register or change boards");
        }
        return Optional.of(stored.<Step>map(board -> new Step.ChangeBoard(row.number(), board.id(), board.version(), entered))
                .orElseGet(() -> new Step.AddBoard(row.number(), name, entered)));
    }

    private void differs(Row row, String column, Optional<String> text, String before, int rowBefore) {
        if (text.filter(it -> !it.equals(before)).isPresent()) {
            say(row, column, "differs from what row " + rowBefore + " says of the same board, must be the same or empty");
        }
    }

    private NewContent content(Row row, Optional<NewContent> stored) {
        Optional<Celsius> lowest = celsius(row, "lowestCelsius", stored.flatMap(NewContent::lowest));
        Optional<Celsius> highest = celsius(row, "highestCelsius", stored.flatMap(NewContent::highest));
        Optional<Boolean> asked = row.cell("limitsAsked").filter(text -> !text.isBlank()).flatMap(text -> yesOrNo(row, text));
        Optional<List<DatedPart>> parts = row.cell("parts").map(text -> parts(row, text));
        boolean wasAsked = stored.map(NewContent::limitsAsked).orElse(false);
        return new NewContent(row.text("content"), asked.orElse(lowest.isPresent() || highest.isPresent() || row.cell("limitsAsked")
                .isEmpty() && wasAsked),
                lowest, highest, parts.or(() -> stored.map(NewContent::parts)).orElse(List.of()));
    }

    private Optional<Boolean> yesOrNo(Row row, String text) {
        return switch (text.strip().toLowerCase(Locale.ROOT)) {
            case "yes", "true", "1" -> Optional.of(true);
            case "no", "false", "0" -> Optional.of(false);
            default -> {
                say(row, "limitsAsked", quoted(text) + ", must be yes or no");
                yield Optional.empty();
            }
        };
    }

    private List<DatedPart> parts(Row row, String text) {
        return Cells.parts(text).orElseGet(() -> {
            say(row, "parts", quoted(text) + ", must be like 2027-03-31 pads; 2028-01-31 battery");
            return List.of();
        });
    }

    private Optional<Celsius> celsius(Row row, String column, Optional<Celsius> stored) {
        Optional<String> cell = row.cell(column);
        if (cell.isEmpty()) {
            return stored;
        }
        if (cell.get().isBlank()) {
            return Optional.empty();
        }
        Optional<Double> value = Cells.decimal(cell.get());
        if (value.isEmpty() || value.get() < -200 || value.get() > 1000) {
            say(row, column, quoted(cell.get()) + ", must be a temperature in °C like 2.5");
            return Optional.empty();
        }
        return value.map(Celsius::new);
    }

    private NewCircuit circuit(Row row, long boardId) {
        DeviceKind device = word(row, "device", DeviceKind.values());
        Curve curve = word(row, "curve", Curve.values());
        int rating = whole(row, "ratingAmpere");
        Optional<String> residual = row.cell("residualMilliampere").filter(text -> !text.isBlank());
        OptionalInt milliampere = residual.isPresent() ? OptionalInt.of(whole(row, "residualMilliampere")) : OptionalInt.empty();
        return new NewCircuit(boardId, row.text("way"), device, curve, rating, milliampere, row.text("cable"), whole(row, "fuseAmpere"),
                row.text("fusedUnitPlace"));
    }

    /** What stands in the place of a number that is not one is never stored: something is wrong then. */
    private int whole(Row row, String column) {
        Optional<Integer> value = Cells.whole(row.text(column));
        if (value.isEmpty()) {
            say(row, column, quoted(row.text(column)) + ", must be a whole number");
        }
        return value.orElse(1);
    }

    private <E extends Enum<E>> E word(Row row, String column, E[] words) {
        String text = row.text(column).strip();
        return Arrays.stream(words).filter(word -> word.name().equalsIgnoreCase(text)).findFirst().orElseGet(() -> {
            say(row, column, quoted(text) + ", must be " + String.join(" or ", Arrays.stream(words).map(Enum::name).toList()));
            return words[0];
        });
    }

    private void sensor(Row row) {
        int before = wrong.size();
        String deviceId = row.text("deviceId").strip();
        String baseName = row.text("baseName").strip();
        String code = row.text("cabinet").strip();
        isFirst(rowByKey, deviceId, row, "deviceId");
        Optional<Cabinet> cabinet = Optional.ofNullable(register.cabinets().get(code));
        Optional<Sensor> stored = Optional.ofNullable(register.sensors().get(deviceId));
        if (cabinet.isEmpty()) {
            say(row, "cabinet", quoted(code) + ", no cabinet of this code is in use; import cabinets first");
        }
        NewSensor entered = new NewSensor(cabinet.map(Cabinet::id).orElse(0L), deviceId, baseName);
        add(row, entered.problems());
        if (stored.isPresent()) {
            if (!stored.get().cabinetCode().equals(code)) {
                say(row, "cabinet", quoted(code) + ", but this sensor watches cabinet " + stored.get().cabinetCode()
                        + ": retire it there and register another");
            }
            if (!stored.get().baseName().equals(baseName)) {
                say(row, "baseName", "differs from the registered one, " + stored.get().baseName() + ", which stays as long as the sensor");
            }
        } else {
            newSensor(row, deviceId, baseName, code, cabinet);
        }
        if (wrong.size() > before) {
            return;
        }
        if (stored.isPresent()) {
            unchanged++;
        } else {
            added++;
            steps.add(new Step.AddSensor(row.number(), entered));
        }
    }

    private void newSensor(Row row, String deviceId, String baseName, String code, Optional<Cabinet> cabinet) {
        if (register.deviceIds().contains(deviceId)) {
            say(row, "deviceId", "is or was registered already, choose another");
        }
        if (register.baseNames().contains(baseName)) {
            say(row, "baseName", "is or was registered already, choose another");
        }
        isFirst(rowByName, baseName, row, "baseName");
        String watching = sensorByCabinet.get(code);
        if (cabinet.isPresent() && watching != null) {
            say(row, "cabinet", quoted(code) + ", is watched by sensor " + watching + " already: retire that one first");
        } else if (!usedCabinets.add(code)) {
            say(row, "cabinet", quoted(code) + ", is watched by another sensor of this file: one sensor a cabinet");
        }
        if (cabinet.isPresent() && !reach.may(Right.EDIT_PLANT, cabinet.get().siteId())) {
            say(row, "cabinet", quoted(code) + ", at a site where you may not register sensors");
        }
    }

    private void isFirst(Map<String, Integer> rows, String key, Row row, String column) {
        Integer first = rows.putIfAbsent(key, row.number());
        if (first != null) {
            say(row, column, "stands in row " + first + " already, must stand in one row only");
        }
    }

    private void add(Row row, List<Problem> problems) {
        problems.forEach(problem -> {
            String column = column(kind, problem.field());
            boolean isSaid = wrong.stream().skip(Math.max(0, wrong.size() - kind.columns().size() - 4L))
                    .anyMatch(it -> it.row() == row.number() && it.column().equals(column));
            if (!isSaid) {
                say(row, column, problem.text());
            }
        });
    }

    private void say(Row row, String column, String text) {
        wrong.add(new Wrong(row.number(), column, text));
    }

    private static String quoted(String text) {
        return "\"" + CsvFile.shortened(text) + "\"";
    }
}
