package org.lampkeeper.report;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.report.CabinetLabels.Line;
import org.lampkeeper.report.SheetLayout.Size;
import org.lampkeeper.report.SheetLayout.Spot;

/** The labels of cabinets as PDF, in real millimetres on plain sheets of A4, with marks to cut by. */
public final class LabelSheets {

    // Ours: what is short is printed larger and what is long smaller, by these steps, and nothing is cut off. The last is for what is as
    // long as the register takes it.
    private static final List<Double> STEPS = List.of(1.5, 1.3, 1.15, 1.0, 0.9, 0.8, 0.7, 0.62, 0.55, 0.48, 0.42, 0.36);
    // As in the style: a line is 1.2 of its letters high, and a point is 25.4/72 mm.
    private static final double LINE_MM_A_POINT = 1.2 * 25.4 / 72;
    // As in the style: between the edge of a label and its words.
    private static final double PADDING = 3;
    // As in the style: what the picture for the phone and the two lamps below the name leave of a label at the lamp.
    private static final double LAMP_WORDS_WIDTH = 56;
    private static final double LAMP_WORDS_HEIGHT = 27;
    // As in the style: what is said about a lamp that is out.
    private static final double OUT_WIDTH = 80;
    private static final double OUT_HEIGHT = 19.5;
    // As in the style: the warning sign, with some room left of it.
    private static final double WARNING_WIDTH = 15;
    private static final double CUT_FROM = 1;
    private static final double CUT_TO = 4;
    private static final double HAIR = 0.2;

    private LabelSheets() {
    }

    /**
     * What one cabinet's labels say beside what is registered.
     *
     * @param address  what a phone reads at the lamp
     * @param lookCode what people read and type; empty for whoever prints without knowing it
     */
    public record Labelled(CabinetSheet cabinet, String address, Optional<String> lookCode) {
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance sheets(View view);
    }

    /** @param heading for whoever has it read aloud */
    record View(String heading, List<Sheet> sheets) {
    }

    /** @param cuts places of the marks */
    record Sheet(int number, List<Label> labels, List<String> cuts) {
    }

    /** Lengths in mm, as text of the style. */
    record Label(String look, String place, List<Printed> lines, Printed out, Optional<QrCode> picture, String lookCode) {
    }

    /** One of the labels of a cabinet, before it has its place. */
    private record Wanted(CabinetLabels words, LabelKind kind) {
    }

    record Printed(String look, String text) {
    }

    /**
     * All four labels of each cabinet, in this order.
     *
     * @param tell   whom to tell, as printed; without it there is a line to write on
     * @param supply voltage and frequency, as printed
     */
    public static byte[] of(String site, List<Labelled> cabinets, Optional<String> tell, String supply) {
        List<Wanted> wanted = cabinets.stream().map(each -> new CabinetLabels(each.cabinet(), each.address(), each.lookCode().orElse(""), tell, supply))
                .flatMap(words -> Stream.of(LabelKind.values()).map(kind -> new Wanted(words, kind))).toList();
        List<Spot> spots = SheetLayout.of(wanted.stream().map(each -> each.kind().size()).toList());
        List<Sheet> sheets = new ArrayList<>();
        for (int i = 0; i < wanted.size(); i++) {
            Spot spot = spots.get(i);
            if (spot.sheet() == sheets.size()) {
                sheets.add(new Sheet(spot.sheet() + 1, new ArrayList<>(), new ArrayList<>()));
            }
            Sheet sheet = sheets.get(spot.sheet());
            sheet.labels().add(label(wanted.get(i).words(), wanted.get(i).kind(), spot));
            sheet.cuts().addAll(cuts(spot, wanted.get(i).kind().size()));
        }
        return Paper.of(Templates.sheets(new View("Labels of " + site, sheets)).render());
    }

    private static Label label(CabinetLabels words, LabelKind kind, Spot spot) {
        Optional<QrCode> picture = kind == LabelKind.LAMP ? Optional.of(QrCode.of(words.lamp())) : Optional.empty();
        return new Label(kind.look(), place(spot.left(), spot.top(), kind.size().width(), kind.size().height()), printed(kind, words.of(kind)),
                printed(List.of(words.out()), OUT_WIDTH, OUT_HEIGHT).get(0), picture, words.lookCode());
    }

    /** Two marks at each corner, outside the label, so that none is left on it. */
    private static List<String> cuts(Spot spot, Size size) {
        List<String> cuts = new ArrayList<>();
        double length = CUT_TO - CUT_FROM;
        for (double x : new double[] {spot.left(), spot.left() + size.width()}) {
            cuts.add(upright(x, spot.top() - CUT_TO, length));
            cuts.add(upright(x, spot.top() + size.height() + CUT_FROM, length));
        }
        for (double y : new double[] {spot.top(), spot.top() + size.height()}) {
            cuts.add(level(spot.left() - CUT_TO, y, length));
            cuts.add(level(spot.left() + size.width() + CUT_FROM, y, length));
        }
        return cuts;
    }

    // A mark is a box without height or width, with a border whose middle would lie on the edge of the label.
    private static String upright(double x, double y, double length) {
        return place(x - HAIR / 2, y, 0, length) + ";border-left:" + HAIR + "mm solid #000";
    }

    private static String level(double x, double y, double length) {
        return place(x, y - HAIR / 2, length, 0) + ";border-top:" + HAIR + "mm solid #000";
    }

    private static String place(double left, double top, double width, double height) {
        return String.format(Locale.ROOT, "left:%.2fmm;top:%.2fmm;width:%.2fmm;height:%.2fmm", left, top, width, height);
    }

    private static List<Printed> printed(LabelKind kind, List<Line> lines) {
        double width = kind == LabelKind.LAMP ? LAMP_WORDS_WIDTH : kind.size().width() - 2 * PADDING - (kind.isWarning() ? WARNING_WIDTH : 0);
        double height = kind == LabelKind.LAMP ? LAMP_WORDS_HEIGHT : kind.size().height() - 2 * PADDING;
        return printed(lines, width, height);
    }

    private static List<Printed> printed(List<Line> lines, double width, double height) {
        double step = STEPS.stream().filter(each -> height(lines, each, width) <= height).findFirst().orElse(STEPS.get(STEPS.size() - 1));
        return lines.stream().map(line -> new Printed(String.format(Locale.ROOT, "font-size:%.2fpt;font-weight:%s", line.style().points() * step,
                line.style().isBold() ? "bold" : "normal"), line.text())).toList();
    }

    private static double height(List<Line> lines, double step, double width) {
        return lines.stream().mapToDouble(line -> {
            double points = line.style().points() * step;
            Letters letters = line.style().isBold() ? Letters.BOLD : Letters.REGULAR;
            return letters.lines(line.text(), points, width) * points * LINE_MM_A_POINT;
        }).sum();
    }
}
