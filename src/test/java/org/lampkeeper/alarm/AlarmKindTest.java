package org.lampkeeper.alarm;

import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class AlarmKindTest {

    @ParameterizedTest
    @CsvSource({
            "SUPPLY_LOST, HIGH, CABINET, true",
            "PROBABLE_SITE_LOSS, HIGH, SITE, true",
            "NOT_HEARD, MEDIUM, CABINET, true",
            "UNSTEADY, LOW, CABINET, false",
            "LOOK_MISSED, MEDIUM, CABINET, true",
            "LAMP_OUT, HIGH, CABINET, true",
            "DAMAGE_SEEN, MEDIUM, CABINET, true",
            "SENSOR_AND_LAMP_DIFFER, HIGH, CABINET, true",
            "CONTENT_TOO_COLD, HIGH, CABINET, true",
            "CONTENT_TOO_HOT, HIGH, CABINET, true",
            "HEATER_NOT_HEATING, MEDIUM, CABINET, true",
            "HEATER_NEVER_STOPS, MEDIUM, CABINET, true",
            "HEATER_TOO_SMALL, LOW, CABINET, false",
            "DOOR_OPEN, MEDIUM, CABINET, true",
            "LOOKS_EMPTIED, MEDIUM, CABINET, true",
            "NOT_LISTENING, HIGH, INSTALLATION, true",
            "MAIL_NOT_SENDING, MEDIUM, INSTALLATION, true",
            "BROKER_DROPPING, MEDIUM, INSTALLATION, true",
            "MESSAGES_STUCK, MEDIUM, INSTALLATION, true",
            "DATABASE_SLOW, MEDIUM, INSTALLATION, true",
            "CLOCK_STEPPED, MEDIUM, INSTALLATION, true",
            "DISK_NEARLY_FULL, HIGH, INSTALLATION, true",
            "HEARTBEAT_NOT_SENT, MEDIUM, INSTALLATION, true"})
    void aKindHasItsPriorityAndItsSubject(AlarmKind kind, Priority priority, Scope scope, boolean callsOut) {
        assertThat(kind.priority()).isEqualTo(priority);
        assertThat(kind.scope()).isEqualTo(scope);
        assertThat(kind.callsOut()).isEqualTo(callsOut);
    }

    @Test
    void theTableAboveKnowsEveryKind() {
        assertThat(AlarmKind.values()).hasSize(23);
    }

    @ParameterizedTest
    @CsvSource({"C, 16, 30, 'C16, 30 mA'", "B, 6, 30, 'B6, 30 mA'", "C, 16, , C16", "D, 32, 300, 'D32, 300 mA'"})
    void aDeviceIsWrittenAsOnItsFront(String curve, int rating, Integer residual, String mark) {
        assertThat(DeviceMark.of(curve, rating, Optional.ofNullable(residual))).isEqualTo(mark);
    }

    @Test
    void aDeviceWithoutARatingIsRefused() {
        assertThatThrownBy(() -> DeviceMark.of("C", 0, Optional.empty())).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> DeviceMark.of("C", 16, Optional.of(0))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("residual");
    }
}
