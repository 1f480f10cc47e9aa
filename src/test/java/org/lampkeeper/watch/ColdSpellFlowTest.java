package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.LongStream;

import jakarta.inject.Inject;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.Test;

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

/**
 * The cold spell of {@link ColdSpellTest} report by report through the service: what it learns from the two nights, and what it tells at the loss. All
 * seeds go side by side, each a site of its own, so that time passes once for all of them. {@code -Dseeds=200} takes so many (docs/thermal.md).
 */
@QuarkusTest
class ColdSpellFlowTest {

    private static final Pattern BETWEEN = Pattern.compile("Content below 0 °C between (\\d\\d:\\d\\d|now) and ((?:\\d+ Dec )?\\d\\d:\\d\\d) if nothing changes\\.");
    private static final int SEEDS = Integer.getInteger("seeds", 3);

    @Inject
    WatchFixture fixture;

    @Inject
    Registration registration;

    @Inject
    Register register;

    @Inject
    MovedClock clock;

    /** A cabinet in the spell, and what its sensor says from the beginning up to the loss. */
    private record Watched(long seed, ColdSpell spell, Place place, List<Reported> reported) {
    }

    @Test
    void messageOfTheLossHoldsWhatTheCabinetThenDoesInNineteenOfTwentyRuns() {
        fixture.atNoonListening();
        // The spell moved to days after those of the other tests, by whole days.
        Duration moved = Duration.ofDays(Duration.between(ColdSpell.BEGIN, WatchFixture.NOON).toDays() + 1);
        List<Watched> all = LongStream.rangeClosed(1, SEEDS).mapToObj(this::watched).toList();

        for (int report = 0; report < all.get(0).reported().size(); report++) {
            passTo(all.get(0).reported().get(report).at().plus(moved));
            int each = report;
            fixture.take(all.stream().map(watched -> arrival(watched.place().first(), watched.reported().get(each))).toArray(Arrival[]::new));
        }
        fixture.passes(Duration.ofSeconds(30));

        List<String> missed = new ArrayList<>();
        for (Watched each : all) {
            List<WatchFixture.Told> told = fixture.told(each.place());
            String body = told.get(told.size() - 1).body();
            Instant cold = each.spell().isBelow(0).orElseThrow();
            Matcher range = BETWEEN.matcher(body);
            if (!range.find() || cold.isBefore(ColdSpellTest.at(range.group(1))) || cold.isAfter(ColdSpellTest.at(range.group(2).replaceAll("^\\d+ Dec ", "8 Dec ")))) {
                missed.add("seed " + each.seed() + ", time constant " + each.spell().tauHours() + " h, below 0 °C at " + cold + ", told: " + body);
            }
        }
        assertThat(missed).as("%d of %d outside", missed.size(), SEEDS).hasSizeLessThanOrEqualTo(SEEDS / 20);
    }

    private Watched watched(long seed) {
        ColdSpell spell = new ColdSpell(seed);
        Place place = fixture.place(1);
        QuarkusTransaction.requiringNew().run(() -> registration.changeContent(place.first().cabinetId(),
                register.content(place.first().cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of()), By.nobody(WatchFixture.NOON)));
        return new Watched(seed, spell, place, spell.untilTheLoss());
    }

    /** In one step: what comes due within a quarter of an hour is done at its end. */
    private void passTo(Instant at) {
        clock.stopAt(at);
        fixture.listened();
        fixture.work();
    }

    private Arrival arrival(SensorKey sensor, Reported each) {
        String pack = String.format(Locale.ROOT, "[{\"bn\":\"%s\",\"bt\":%d,\"n\":\"supply\",\"vb\":%b,\"ut\":1200},"
                + "{\"n\":\"inside\",\"u\":\"Cel\",\"v\":%.3f},{\"n\":\"outside\",\"u\":\"Cel\",\"v\":%.3f}]", sensor.baseName(),
                clock.instant().getEpochSecond(), each.supplied(), each.inside(), each.outside());
        return new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), clock.instant(), false);
    }
}
