package org.lampkeeper.register;

import java.util.OptionalInt;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.electrical.Curve;

import static org.assertj.core.api.Assertions.assertThat;

class NewCabinetTest {

    // Limits: fuse BS 1362; rating IEC 61009-1, 125 A; residual current IEC 61009-1, 6 mA to 500 mA.
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "1   | 1   | 6   | ",
            "13  | 125 | 500 | ",
            "0   | 16  | 30  | fuse 0 A, must be 1 to 13 A",
            "14  | 16  | 30  | fuse 14 A, must be 1 to 13 A",
            "3   | 0   | 30  | rating of the device 0 A, must be 1 to 125 A",
            "3   | 126 | 30  | rating of the device 126 A, must be 1 to 125 A",
            "3   | 16  | 5   | residual current 5 mA, must be 6 to 500 mA",
            "3   | 16  | 501 | residual current 501 mA, must be 6 to 500 mA"})
    void limitsAreIncludedAndAProblemNamesThem(int fuse, int rating, int residual, String problem) {
        NewCabinet cabinet = with(new NewCircuit(1, "4", DeviceKind.RCBO, Curve.C, rating, OptionalInt.of(residual), "3-core", fuse, "below"));

        assertThat(cabinet.problems()).extracting(Problem::text).isEqualTo(problem == null ? java.util.List.of() : java.util.List.of(problem));
    }

    @Test
    void residualCurrentBelongsToAnRcboOnly() {
        assertThat(with(new NewCircuit(1, "4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.empty(), "3-core", 3, "below")).problems())
                .containsExactly(new Problem("circuit.residualMilliampere", "residual current is missing, an RCBO must have one"));
        assertThat(with(new NewCircuit(1, "4", DeviceKind.MCB, Curve.C, 16, OptionalInt.of(30), "3-core", 3, "below")).problems())
                .containsExactly(new Problem("circuit.residualMilliampere", "residual current is given for an MCB, which has none"));
    }

    @Test
    void everyProblemIsNamedAtOnce() {
        NewCircuit circuit = new NewCircuit(1, "", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "x".repeat(121), 16, "two\nlines");

        assertThat(new NewCabinet(1, "ns 2", " ", "place", "content", "lamp", circuit).problems()).containsExactly(
                new Problem("code", "code must be 1 to 12 capital letters, digits and hyphens"),
                new Problem("name", "name is empty, must have 1 to 120 characters"),
                new Problem("circuit.way", "way is empty, must have 1 to 12 characters"),
                new Problem("circuit.cable", "cable has 121 characters, must have 1 to 120"),
                new Problem("circuit.fuseAmpere", "fuse 16 A, must be 1 to 13 A"),
                new Problem("circuit.fusedUnitPlace", "place of the fused unit has a control character (a line break or a tab), must be one line of text"));
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "a/b", "a+b", "#", "a.b", "a:b", "a b", "é"})
    void deviceIdThatWouldChangeTopicOrPasswordFileIsRefused(String deviceId) {
        assertThat(new NewSensor(1, deviceId, "urn:dev:mac:020000fffe000001:").problems()).singleElement().extracting(Problem::text).asString()
                .contains("device id must be 1 to 64");
    }

    // RFC 8428 section 4.5.1
    @ParameterizedTest
    @ValueSource(strings = {"", ":", "urn:dev:mac:020000fffe000001", "-a:", "a b:", "urn:é:"})
    void baseNameThatIsNoSenmlNameWithAColonAtItsEndIsRefused(String baseName) {
        assertThat(new NewSensor(1, "north-stair-2", baseName).problems()).singleElement().extracting(Problem::text).asString().contains("base name");
    }

    private static NewCabinet with(NewCircuit circuit) {
        return new NewCabinet(1, "NS2", "North Stair 2", "quay", "defibrillator", "below", circuit);
    }
}
