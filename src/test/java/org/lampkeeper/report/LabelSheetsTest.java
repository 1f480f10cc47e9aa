package org.lampkeeper.report;

import java.awt.image.BufferedImage;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.assertj.core.data.Offset;
import org.junit.jupiter.api.Test;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.LabelSheets.Labelled;
import org.lampkeeper.report.SheetLayout.Size;
import org.lampkeeper.report.SheetLayout.Spot;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.PaperPages.Letter;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;

/** What comes out of the printer: measured, read by a camera, and read as text. */
@QuarkusTest
@TestProfile(WithDemo.class)
class LabelSheetsTest {

    private static final int DOTS = 300;
    // Two dots of the printer, and the width of the hairline.
    private static final Offset<Double> A_HAIR = Offset.offset(0.2);
    private static final String SUPPLY = "230 V AC 50 Hz";

    @Test
    void labelsHaveTheirSizeOnPaper() {
        try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", List.of(ordinary("NS-1")), Optional.empty(), SUPPLY))) {
            assertThat(pages.count()).isEqualTo(1);
            assertThat(pages.size(0)[0]).isCloseTo(210, A_HAIR);
            assertThat(pages.size(0)[1]).isCloseTo(297, A_HAIR);
            BufferedImage printed = pages.printed(0, DOTS);

            // Through the marks above the first row, and through those left of it: 100 mm and 80 mm wide, 70 mm and 50 mm high.
            assertClose(PaperPages.marks(printed, DOTS, true, 9.5), 12, 112, 118, 198);
            assertClose(PaperPages.marks(printed, DOTS, false, 9.5), 12, 82, 88, 138);
            assertClose(PaperPages.marks(printed, DOTS, false, 200.5), 12, 52, 88, 138);
        }
    }

    @Test
    void lineToMeasureIsAHundredMillimetres() {
        try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", List.of(ordinary("NS-1")), Optional.empty(), SUPPLY))) {
            List<Double> ends = PaperPages.marks(pages.printed(0, DOTS), DOTS, true, 276.6);

            assertThat(ends).hasSize(2);
            assertThat(ends.get(1) - ends.get(0)).isCloseTo(100, Offset.offset(0.4));
        }
    }

    @Test
    void cameraReadsTheAddressOfEachCabinetFromThePaper() {
        List<Labelled> cabinets = List.of(ordinary("NS-1"), ordinary("NS-2"), ordinary("NS-3"));

        try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", cabinets, Optional.empty(), SUPPLY))) {
            assertThat(pages.count()).isEqualTo(2);
            assertThat(pages.code(0, 12, 12, 100, 70)).isEqualTo(cabinets.get(0).address());
            assertThat(pages.code(0, 12, 144, 100, 70)).isEqualTo(cabinets.get(1).address());
            assertThat(pages.code(1, 12, 12, 100, 70)).isEqualTo(cabinets.get(2).address());
        }
    }

    @Test
    void eachLabelSaysWhatIsNeededWhereItIsFixed() {
        try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", List.of(ordinary("NS-1")), Optional.of("Harbour office, 01632 960 010"), SUPPLY))) {
            String text = pages.text().replaceAll("\\s+", " ");

            assertThat(pages.title()).isEqualTo("Labels of North Stair");
            assertThat(text).contains("Lit: the supply is there.", "Out: no supply at the lamp. Tell Harbour office, 01632 960 010 at once.",
                    "Open nothing, and leave fuse and switches alone.",
                    "Code for looks: 471 105");
            assertThat(text).as("of heater, thermostat and content a lamp knows nothing").doesNotContainIgnoringCase("all is well");
            assertThat(text).contains("Way 4: North Stair", "C16, 30 mA", "Keep on: the heater keeps out frost.",
                    "do not switch on again and again: call Fenwater Electrical, 01632 960 200.");
            assertThat(text).contains("Feeds North Stair NS-1 (NS-1)", "Fuse 3 A", "Never fit a bigger one.",
                    "230 V AC 50 Hz. Isolated at Board A, way 4 (C16, 30 mA): intake cupboard", "isolate, prove dead, then open");
            assertThat(text).contains("In danger, switch off here", "Way 4 of Board A, 230 V AC 50 Hz", "emergency services");
        }
    }

    @Test
    void withoutSomebodyToTellThereIsALineToWriteOn() {
        try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", List.of(ordinary("NS-1")), Optional.empty(), SUPPLY))) {
            assertThat(pages.text()).containsPattern("[tT]ell[:\\s]+____________");
        }
    }

    @Test
    void whatIsAsLongAsTheRegisterTakesItStaysOnItsLabel() {
        try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", List.of(longest("W"), longest("Wm ")), Optional.of("W".repeat(60)), SUPPLY))) {
            List<Size> sizes = java.util.Collections.nCopies(2, List.of(LabelKind.values())).stream().flatMap(List::stream).map(LabelKind::size).toList();
            List<Spot> spots = SheetLayout.of(sizes);

            for (Letter letter : pages.letters()) {
                assertThat(letter.top() > 275 || spots.stream().anyMatch(spot -> holds(spot, sizes.get(spots.indexOf(spot)), letter)))
                        .as("%s", letter).isTrue();
            }
            // All of the name is there, four times a cabinet.
            assertThat(pages.text().replaceAll("\\s", "").chars().filter(c -> c == 'W').count()).isGreaterThan(4 * 120);
            // What stands above the two lamps does not reach them.
            assertThat(pages.letters()).filteredOn(letter -> letter.text().equals("Q") && letter.left() < 70).hasSize(2)
                    .allMatch(letter -> letter.bottom() < 12 + 33 || letter.top() > 144 && letter.bottom() < 144 + 33);
        }
    }

    /** Whatever stands on it, the words for the phone and those about a lamp that is out share the lower half of the label at the lamp. */
    @Test
    void noTwoLettersStandOnEachOther() {
        List<Labelled> labelled = List.of(ordinary("NS-1"), longest("W"));
        for (Optional<String> tell : List.of(Optional.<String>empty(), Optional.of("Harbour office, 01632 960 010"), Optional.of("W".repeat(60)))) {
            try (PaperPages pages = new PaperPages(LabelSheets.of("North Stair", labelled, tell, SUPPLY))) {
                List<Letter> letters = pages.letters().stream().filter(letter -> !letter.text().isBlank()).toList();

                assertThat(letters).hasSizeGreaterThan(500);
                for (int i = 0; i < letters.size(); i++) {
                    for (Letter other : letters.subList(i + 1, letters.size())) {
                        assertThat(overlap(letters.get(i), other)).as("%s and %s", letters.get(i), other).isFalse();
                    }
                }
            }
        }
    }

    /** By more than letters of one line, or of two lines with nothing between, do. */
    private static boolean overlap(Letter one, Letter other) {
        double wide = Math.min(one.right(), other.right()) - Math.max(one.left(), other.left());
        double high = Math.min(one.bottom(), other.bottom()) - Math.max(one.top(), other.top());
        return one.page() == other.page() && wide > 0.3 && high > 0.3;
    }

    @Test
    void letterThatTheFontHasNotIsSeenToBeMissing() {
        try (PaperPages pages = new PaperPages(LabelSheets.of("Пристань 桟橋", List.of(ordinary("NS-1")), Optional.of("Пристань 桟橋"), SUPPLY))) {
            assertThat(pages.text()).contains("Пристань ??");
        }
    }

    private static boolean holds(Spot spot, Size size, Letter letter) {
        return spot.sheet() == letter.page() && letter.left() >= spot.left() && letter.right() <= spot.left() + size.width() + 0.1 && letter.top() >= spot.top()
                && letter.bottom() <= spot.top() + size.height();
    }

    private static void assertClose(List<Double> marks, double... expected) {
        assertThat(marks).hasSize(expected.length);
        for (int i = 0; i < expected.length; i++) {
            assertThat(marks.get(i)).isCloseTo(expected[i], A_HAIR);
        }
    }

    private static Labelled ordinary(String code) {
        SiteSheet site = new SiteSheet(3, "North Stair", "Quay road 1", ZoneId.of("Europe/London"), "gate code 4715", "meter cupboard",
                Optional.of(new Electrician("Fenwater Electrical", Optional.of("01632 960 200"))), 1);
        BoardSheet board = new BoardSheet(5, 3, "North Stair", "Board A", "intake cupboard", "key 7", 1);
        CircuitSheet circuit = new CircuitSheet("4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3 x 2.5 mm2", 3, "behind the cabinet, left", 9, 1);
        return new Labelled(new CabinetSheet(7, code, "North Stair " + code, "foot of the stair", "defibrillator", "under the cabinet", site, board, circuit, 1),
                "https://watch.example/at/AAAAAAAAAAAAAAAAAAAA" + code.substring(2), Optional.of("471 105"));
    }

    /** Every text as long as the register takes it. */
    private static Labelled longest(String part) {
        SiteSheet site = new SiteSheet(3, text(part, 120), "Quay road 1", ZoneId.of("Europe/London"), "gate", "intake",
                Optional.of(new Electrician(text(part, 120), Optional.of("0".repeat(40)))), 1);
        BoardSheet board = new BoardSheet(5, 4, text(part, 120), text(part, 120), text(part, 200), "key 7", 1);
        CircuitSheet circuit = new CircuitSheet("WWWWWWWWWWWW", DeviceKind.RCBO, Curve.C, 125, OptionalInt.of(500), text(part, 120), 13, text(part, 200), 9, 1);
        return new Labelled(new CabinetSheet(7, "WWWWWWWWWWWW", text(part, 120), text(part, 200), text(part, 120), text(part, 199) + "Q", site, board, circuit, 1),
                "https://watch.example/at/AAAAAAAAAAAAAAAAAAAAAA", Optional.empty());
    }

    private static String text(String part, int length) {
        return part.repeat(length).substring(0, length);
    }
}
