package org.lampkeeper.report;

import java.util.List;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;

import org.lampkeeper.report.SheetLayout.Size;
import org.lampkeeper.report.SheetLayout.Spot;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** Labels lie apart, on the sheet, in order. */
class SheetLayoutTest {

    @Test
    void eightLabelsOfTwoCabinetsFillASheet() {
        List<Size> cabinet = List.of(LabelKind.LAMP.size(), LabelKind.WAY.size(), LabelKind.FUSED_UNIT.size(), LabelKind.DANGER.size());

        List<Spot> spots = SheetLayout.of(java.util.stream.Stream.of(cabinet, cabinet, cabinet).flatMap(List::stream).toList());

        assertThat(spots.subList(0, 8)).allMatch(spot -> spot.sheet() == 0);
        assertThat(spots.subList(8, 12)).allMatch(spot -> spot.sheet() == 1);
        assertThat(spots.subList(0, 4)).containsExactly(new Spot(0, 12, 12), new Spot(0, 118, 12), new Spot(0, 12, 88), new Spot(0, 118, 88));
    }

    @Test
    void labelLargerThanASheetIsRefused() {
        assertThatThrownBy(() -> SheetLayout.of(List.of(new Size(190, 20)))).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("190.0 mm by 20.0 mm");
    }

    @Property(tries = 300)
    void noTwoLabelsAreNearerThanTheirCutMarksAndAllArePrintable(@ForAll("labels") List<Size> sizes) {
        List<Spot> spots = SheetLayout.of(sizes);

        assertThat(spots).hasSameSizeAs(sizes);
        for (int i = 0; i < spots.size(); i++) {
            Spot one = spots.get(i);
            assertThat(one.left()).isGreaterThanOrEqualTo(SheetLayout.MARGIN);
            assertThat(one.left() + sizes.get(i).width()).isLessThanOrEqualTo(SheetLayout.SHEET_WIDTH - SheetLayout.MARGIN);
            assertThat(one.top() + sizes.get(i).height()).isLessThanOrEqualTo(SheetLayout.SHEET_HEIGHT - SheetLayout.MARGIN - SheetLayout.FOOT);
            for (int j = i + 1; j < spots.size(); j++) {
                assertThat(areApart(one, sizes.get(i), spots.get(j), sizes.get(j))).as("%d and %d", i, j).isTrue();
                assertThat(spots.get(j).sheet()).isGreaterThanOrEqualTo(one.sheet());
            }
        }
    }

    @Provide
    Arbitrary<List<Size>> labels() {
        return Combinators.combine(Arbitraries.integers().between(10, 186), Arbitraries.integers().between(10, 200)).as((wide, high) -> new Size(wide, high))
                .list().ofMaxSize(20);
    }

    private static boolean areApart(Spot one, Size oneSize, Spot other, Size otherSize) {
        return one.sheet() != other.sheet() || one.left() + oneSize.width() + SheetLayout.GAP <= other.left()
                || other.left() + otherSize.width() + SheetLayout.GAP <= one.left() || one.top() + oneSize.height() + SheetLayout.GAP <= other.top()
                || other.top() + otherSize.height() + SheetLayout.GAP <= one.top();
    }
}
