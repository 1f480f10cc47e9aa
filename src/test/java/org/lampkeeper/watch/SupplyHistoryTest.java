package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.register.Rows;
import org.lampkeeper.report.Met;
import org.lampkeeper.report.MonthTemperatures.Day;
import org.lampkeeper.report.MonthTemperatures.Range;
import org.lampkeeper.report.SiteHistory;
import org.lampkeeper.report.Span;
import org.lampkeeper.report.SupplyRecord;
import org.lampkeeper.report.SupplyRecord.Condition;
import org.lampkeeper.report.SupplyRecord.Stretch;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;

/** What the journal says afterwards is what happened. */
@QuarkusTest
class SupplyHistoryTest {

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    SiteHistory history;
    @Inject
    EntityManager entities;

    private Place place;
    private Instant noon;

    @BeforeEach
    void healthyAtNoon() {
        fixture.atNoonListening();
        noon = fixture.now();
        place = fixture.place(2);
        place.sensors().forEach(fixture::saysHealthy);
    }

    @Test
    void lossIsAsLongAsItWasObservedAndSilenceIsNotKnownFromTheLastReport() {
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(60));
        Instant lost = fixture.now();
        fixture.saysLost(place.first());
        fixture.passesWhileAllSay(place, sensor -> sensor != place.first(), Duration.ofMinutes(30));
        // A healthy report of the same second as a loss would end nothing.
        fixture.passes(Duration.ofSeconds(5));
        Instant back = fixture.now();
        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(10));
        Instant last = fixture.now();
        fixture.passes(Duration.ofMinutes(40));

        SupplyRecord record = history.supply(place.siteId(), new Span(noon, fixture.now())).get(place.first().cabinetId());

        assertThat(record.losses()).containsExactly(new Span(lost, back));
        // What other tests did not listen to at this hour, in the same installation, is not known either.
        Stretch end = record.stretches().get(record.stretches().size() - 1);
        assertThat(end.condition()).isEqualTo(Condition.UNKNOWN);
        assertThat(end.span().from()).isBeforeOrEqualTo(last);
        assertThat(end.span().until()).isEqualTo(fixture.now());
        assertThat(history.supply(place.siteId(), new Span(noon, fixture.now())).get(place.sensors().get(1).cabinetId()).losses()).isEmpty();
    }

    @Test
    void temperaturesOfAMonthAreTheDaysOfItsCabinetsInOrder() {
        long today = noon.getEpochSecond() / 86_400;
        QuarkusTransaction.requiringNew().run(() -> {
            for (int before : new int[] {0, 1, 2, 40}) {
                entities.createNativeQuery("""
                        INSERT INTO sensor_day (sensor_id, on_day, quarters, quarters_lost, inside_min_c, inside_mean_c, inside_max_c, content_min_c, content_mean_c, content_max_c, heater_known, heater_on,
                            door_known, door_open) VALUES (:sensor, :day, 96, 0, 4, :mean, 8, 5, 6, 7, 0, 0, 0, 0)""").setParameter("sensor", place.first().sensorId())
                        .setParameter("day", (int) today - before).setParameter("mean", 5.0 + before).executeUpdate();
            }
        });

        Map<Long, List<Day>> days = history.warmth(place.siteId(), new Span(noon.minus(Duration.ofDays(2)), noon.minus(Duration.ofHours(13))));

        assertThat(days).containsOnlyKeys(place.first().cabinetId());
        assertThat(days.get(place.first().cabinetId())).extracting(Day::onDay).containsExactly(today - 2, today - 1);
        assertThat(days.get(place.first().cabinetId()).get(0)).isEqualTo(new Day(today - 2, Optional.of(new Range(4, 7, 8)), Optional.of(new Range(5, 6, 7)), Optional.empty()));
    }

    @Test
    void announcedWorkIsLeftOut() {
        desk.announce(SuppressionKind.ANNOUNCED_WORK, place.siteId(), OptionalLong.empty(), OptionalLong.of(place.first().cabinetId()), fixture.now(),
                fixture.now().plus(Duration.ofMinutes(30)), "new board", OptionalLong.of(place.people().get(0)));
        fixture.saysLost(place.first());
        fixture.passesWhileAllSay(place, sensor -> sensor != place.first(), Duration.ofMinutes(45));

        SupplyRecord record = history.supply(place.siteId(), new Span(noon, fixture.now())).get(place.first().cabinetId());

        assertThat(record.of(Condition.EXCLUDED)).isEqualTo(Duration.ofMinutes(30));
        assertThat(record.losses()).containsExactly(new Span(noon.plus(Duration.ofMinutes(30)), fixture.now()));
        assertThat(history.supply(place.siteId(), new Span(noon, fixture.now())).get(place.sensors().get(1).cabinetId()).of(Condition.EXCLUDED)).isZero();
    }

    @Test
    void howALossWasMetIsCountedFromWhenItBegan() {
        Instant lost = fixture.now().plusSeconds(60);
        fixture.passes(Duration.ofSeconds(60));
        fixture.saysLost(place.first());
        Optional<Duration> told = Optional.of(Duration.between(lost, toldOnceMore()));
        fixture.passesWhileAllSay(place, sensor -> sensor != place.first(), Duration.ofMinutes(5));
        desk.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));

        List<Met> met = history.met(place.siteId(), new Span(noon, fixture.now()));

        long cabinet = place.first().cabinetId();
        Optional<Duration> taken = Optional.of(Duration.between(lost, fixture.now()));
        assertThat(met).containsExactly(new Met(cabinet, told, taken, Optional.empty(), Optional.empty()));

        fixture.passes(Duration.ofSeconds(65));
        Instant back = fixture.now();
        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(5));

        assertThat(history.met(place.siteId(), new Span(noon, fixture.now()))).containsExactly(
                new Met(cabinet, told, taken, Optional.empty(), Optional.of(Duration.between(lost, back))));
        assertThat(history.met(place.siteId(), new Span(lost.plusSeconds(1), fixture.now()))).isEmpty();
    }

    /** One alarm that nobody took is raised again; the losses are two. */
    @Test
    void lossThatComesAgainBeforeAnybodyTookTheFirstIsMetByItself() {
        fixture.passes(Duration.ofSeconds(60));
        Instant first = fixture.now();
        fixture.saysLost(place.first());
        Instant told = toldOnceMore();
        fixture.passes(Duration.ofMinutes(3));
        Instant back = fixture.now();
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofMinutes(4));
        Instant second = fixture.now();
        fixture.saysLost(place.first());
        toldOnceMore();
        fixture.passes(Duration.ofMinutes(5));
        assertThat(fixture.openAlarms(place)).hasSize(1);
        desk.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));
        Instant taken = fixture.now();
        fixture.passes(Duration.ofMinutes(1));
        Instant again = fixture.now();
        fixture.saysHealthy(place.first());

        List<Met> met = history.met(place.siteId(), new Span(noon, fixture.now()));

        assertThat(met).extracting(Met::restored).containsExactly(Optional.of(Duration.between(first, back)), Optional.of(Duration.between(second, again)));
        assertThat(met).extracting(Met::taken).containsExactly(Optional.empty(), Optional.of(Duration.between(second, taken)));
        assertThat(met.get(0).told()).contains(Duration.between(first, told));
        assertThat(met.get(1).told().orElseThrow()).isLessThan(Duration.ofMinutes(3));
    }

    /**
     * Time passes until one more message is written, stands still until it has left, and the moment of that is returned. Would it pass on meanwhile, the lease
     * of who sends could run out in between, and the message wait for a moment that never comes.
     */
    private Instant toldOnceMore() {
        String ofPlace = " FROM outgoing_message m JOIN call_out c ON c.id = m.call_out_id WHERE c.site_id = " + place.siteId();
        int before = all("SELECT m.id" + ofPlace).size();
        Instant latest = fixture.now().plus(Duration.ofMinutes(5));
        while (all("SELECT m.id" + ofPlace).size() == before) {
            assertThat(fixture.now()).as("nobody was told").isBefore(latest);
            fixture.passes(Duration.ofSeconds(5));
        }
        Awaitility.await().atMost(Duration.ofMinutes(1)).untilAsserted(() -> assertThat(all("SELECT m.state" + ofPlace)).extracting(Object::toString).containsOnly("SENT"));
        return Rows.instant(one("SELECT MAX(m.ended_at)" + ofPlace));
    }

    private List<?> all(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(sql).getResultList());
    }

    private Object one(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(sql).getSingleResult());
    }
}
