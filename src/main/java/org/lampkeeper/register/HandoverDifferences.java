package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.function.BiFunction;
import java.util.stream.Stream;

import org.lampkeeper.electrical.Curve;

/**
 * Where a signed record and the register say different things about a cabinet, group by group, and what would make them say the same. It
 * changes nothing.
 */
public final class HandoverDifferences {

    /** What is taken into the register together. */
    public enum Group {
        PLACE("Place"),
        BOARD_AND_WAY("Board and way"),
        DEVICE("Protective device"),
        CABLE("Cable"),
        FUSE("Fused connection unit");

        private final String words;

        Group(String words) {
            this.words = words;
        }

        public String words() {
            return words;
        }
    }

    /** @param written in the record @param registered in the register */
    public record Row(String label, String written, String registered) {

        boolean isSame() {
            return written.equals(registered);
        }
    }

    /** What the register would take: the one or the other. */
    public sealed interface Change {

        /** @param version that the cabinet has now */
        record OfCabinet(CabinetFacts facts, int version) implements Change {
        }

        /** @param version that the circuit has now */
        record OfCircuit(NewCircuit circuit, int version) implements Change {
        }

        int version();
    }

    /**
     * @param rows      what is different; at least one
     * @param obstacles why the register cannot take it as it is, and what to do first; empty where it can
     */
    public record Difference(Group group, List<Row> rows, List<String> obstacles, Change change) {

        public Difference {
            rows = List.copyOf(rows);
            obstacles = List.copyOf(obstacles);
        }
    }

    private HandoverDifferences() {
    }

    /**
     * @param boards that may feed it: those of its site, and the one that does now
     * @param feeds  the name of the other cabinet that a way of a board feeds in the register, if one does
     * @return in the order of the groups; what the record does not say is no difference
     */
    public static List<Difference> of(HandoverValues values, CabinetSheet cabinet, List<BoardSheet> boards, BiFunction<BoardSheet, String, Optional<String>> feeds) {
        return Stream.of(place(values, cabinet), boardAndWay(values, cabinet, boards, feeds), device(values, cabinet), cable(values, cabinet), fuse(values, cabinet))
                .flatMap(Optional::stream).toList();
    }

    private static Optional<Difference> place(HandoverValues values, CabinetSheet cabinet) {
        String place = values.text(HandoverField.POSITION).orElse(cabinet.place());
        String lampPlace = values.text(HandoverField.LAMP_PLACE).orElse(cabinet.lampPlace());
        CabinetFacts facts = new CabinetFacts(cabinet.code(), cabinet.name(), place, lampPlace);
        return difference(Group.PLACE, List.of(new Row(HandoverField.POSITION.label(), place, cabinet.place()),
                new Row(HandoverField.LAMP_PLACE.label(), lampPlace, cabinet.lampPlace())), texts(facts.problems()), new Change.OfCabinet(facts, cabinet.version()));
    }

    private static Optional<Difference> boardAndWay(HandoverValues values, CabinetSheet cabinet, List<BoardSheet> boards, BiFunction<BoardSheet, String, Optional<String>> feeds) {
        String named = values.text(HandoverField.BOARD).orElse(cabinet.board().name());
        String way = values.text(HandoverField.WAY).orElse(cabinet.circuit().way());
        // The one that feeds it now first: it may stand at another site, where a board of the same name is another.
        Optional<BoardSheet> board = Stream.concat(Stream.of(cabinet.board()), boards.stream()).filter(it -> isNamed(it, named)).findFirst();
        String written = board.map(BoardSheet::name).orElse(named);
        NewCircuit circuit = circuit(cabinet, board.orElse(cabinet.board()).id(), way, cabinet.circuit().device(), cabinet.circuit().curve(), cabinet.circuit().ratingAmpere(),
                cabinet.circuit().residualMilliampere(), cabinet.circuit().cable(), cabinet.circuit().fuseAmpere());
        List<String> obstacles = new ArrayList<>(texts(circuit.problems()));
        if (board.isEmpty()) {
            obstacles.add("no board of this site is registered as “" + named + "”: register it, or correct its name, first");
        }
        board.flatMap(it -> feeds.apply(it, way).map(other -> "way " + way + " of " + it.name() + " feeds " + other + " in the register: put right which of the two it feeds first"))
                .ifPresent(obstacles::add);
        return difference(Group.BOARD_AND_WAY, List.of(new Row(HandoverField.BOARD.label(), written, cabinet.board().name()),
                new Row(HandoverField.WAY.label(), way, cabinet.circuit().way())), obstacles, new Change.OfCircuit(circuit, cabinet.circuit().version()));
    }

