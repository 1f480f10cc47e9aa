package org.lampkeeper.register;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;

import jakarta.inject.Inject;

import org.junit.jupiter.api.Test;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.HeardSensors.Heard;

import static org.assertj.core.api.Assertions.assertThat;

/** What is promised of sensors that were heard and are not registered, whatever database they stand on. */
abstract class HeardSensorsContract {

    /** Later than every other test, so that none of theirs is newer. */
    private static final Instant NOW = Instant.parse("2031-03-01T08:00:00Z");

    @Inject
    HeardSensors heard;
    @Inject
    Registration registration;

    private final String own = UUID.randomUUID().toString().substring(0, 8);

    @Test
    void whatKnockedGetsItsBaseNameOnceItReports() {
        heard.note(own, Optional.empty(), NOW);
        assertThat(own()).containsExactly(new Heard(own, Optional.empty(), NOW));

        heard.note(own, Optional.of("urn:dev:ow:" + own + ":"), NOW.plusSeconds(1));
        assertThat(own()).as("that it says more is noted at once").containsExactly(new Heard(own, Optional.of("urn:dev:ow:" + own + ":"), NOW.plusSeconds(1)));

        heard.note(own, Optional.empty(), NOW.plusSeconds(59));
        assertThat(own()).as("once a minute").extracting(Heard::at).containsExactly(NOW.plusSeconds(1));
        heard.note(own, Optional.empty(), NOW.plusSeconds(62));
        assertThat(own()).as("and keeps its base name").containsExactly(new Heard(own, Optional.of("urn:dev:ow:" + own + ":"), NOW.plusSeconds(62)));
    }

    @Test
    void whatIsRegisteredOrWasHeardLongAgoIsNotAmongThem() {
        heard.note(own, Optional.empty(), NOW);
        heard.note(own + "-old", Optional.empty(), NOW.minus(Duration.ofDays(7)));
        assertThat(own()).extracting(Heard::deviceId).containsExactly(own, own + "-old");
        assertThat(heard.all(NOW.plusSeconds(1))).extracting(Heard::deviceId).contains(own).doesNotContain(own + "-old");

        By by = By.nobody(NOW);
        long site = registration.addSite(new NewSite("Quay " + own, "Quay 1", java.time.ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty()), by).id();
        long board = registration.addBoard(new NewBoard(site, "Board A", "kiosk", "key 7"), by).id();
        CabinetSheet cabinet = registration.addCabinet(new NewCabinet(site, own.toUpperCase(java.util.Locale.ROOT), "North " + own, "quay", NewContent.ofKind("defibrillator"), "under it",
                new NewCircuit(board, "4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core", 3, "below")), by);
        registration.addSensor(new NewSensor(cabinet.cabinetId(), own, "urn:dev:ow:" + own + ":"), by);
        assertThat(heard.all(NOW)).extracting(Heard::deviceId).doesNotContain(own);
        registration.takeOutOfUse(cabinet.cabinetId(), cabinet.version(), "the test is over", by);
    }

    @Test
    void atMostTwoHundredAreKeptAndTheOldestGoes() {
        for (int i = 0; i <= 200; i++) {
            heard.note(own + "-" + i, Optional.empty(), NOW.plusSeconds(100 + i));
        }
        heard.note("not/an id", Optional.empty(), NOW.plusSeconds(400));

        assertThat(heard.all(NOW.plusSeconds(400))).hasSize(200).extracting(Heard::deviceId).contains(own + "-200").doesNotContain(own + "-0", "not/an id");
    }

    private List<Heard> own() {
        return heard.all(NOW).stream().filter(it -> it.deviceId().startsWith(own)).toList();
    }
}
