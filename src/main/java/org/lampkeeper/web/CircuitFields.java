package org.lampkeeper.web;

import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.web.Input.Choice;

/** The fields of a circuit, on their own page and within a new cabinet's: there {@code prefix} is {@code "circuit."}. */
final class CircuitFields {

    /** Where somebody acts on a circuit. Ours, after common practice: isolate, lock, prove dead; a fuse protects its cable. */
    static final List<String> CAUTIONS = List.of(
            "Only a competent person opens a board, a device or a fused unit, and only after it was isolated, locked off and proven dead.",
            "What stands here is what people are sent to look for: write down what is there, not what was planned.",
            "Never a bigger fuse than the one that was designed: it protects the cable behind it.");

    private CircuitFields() {
    }

    static Form add(Form form, String prefix, List<BoardSheet> boards, long siteId) {
        List<Choice> offered = boards.stream().map(board -> new Choice(Long.toString(board.id()), board.siteId() == siteId ? board.name()
                : board.name() + " of " + board.siteName())).toList();
        return form.add(Input.choice(prefix + "boardId", "Board", offered).hint("Where the circuit begins. Cabinets on one board are lost together."))
                .add(Input.text(prefix + "way", "Way").hint("As it is marked on the board: 4."))
                .add(Input.choice(prefix + "device", "Protective device", List.of(
                        new Choice(DeviceKind.RCBO.name(), "RCBO: overcurrent and residual current in one"),
                        new Choice(DeviceKind.MCB.name(), "MCB: overcurrent only"))))
                .add(Input.choice(prefix + "curve", "Curve", Arrays.stream(Curve.values())
                        .map(curve -> new Choice(curve.name(), curve.name())).toList()).hint("The letter before the rating on its front."))
                .add(Input.whole(prefix + "ratingAmpere", "Rating of the device", "A").hint("The number after the letter: 16 on a C16."))
                .add(Input.whole(prefix + "residualMilliampere", "Residual current", "mA").orNot().hint("Of an RCBO, as on its front: 30. Empty for an MCB."))
                .add(Input.text(prefix + "cable", "Cable").hint("Cores, size, kind and length: 3-core 2.5 mm² SWA, 38 m."))
                .add(Input.whole(prefix + "fuseAmpere", "Fuse at the cabinet", "A").hint("What is fitted in the fused connection unit: 3."))
                .add(Input.text(prefix + "fusedUnitPlace", "Place of the fused unit").hint("Where to find it: below the cabinet."));
    }

    static NewCircuit read(Form form, String prefix) {
        OptionalLong board = form.chosenId(prefix + "boardId");
        Optional<DeviceKind> device = form.choice(prefix + "device", DeviceKind.class);
        Optional<Curve> curve = form.choice(prefix + "curve", Curve.class);
        int rating = form.whole(prefix + "ratingAmpere", "16");
        OptionalInt residual = form.optionalWhole(prefix + "residualMilliampere", "30");
        int fuse = form.whole(prefix + "fuseAmpere", "3");
        // Where something was not chosen the form is not fine any more, whatever stands in for it here.
        return new NewCircuit(board.orElse(0), form.text(prefix + "way"),
                device.orElse(residual.isPresent() ? DeviceKind.RCBO : DeviceKind.MCB), curve.orElse(Curve.B), rating, residual,
                form.text(prefix + "cable"), fuse, form.text(prefix + "fusedUnitPlace"));
    }

    static Map<String, String> stored(CircuitSheet circuit, BoardSheet board) {
        Map<String, String> stored = new HashMap<>(Map.of("boardId", Long.toString(board.id()), "way", circuit.way(), "device",
                circuit.device().name(), "curve", circuit.curve().name(), "ratingAmpere", Integer.toString(circuit.ratingAmpere()), "cable",
                circuit.cable(), "fuseAmpere", Integer.toString(circuit.fuseAmpere()), "fusedUnitPlace", circuit.fusedUnitPlace()));
        stored.put("residualMilliampere", circuit.residualMilliampere().isPresent()
                ? Integer.toString(circuit.residualMilliampere().getAsInt()) : "");
        return stored;
    }
}
