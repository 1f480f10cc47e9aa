package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.ColdSpell;
import org.lampkeeper.testing.ColdSpell.Reported;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;

/** The cold spell of {@link ColdSpellTest} report by report through the service: what it learns from the two nights, and what it tells at the loss. */
@QuarkusTest
class ColdSpellFlowTest {

    private static final Pattern BETWEEN = Pattern.compile("Content below 0 °C between (\\d\\d:\\d\\d|now) and (\\d\\d:\\d\\d) if nothing changes\\.");

    @Inject
    WatchFixture fixture;

    @Inject
    Registration registration;

    @Inject
    Register register;

    @Inject
    MovedClock clock;

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3})
    void messageOfTheLossHoldsWhatTheCabinetThenDoes(long seed) {
        ColdSpell spell = new ColdSpell(seed);
        List<Reported> reported = spell.untilTheLoss();
        fixture.atNoonListening();
        // The spell moved to days after those of the other tests, by whole days.
        Duration moved = Duration.ofDays(Duration.between(ColdSpell.BEGIN, WatchFixture.NOON).toDays() + 1);
        Place place = fixture.place(1);
        QuarkusTransaction.requiringNew().run(() -> registration.changeContent(place.first().cabinetId(),
                register.content(place.first().cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of()), By.nobody(WatchFixture.NOON)));

        for (Reported each : reported) {
            passesTo(each.at().plus(moved));
            report(place.first(), each);
        }
        fixture.passes(Duration.ofSeconds(30));

        String body = fixture.told(place).get(fixture.told(place).size() - 1).body();
        Instant cold = spell.isBelow(0).orElseThrow();
        Matcher range = BETWEEN.matcher(body);
        assertThat(range.find()).as(body).isTrue();
        assertThat(cold).as("time constant %s h, told: %s", spell.tauHours(), range.group()).isBetween(ColdSpellTest.at(range.group(1)),
                ColdSpellTest.at(range.group(2).replaceAll("^\\d+ Dec ", "8 Dec ")));
    }

    private void passesTo(Instant at) {
        // The first day is at noon of the day before: one long step without anything in it.
        while (clock.instant().isBefore(at)) {
            Duration left = Duration.between(clock.instant(), at);
            clock.advance(left.compareTo(Duration.ofMinutes(5)) < 0 ? left : Duration.ofMinutes(5));
            fixture.listened();
            fixture.work();
        }
    }

    private void report(SensorKey sensor, Reported each) {
        String pack = String.format(Locale.ROOT, "[{\"bn\":\"%s\",\"bt\":%d,\"n\":\"supply\",\"vb\":%b,\"ut\":1200},"
                + "{\"n\":\"inside\",\"u\":\"Cel\",\"v\":%.3f},{\"n\":\"outside\",\"u\":\"Cel\",\"v\":%.3f}]", sensor.baseName(),
                clock.instant().getEpochSecond(), each.supplied(), each.inside(), each.outside());
        fixture.take(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), clock.instant(), false));
    }
}
