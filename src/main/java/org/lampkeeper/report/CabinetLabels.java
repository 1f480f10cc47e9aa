package org.lampkeeper.report;

import java.util.List;
import java.util.Locale;
import java.util.Optional;

import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.Electrician;

/**
 * The words on the labels of one cabinet. Each stands alone: whoever reads one has not read the others, and may have to act on it.
 *
 * @param lamp     the address that a phone reads at the lamp
 * @param lookCode what people read and type; empty for none
 * @param tell     whom to tell, as it is to be printed; without it there is a line to write on
 * @param supply   voltage and frequency, as it is to be printed
 */
record CabinetLabels(CabinetSheet cabinet, String lamp, String lookCode, Optional<String> tell, String supply) {

    /** How a line looks; sizes in points, before what is too long is made smaller. */
    enum Style {
        HUGE(20, true), BIG(14, true), STRONG(11, true), PLAIN(10, false), SMALL(8.5, false);

        private final double points;
        private final boolean isBold;

        Style(double points, boolean isBold) {
            this.points = points;
            this.isBold = isBold;
        }

        double points() {
            return points;
        }

        boolean isBold() {
            return isBold;
        }
    }

    record Line(Style style, String text) {
    }

    /** In the order in which they lie on a sheet. */
    List<Line> of(LabelKind kind) {
        return switch (kind) {
            case LAMP -> lampLines();
            case WAY -> wayLines();
            case FUSED_UNIT -> fusedUnitLines();
            case DANGER -> dangerLines();
        };
    }

    /** Whom to tell, with a line to write on where nobody is given. */
    String whom() {
        return tell.orElse("________________________");
    }

    /** Beside the drawing of a lamp that is out. */
    Line out() {
        return new Line(Style.PLAIN, "Out: no supply at the lamp. Tell " + whom() + " at once. Open nothing, and leave fuse and switches alone.");
    }

    private List<Line> lampLines() {
        return List.of(new Line(Style.BIG, cabinet.name()), new Line(Style.STRONG, cabinet.code()), new Line(Style.SMALL, "Lamp: " + cabinet.lampPlace()));
    }

    private List<Line> wayLines() {
        return List.of(new Line(Style.BIG, "Way " + circuit().way() + ": " + cabinet.name()),
                new Line(Style.PLAIN, cabinet.code() + ", " + circuit().deviceMark() + ". Fused unit: " + circuit().fusedUnitPlace()),
                new Line(Style.STRONG, "Keep on: the heater keeps out frost."),
                new Line(Style.SMALL, "Before switching off, tell: " + whom()),
                new Line(Style.SMALL, "If it trips, do not switch on again and again: " + electrician() + "."));
    }

    private List<Line> fusedUnitLines() {
        return List.of(new Line(Style.STRONG, "Feeds " + cabinet.name() + " (" + cabinet.code() + ")"),
                new Line(Style.HUGE, "Fuse " + circuit().fuseAmpere() + " A"),
                new Line(Style.STRONG, "Never fit a bigger one."),
                new Line(Style.PLAIN, supply + ". Isolated at " + boardAndWay() + " (" + circuit().deviceMark() + "): " + cabinet.board().place()),
                new Line(Style.SMALL, "Competent persons only: isolate, prove dead, then open. Before it, tell: " + whom()));
    }

    private List<Line> dangerLines() {
        return List.of(new Line(Style.BIG, "In danger, switch off here"),
                new Line(Style.STRONG, "Way " + circuit().way() + " of " + board() + ", " + supply),
                new Line(Style.PLAIN, "It feeds " + cabinet.name() + " (" + cabinet.code() + ")."),
                new Line(Style.PLAIN, "Then tell: " + whom() + ". What the cabinet holds gets cold."),
                new Line(Style.SMALL, "People first: somebody hurt, or fire, is for the emergency services."));
    }

    private String electrician() {
        return cabinet.site().electrician().map(CabinetLabels::called).orElse("call an electrician");
    }

    private static String called(Electrician electrician) {
        return "call " + electrician.name() + electrician.phone().map(phone -> ", " + phone).orElse("");
    }

    private String boardAndWay() {
        return board() + ", way " + circuit().way();
    }

    private String board() {
        BoardSheet board = cabinet.board();
        String name = board.name().toLowerCase(Locale.ROOT).startsWith("board") ? board.name() : "board " + board.name();
        return cabinet.isFedFromAnotherSite() ? name + " of " + board.siteName() : name;
    }

    private CircuitSheet circuit() {
        return cabinet.circuit();
    }
}
