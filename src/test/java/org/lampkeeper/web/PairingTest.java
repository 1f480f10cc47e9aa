package org.lampkeeper.web;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.Response;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.PairingCode;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.telemetry.Intake;
import org.lampkeeper.telemetry.SensorLogins;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

/** A sensor that was heard and is not registered is found by the code on its label. */
@QuarkusTest
@TestProfile(WithDemo.class)
class PairingTest {

    private static final Instant NOW = Instant.parse("2026-11-25T08:00:00Z");

    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    Sensors sensors;
    @Inject
    SensorLogins logins;
    @Inject
    Intake intake;
    @Inject
    MovedClock clock;

    private final String device = "s-" + UUID.randomUUID().toString().substring(0, 8);
    private final String baseName = "urn:dev:ow:" + device + ":";
    private long site;
    private long cabinet;
    private SignedIn installer;

    @BeforeEach
    void aCabinetThatNothingWatches() {
        clock.stopAt(NOW);
        By by = By.nobody(NOW);
        site = registration.addSite(new NewSite("Quay " + device, "Quay 1", java.time.ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty()), by).id();
        long board = registration.addBoard(new NewBoard(site, "Board A", "kiosk", "key 7"), by).id();
        cabinet = registration.addCabinet(new NewCabinet(site, device.substring(2).toUpperCase(java.util.Locale.ROOT), "North " + device, "quay", NewContent.ofKind("defibrillator"),
                "under it", new NewCircuit(board, "4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core", 3, "below")), by).cabinetId();
        installer = SignedIn.as(Role.INSTALLER, site);
    }

    /** Other tests of this profile count the cabinets in use. */
    @AfterEach
    void itsCabinetIsNotInUseAnyMore() {
        registration.takeOutOfUse(cabinet, register.sheet(cabinet).version(), "the test is over", By.nobody(NOW));
    }

    @Test
    void sensorThatReportsThroughAnotherBrokerIsFilledIn() {
        intake.take(List.of(new Arrival("lampkeeper/v1/" + device + "/report", ("[{\"bn\":\"" + baseName + "\",\"n\":\"supply\",\"vb\":true,\"ut\":900}]").getBytes(UTF_8), NOW,
                false)));

        Response found = code(PairingCode.written(PairingCode.of(device)));

        assertThat(found.statusCode()).isEqualTo(303);
        assertThat(installer.browser().get(found.header("Location")).asString()).contains("value=\"" + device + "\"", "value=\"" + baseName + "\"", "Register the sensor");
        assertThat(sensors.watching(cabinet)).as("nothing is registered yet").isEmpty();
        assertThat(installer.browser().formParam("deviceId", device).formParam("baseName", baseName).post("/cabinets/" + cabinet + "/sensor").statusCode()).isEqualTo(200);
        assertThat(installer.browser().get("/cabinets/" + cabinet + "/sensor").asString()).contains("<dt>Code for its label</dt><dd>" + PairingCode.written(PairingCode.of(device)));
        assertThat(installer.browser().get("/cabinets/" + cabinet + "/sensor/code").statusCode()).as("there is one now").isEqualTo(303);
    }

    @Test
    void sensorThatOnlyTriesToLogInIsFoundByItsIdAlone() {
        assertThat(logins.accepts(device, "not set yet")).isFalse();

        String form = installer.browser().get(code(PairingCode.of(device)).header("Location")).asString();

        assertThat(form).contains("value=\"" + device + "\"").doesNotContain("value=\"urn:");
    }

    @Test
    void whatIsNotFoundSaysWhy() {
        String code = PairingCode.of(device);
        char last = code.charAt(code.length() - 1);
        String wrong = code.substring(0, code.length() - 1) + (last == '9' ? '0' : (char) (last + 1));

        assertThat(refusal(code(wrong))).contains("no such code, or one of its digits is wrong", "value=\"" + wrong + "\"");
        assertThat(refusal(code(code))).contains("othing with this code was heard in the last seven days");
        assertThat(refusal(code(""))).contains("no such code");
    }

    /** An id that is not registered belongs to no site: not everybody sees which there are. */
    @Test
    void listOfWhatWasHeardIsForWhoeverRegistersEverywhere() {
        logins.accepts(device, "not set yet");
        String line = PairingCode.written(PairingCode.of(device)) + ": " + device + ", heard 08:00";

        assertThat(SignedIn.as(Role.ADMINISTRATOR).browser().get("/cabinets/" + cabinet + "/sensor/code").asString()).contains(line);
        assertThat(installer.browser().get("/cabinets/" + cabinet + "/sensor/code").asString()).contains("Code on its label").doesNotContain(line.substring(0, 11), "heard=" + device);
        assertThat(SignedIn.as(Role.SITE_STAFF, site).browser().get("/cabinets/" + cabinet + "/sensor/code").statusCode()).isEqualTo(403);
    }

    private Response code(String typed) {
        return installer.browser().formParam("code", typed).post("/cabinets/" + cabinet + "/sensor/code");
    }

    private static String refusal(Response answer) {
        assertThat(answer.statusCode()).isEqualTo(422);
        return answer.asString();
    }
}
