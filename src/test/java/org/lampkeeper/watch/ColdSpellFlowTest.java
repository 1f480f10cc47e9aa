package org.lampkeeper.watch;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.LongStream;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.quantity.Share;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.simulator.ColdSpellFleet;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.ColdSpell;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MosquittoServer;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * The cold spell of {@link ColdSpellTest} from one end to the other in moved time: the simulator's sensors in its cabinets, their reports through a real
 * Mosquitto, what the service learns from the two nights, and the message that it puts into the outbox at the loss. All seeds go side by side, each a site
 * of its own, so that time passes once for all of them. {@code -Dseeds=200} takes so many of either kind (docs/proofs.md).
 */
@QuarkusTest
@EnabledIfTool("mosquitto")
class ColdSpellFlowTest {

    private static final Pattern RANGE = Pattern.compile("Content below 0 °C (?:between (?<early>\\d\\d:\\d\\d|now) and (?<late>(?:\\d+ Dec )?\\d\\d:\\d\\d)"
            + "|from (?<from>\\d\\d:\\d\\d) at the earliest) if nothing changes(?<doubt> \\(rough)?");
    private static final int SEEDS = Integer.getInteger("seeds", 3);
    /** Ours: what a sensor says waits so long at most before the service hears it, but for the loss. */
    private static final Duration STEP = Duration.ofMinutes(15);

    private static final int TOGETHER = 10;

    @Inject
    WatchFixture fixture;

    @Inject
    Registration registration;

    @Inject
    Register register;

    @Inject
    MovedClock clock;

    @Inject
    CoolingBook cooling;

    @Inject
    AlarmDesk desk;

    @Inject
    EntityManager entities;

    @TempDir
    Path directory;

    private record Watched(long seed, Place place) {
        private String device() {
            return place.first().deviceId();
        }
    }

    /** {@code measured}: content with a probe of its own, 10 to 60 minutes behind its air and three to seven tenths of the heat capacity. */
    @ParameterizedTest
    @ValueSource(booleans = {false, true})
    void messageOfTheLossHoldsWhatTheCabinetThenDoesInNineteenOfTwentyRuns(boolean measured) throws IOException, InterruptedException, MqttException {
        long began = System.nanoTime();
        fixture.atNoonListening();
        // The spell moved to days after those of the other tests, by whole days.
        Duration moved = Duration.ofDays(Duration.between(ColdSpell.BEGIN, WatchFixture.NOON).toDays() + 1);
        MosquittoServer mosquitto = MosquittoServer.startOpen(directory);
        try (ColdSpellFleet fleet = new ColdSpellFleet(mosquitto.uri(), moved)) {
            List<Watched> all = watched();
            all.forEach(each -> fleet.add(each.device(), each.place().first().baseName(), each.seed(), measured));

            for (Instant at = ColdSpell.BEGIN; !at.isAfter(ColdSpell.LOSS); at = at.plus(STEP)) {
                List<ColdSpellFleet.Message> said = fleet.passTo(at);
                clock.stopAt(at.plus(moved));
                fixture.listenedThroughout();
                fixture.take(said.stream().map(each -> new Arrival(each.topic(), each.payload(), clock.instant(), false)).toArray(Arrival[]::new));
                fixture.work();
                if (at.isBefore(ColdSpell.LOSS) && !ColdSpell.isSupplied(at)) {
                    takeWhatIsOpen(all);
                }
            }
            fixture.passes(Duration.ofSeconds(30));

            judge(all, fleet, measured, began);
        } finally {
            mosquitto.stop();
        }
    }

    private void judge(List<Watched> all, ColdSpellFleet fleet, boolean measured, long began) {
        List<String> missed = new ArrayList<>();
        int open = 0;
        int rough = 0;
        Duration width = Duration.ZERO;
        for (Watched each : all) {
            List<WatchFixture.Told> told = fixture.told(each.place());
            String body = told.get(told.size() - 1).body();
            Optional<Instant> cold = fleet.isBelow(each.device(), 0);
            Matcher range = RANGE.matcher(body);
            boolean isSaid = range.find();
            boolean isOpen = isSaid && range.group("from") != null;
            Instant early = isSaid ? ColdSpellTest.at(isOpen ? range.group("from") : range.group("early")) : Instant.MAX;
            Instant late = !isSaid || isOpen ? Instant.MAX : ColdSpellTest.at(range.group("late").replaceAll("^\\d+ Dec ", "8 Dec "));
            open += isOpen ? 1 : 0;
            rough += isSaid && range.group("doubt") != null ? 1 : 0;
            width = isSaid && !isOpen ? width.plus(Duration.between(early, late)) : width;
            if (!isSaid || (cold.isPresent() ? cold.get().isBefore(early) || cold.get().isAfter(late) : !isOpen)) {
                missed.add("seed " + each.seed() + ", time constant " + fleet.tauHours(each.device()) + " h, below 0 °C at " + cold + ", told: " + body);
            }
        }
        long apart = all.stream().filter(each -> cooling.pairOfCabinet(each.place().first().cabinetId()).flatMap(CoolingBook.LastPair::range).isPresent()).count();
        Share held = new Share(SEEDS - missed.size(), SEEDS);
        String figures = "content measured: %b; range held in %d of %d (%.1f to %.1f %%), %d without a late end, %d by drawings, %d of two bodies, %d min wide in the mean; %d s"
                .formatted(measured, SEEDS - missed.size(), SEEDS, held.interval().low() * 100, held.interval().high() * 100, open, rough, apart,
                        SEEDS == open ? 0 : width.dividedBy(SEEDS - open).toMinutes(), Duration.ofNanos(System.nanoTime() - began).toSeconds());
        if (SEEDS > 3) {
            System.out.println(figures);
        }
        assertThat(missed).as(figures).hasSizeLessThanOrEqualTo(SEEDS / 20);
    }

    /** Whoever tries it out by night knows, and says so: nobody else is called. */
    private void takeWhatIsOpen(List<Watched> all) {
        Map<Long, Place> places = all.stream().collect(Collectors.toMap(each -> each.place().siteId(), Watched::place));
        List<?> open = QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery("SELECT id, site_id FROM alarm WHERE kind = 'SUPPLY_LOST' AND live = TRUE"
                + " AND acknowledged_by IS NULL AND site_id IN (:sites)").setParameter("sites", places.keySet()).getResultList());
        open.forEach(row -> desk.take(Rows.number(((Object[]) row)[0]), places.get(Rows.number(((Object[]) row)[1])).people().get(0)));
    }

    /** Some in one commit, for the file of the database is written at each. */
    private List<Watched> watched() {
        List<Watched> all = new ArrayList<>();
        for (long first = 1; first <= SEEDS; first += TOGETHER) {
            LongStream seeds = LongStream.rangeClosed(first, Math.min(first + TOGETHER - 1, SEEDS));
            all.addAll(QuarkusTransaction.requiringNew().call(() -> seeds.mapToObj(seed -> new Watched(seed, place())).toList()));
        }
        return all;
    }

    private Place place() {
        Place place = fixture.place(1);
        registration.changeContent(place.first().cabinetId(), register.content(place.first().cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of()), By.nobody(WatchFixture.NOON));
        return place;
    }
}
