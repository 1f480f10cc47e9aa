package org.lampkeeper.web.csv;

import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.Reach;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.csv.Registered.Board;
import org.lampkeeper.web.csv.Registered.Cabinet;
import org.lampkeeper.web.csv.Registered.Sensor;

/** Writes what a caller may see of the register as a file that can be imported again. */
@ApplicationScoped
public class Exports {

    private final Reads reads;

    Exports(Reads reads) {
        this.reads = reads;
    }

    /** {@code separator}: comma or semicolon. Without a byte order mark. */
    public String write(CsvKind kind, Reach reach, char separator) {
        return write(kind, Registered.read(reads, reach), separator);
    }

    static String write(CsvKind kind, Registered register, char separator) {
        return CsvFile.write(kind, switch (kind) {
            case SITES -> register.sites().values().stream().map(site -> site(site.facts())).toList();
            case CABINETS -> register.cabinets().values().stream().map(cabinet -> cabinet(cabinet, register)).toList();
            case SENSORS -> register.sensors().values().stream().map(Exports::sensor).toList();
        }, separator);
    }

    private static List<String> site(NewSite site) {
        return texts(site.name(), site.address(), site.zone().getId(), site.access(), site.intake(),
                site.electrician().map(Electrician::name).orElse(""), site.electrician().flatMap(Electrician::phone).orElse(""));
    }

    private static List<String> cabinet(Cabinet cabinet, Registered register) {
        NewContent content = cabinet.content();
        NewCircuit circuit = cabinet.circuit();
        // A board at a site out of reach is named, as on the cabinet's page, but not described.
        Optional<Board> board = Optional.ofNullable(register.boards().get(cabinet.board()));
        return List.of(Cells.harmless(cabinet.facts().code()), Cells.harmless(cabinet.site()), Cells.harmless(cabinet.facts().name()),
                Cells.harmless(cabinet.facts().place()), Cells.harmless(cabinet.facts().lampPlace()), Cells.harmless(content.kind()),
                content.limitsAsked() ? "yes" : "no", content.lowest().map(Celsius::value).map(Cells::decimal).orElse(""),
                content.highest().map(Celsius::value).map(Cells::decimal).orElse(""), Cells.harmless(Cells.parts(content.parts())),
                Cells.harmless(cabinet.board().site()), Cells.harmless(cabinet.board().board()),
                Cells.harmless(board.map(Board::place).orElse("")), Cells.harmless(board.map(Board::access).orElse("")),
                Cells.harmless(circuit.way()), circuit.device().name(), circuit.curve().name(), "" + circuit.ratingAmpere(),
                circuit.residualMilliampere().isPresent() ? "" + circuit.residualMilliampere().getAsInt() : "",
                        Cells.harmless(circuit.cable()),
                "" + circuit.fuseAmpere(), Cells.harmless(circuit.fusedUnitPlace()));
    }

    private static List<String> sensor(Sensor sensor) {
        return texts(sensor.deviceId(), sensor.cabinetCode(), sensor.baseName());
    }

    private static List<String> texts(String... values) {
        return List.of(values).stream().map(Cells::harmless).toList();
    }
}
