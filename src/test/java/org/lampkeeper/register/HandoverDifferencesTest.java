package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;

import org.junit.jupiter.api.Test;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.HandoverDifferences.Change;
import org.lampkeeper.register.HandoverDifferences.Difference;
import org.lampkeeper.register.HandoverDifferences.Group;
import org.lampkeeper.register.HandoverDifferences.Row;

import static org.assertj.core.api.Assertions.assertThat;

/** What a signed record and the register say differently. */
class HandoverDifferencesTest {

    private static final BoardSheet A = new BoardSheet(1, 7, "Quay", "Board A", "kiosk", "key 7", 0);
    private static final BoardSheet B = new BoardSheet(2, 7, "Quay", "Board B", "kiosk", "key 8", 0);
    private static final SiteSheet QUAY = new SiteSheet(7, "Quay", "Quay 1", ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty(), 0);
    private static final CabinetSheet REGISTERED = new CabinetSheet(5, "NS-1", "North Stair 1", "west end of the quay, beside the ladder", "defibrillator", "under the cabinet", QUAY, A,
            new CircuitSheet("4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core 2.5 mm² SWA, 30 m", 3, "below the cabinet", 9, 4), 3);

    @Test
    void recordThatSaysTheSameIsNoDifferenceHoweverItIsTyped() {
        assertThat(differences(Map.of())).isEmpty();
        assertThat(differences(Map.of(HandoverField.SIZE, "2,50 mm²", HandoverField.BOARD, "board a ", HandoverField.LENGTH, "30.0 m"))).isEmpty();
    }

    @Test
    void eachGroupSaysWhatWouldBeTakenAndLeavesTheRest() {
        List<Difference> found = differences(Map.of(HandoverField.BOARD, "Board B", HandoverField.WAY, "11", HandoverField.RATING, "10", HandoverField.FUSE, "5",
                HandoverField.LAMP_PLACE, "on the post"));

        assertThat(found).extracting(Difference::group).containsExactly(Group.PLACE, Group.BOARD_AND_WAY, Group.DEVICE, Group.FUSE);
        assertThat(found).allMatch(it -> it.obstacles().isEmpty());
        assertThat(found.get(0).rows()).containsExactly(new Row("Place of the lamp", "on the post", "under the cabinet"));
        assertThat(found.get(1).rows()).containsExactly(new Row("Board", "Board B", "Board A"), new Row("Way", "11", "4"));
        assertThat(found.get(1).change()).isEqualTo(new Change.OfCircuit(new NewCircuit(2, "11", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core 2.5 mm² SWA, 30 m", 3,
                "below the cabinet"), 4));
        assertThat(found.get(2).rows()).containsExactly(new Row("Rating", "10 A", "16 A"));
        assertThat(found.get(3).change()).isEqualTo(new Change.OfCircuit(new NewCircuit(1, "4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core 2.5 mm² SWA, 30 m", 5,
                "below the cabinet"), 4));
    }

    @Test
    void deviceWithoutResidualCurrentLosesItInTheRegister() {
        List<Difference> found = differences(Map.of(HandoverField.DEVICE, "MCB", HandoverField.RESIDUAL, ""));

        assertThat(found).singleElement().satisfies(device -> {
            assertThat(device.rows()).containsExactly(new Row("Protective device", "MCB", "RCBO"), new Row("Residual current", "none", "30 mA"));
            assertThat(((Change.OfCircuit) device.change()).circuit().residualMilliampere()).isEmpty();
            assertThat(device.obstacles()).isEmpty();
        });
    }

    @Test
    void whatTheRegisterCannotTakeSaysWhatComesFirst() {
        assertThat(differences(Map.of(HandoverField.BOARD, "Board C")).get(0).obstacles()).singleElement().asString().contains("no board of this site is registered as “Board C”");
        assertThat(differences(Map.of(HandoverField.BOARD, "Board B", HandoverField.WAY, "6")).get(0).obstacles())
                .containsExactly("way 6 of Board B feeds South Stair 2 in the register: put right which of the two it feeds first");
        assertThat(differences(Map.of(HandoverField.WAY, "x".repeat(13))).get(0).obstacles()).singleElement().asString().contains("way");
        assertThat(differences(Map.of(HandoverField.POSITION, "x".repeat(201))).get(0).obstacles()).singleElement().asString().contains("place");
    }

    private static List<Difference> differences(Map<HandoverField, String> otherwise) {
        Map<HandoverField, String> typed = new EnumMap<>(HandoverFixture.example());
        typed.putAll(otherwise);
        return HandoverDifferences.of(HandoverValues.of(typed), REGISTERED, List.of(A, B),
                (board, way) -> board.equals(B) && way.equals("6") ? Optional.of("South Stair 2") : Optional.empty());
    }
}