    private static boolean isNamed(BoardSheet board, String named) {
        return board.name().strip().toLowerCase(Locale.ROOT).equals(named.strip().toLowerCase(Locale.ROOT));
    }

    private static Optional<Difference> device(HandoverValues values, CabinetSheet cabinet) {
        CircuitSheet now = cabinet.circuit();
        DeviceKind device = values.text(HandoverField.DEVICE).map(DeviceKind::valueOf).orElse(now.device());
        Curve curve = values.text(HandoverField.CURVE).map(Curve::valueOf).orElse(now.curve());
        int rating = values.has(HandoverField.RATING) ? (int) values.number(HandoverField.RATING) : now.ratingAmpere();
        OptionalInt residual = device == DeviceKind.MCB || values.residual().isPresent() ? values.residual() : now.residualMilliampere();
        NewCircuit circuit = circuit(cabinet, cabinet.board().id(), now.way(), device, curve, rating, residual, now.cable(), now.fuseAmpere());
        return difference(Group.DEVICE, List.of(new Row(HandoverField.DEVICE.label(), device.name(), now.device().name()), new Row(HandoverField.CURVE.label(), curve.name(), now.curve().name()),
                new Row(HandoverField.RATING.label(), rating + " A", now.ratingAmpere() + " A"),
                new Row(HandoverField.RESIDUAL.label(), milliampere(residual), milliampere(now.residualMilliampere()))), texts(circuit.problems()),
                new Change.OfCircuit(circuit, now.version()));
    }

    private static String figure(double value) {
        return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
    }

    private static String milliampere(OptionalInt value) {
        return value.isPresent() ? value.getAsInt() + " mA" : "none";
    }

    /** The register has one line of text; the record has its parts, which make one. */
    private static Optional<Difference> cable(HandoverValues values, CabinetSheet cabinet) {
        CircuitSheet now = cabinet.circuit();
        List<String> parts = new ArrayList<>();
        if (values.has(HandoverField.CORES)) {
            parts.add((int) values.number(HandoverField.CORES) + "-core");
        }
        if (values.has(HandoverField.SIZE)) {
            parts.add(figure(values.number(HandoverField.SIZE)) + " mm²");
        }
        values.text(HandoverField.CABLE).filter(kind -> !kind.equals("OTHER")).ifPresent(kind -> parts.add(kind.equals("SWA") ? "SWA" : "sheathed"));
        String length = values.has(HandoverField.LENGTH) ? ", " + figure(values.number(HandoverField.LENGTH)) + " m" : "";
        String written = parts.isEmpty() ? now.cable() : String.join(" ", parts) + length;
        NewCircuit circuit = circuit(cabinet, cabinet.board().id(), now.way(), now.device(), now.curve(), now.ratingAmpere(), now.residualMilliampere(), written, now.fuseAmpere());
        return difference(Group.CABLE, List.of(new Row(HandoverField.CABLE.label(), written, now.cable())), texts(circuit.problems()), new Change.OfCircuit(circuit, now.version()));
    }

    private static Optional<Difference> fuse(HandoverValues values, CabinetSheet cabinet) {
        CircuitSheet now = cabinet.circuit();
        int fuse = values.has(HandoverField.FUSE) ? (int) values.number(HandoverField.FUSE) : now.fuseAmpere();
        NewCircuit circuit = circuit(cabinet, cabinet.board().id(), now.way(), now.device(), now.curve(), now.ratingAmpere(), now.residualMilliampere(), now.cable(), fuse);
        return difference(Group.FUSE, List.of(new Row(HandoverField.FUSE.label(), fuse + " A", now.fuseAmpere() + " A")), texts(circuit.problems()),
                new Change.OfCircuit(circuit, now.version()));
    }

    private static NewCircuit circuit(CabinetSheet cabinet, long boardId, String way, DeviceKind device, Curve curve, int rating, OptionalInt residual, String cable, int fuse) {
        return new NewCircuit(boardId, way, device, curve, rating, residual, cable, fuse, cabinet.circuit().fusedUnitPlace());
    }

    private static List<String> texts(List<Problem> problems) {
        return problems.stream().map(Problem::text).toList();
    }

    private static Optional<Difference> difference(Group group, List<Row> rows, List<String> obstacles, Change change) {
        List<Row> different = rows.stream().filter(row -> !row.isSame()).toList();
        return different.isEmpty() ? Optional.empty() : Optional.of(new Difference(group, different, obstacles, change));
    }
}
