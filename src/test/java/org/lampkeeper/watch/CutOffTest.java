package org.lampkeeper.watch;

import jakarta.inject.Inject;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.Test;

import org.lampkeeper.register.By;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.RegisteredSensor;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.EmbeddedBroker;
import org.lampkeeper.testing.MqttProbe;
import org.lampkeeper.testing.MqttProbe.Login;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.MqttProbe.DONE;

/** A login that is no longer right ends the connection that was made with it, and only once that is committed. */
@QuarkusTest
class CutOffTest {

    @Inject
    WatchFixture fixture;

    @Inject
    Registration registration;

    @Inject
    EmbeddedBroker broker;

    @Test
    void renewedSecretCutsOffAndOnlyTheNewOneIsLetIn() {
        RegisteredSensor sensor = sensor();
        try (MqttProbe connected = MqttProbe.ofVersion("5"); MqttProbe again = MqttProbe.ofVersion("5"); MqttProbe renewed = MqttProbe.ofVersion("5")) {
            assertThat(connected.connect(login(sensor))).isEqualTo(DONE);

            RegisteredSensor next = registration.renewSecret(sensor.key().deviceId(), By.nobody(fixture.now()));

            await().untilAsserted(() -> assertThat(connected.isConnected()).isFalse());
            assertThat(again.connect(login(sensor))).startsWith("refused");
            assertThat(renewed.connect(login(next))).isEqualTo(DONE);
        }
    }

    @Test
    void retiredSensorIsCutOff() {
        RegisteredSensor sensor = sensor();
        try (MqttProbe connected = MqttProbe.ofVersion("5"); MqttProbe again = MqttProbe.ofVersion("5")) {
            assertThat(connected.connect(login(sensor))).isEqualTo(DONE);

            registration.retireSensor(sensor.key().deviceId(), By.nobody(fixture.now()));

            await().untilAsserted(() -> assertThat(connected.isConnected()).isFalse());
            assertThat(again.connect(login(sensor))).startsWith("refused");
        }
    }

    @Test
    void retirementThatIsRolledBackCutsNobodyOff() {
        RegisteredSensor sensor = sensor();
        try (MqttProbe connected = MqttProbe.ofVersion("5")) {
            assertThat(connected.connect(login(sensor))).isEqualTo(DONE);

            assertThatThrownBy(() -> QuarkusTransaction.requiringNew().run(() -> {
                registration.retireSensor(sensor.key().deviceId(), By.nobody(fixture.now()));
                throw new IllegalArgumentException("thought better of it");
            })).hasMessage("thought better of it");

            assertThat(connected.publish("lampkeeper/v1/" + sensor.key().deviceId() + "/report", "still here")).isEqualTo(DONE);
        }
    }

    private RegisteredSensor sensor() {
        fixture.atNoonListening();
        Place place = fixture.place(1);
        SensorKey first = place.first();
        registration.retireSensor(first.deviceId(), By.nobody(fixture.now()));
        return registration.addSensor(new NewSensor(first.cabinetId(), first.deviceId() + "-c", "urn:dev:ow:" + first.deviceId() + "c:"),
                By.nobody(fixture.now()));
    }

    private Login login(RegisteredSensor sensor) {
        return Login.of(broker.uri(), sensor.key().deviceId(), sensor.secret());
    }
}
