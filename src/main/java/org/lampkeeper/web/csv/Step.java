package org.lampkeeper.web.csv;

import java.util.Map;

import org.lampkeeper.register.By;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.csv.Registered.BoardName;

/** One thing that a row does to the register. Steps are taken in the order of their rows. */
sealed interface Step {

    /** As a spreadsheet counts. */
    int row();

    /** {@code made}: ids of the boards that earlier steps have made; a step that makes one adds it. */
    void take(Registration registration, Map<BoardName, Long> made, By by);

    record AddSite(int row, NewSite entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.addSite(entered, by);
        }
    }

    record ChangeSite(int row, long siteId, int version, NewSite entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.changeSite(siteId, version, entered, by);
        }
    }

    record AddBoard(int row, BoardName name, NewBoard entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            made.put(name, registration.addBoard(entered, by).id());
        }
    }

    record ChangeBoard(int row, long boardId, int version, NewBoard entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.changeBoard(boardId, version, entered, by);
        }
    }

    /** {@code board}: whose id counts where the entered circuit has none yet. */
    record AddCabinet(int row, BoardName board, NewCabinet entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.addCabinet(new NewCabinet(entered.siteId(), entered.code(), entered.name(), entered.place(), entered.content(),
                    entered.lampPlace(), onBoard(entered.circuit(), board, made)), by);
        }
    }

    record ChangeCabinet(int row, long cabinetId, int version, CabinetFacts entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.changeCabinet(cabinetId, version, entered, by);
        }
    }

    record ChangeContent(int row, long cabinetId, int version, NewContent entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.changeContent(cabinetId, version, entered, by);
        }
    }

    record ChangeCircuit(int row, long cabinetId, int version, BoardName board, NewCircuit entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            registration.changeCircuit(cabinetId, version, onBoard(entered, board, made), by);
        }
    }

    record AddSensor(int row, NewSensor entered) implements Step {
        @Override
        public void take(Registration registration, Map<BoardName, Long> made, By by) {
            // Its secret is forgotten here: one is made and given out when somebody fetches it, so that none is ever stored.
            registration.addSensor(entered, by);
        }
    }

    private static NewCircuit onBoard(NewCircuit circuit, BoardName board, Map<BoardName, Long> made) {
        return new NewCircuit(made.getOrDefault(board, circuit.boardId()), circuit.way(), circuit.device(), circuit.curve(),
                circuit.ratingAmpere(), circuit.residualMilliampere(), circuit.cable(), circuit.fuseAmpere(), circuit.fusedUnitPlace());
    }
}
