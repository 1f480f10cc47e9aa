package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.micrometer.core.instrument.simple.SimpleMeterRegistry;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import io.smallrye.config.SmallRyeConfigBuilder;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.Rows;
import org.lampkeeper.telemetry.Subscriber;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.NtpCounterpart;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;

/** By how much the machine's clock was off is written down, stands on the page of the operation, and is quoted by evidence. */
@QuarkusTest
class ClockComparisonTest {

    @Inject
    WatchFixture fixture;
    @Inject
    Journal journal;
    @Inject
    Subscriber subscriber;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private Place place;
    private Instant noon;
    private long before;

    /** In a January of which no entry was written yet: what is in the journal stays there. */
    @BeforeEach
    void aQuietNoon() {
        fixture.atNoonListening();
        place = fixture.place(1);
        before = number("SELECT COALESCE(MAX(id), 0) FROM journal_entry");
        noon = Instant.parse(2031 + number("SELECT COUNT(*) FROM journal_entry WHERE kind LIKE 'clock-%compared'") + "-01-10T12:00:00Z");
        clock.stopAt(noon.plus(Duration.ofHours(4)));
    }

    @Test
    void whatWasFoundIsWrittenDownAndShownAndQuotedFromTheNearestBeforeAndAfter() {
        SignedIn operator = SignedIn.as(Role.ADMINISTRATOR);
        operator.browser().get("/operation").then().statusCode(200).body(containsString("compared with no other"));
        assertThat(evidence()).contains("It was not compared with another clock.");
        try (NtpCounterpart server = NtpCounterpart.ahead(Duration.ofMillis(-250))) {
            ClockComparison comparison = comparison(server);
            clock.stopAt(noon.minus(Duration.ofMinutes(30)));
            comparison.compare();
            clock.stopAt(noon.plus(Duration.ofMinutes(30)));
            server.set(Duration.ofSeconds(90));
            comparison.compare();
            clock.stopAt(noon.plus(Duration.ofHours(3)));
            server.set(Duration.ofSeconds(2));
            comparison.compare();
        }

        assertThat(written()).hasSize(3).allSatisfy(body -> assertThat(body).contains("\"server\":\"127.0.0.1\"", "\"offset-ms\":", "\"delay-ms\":"));
        assertThat(written()).extracting(body -> body.contains("\"off\":true")).containsExactly(false, true, true);
        operator.browser().get("/operation").then().statusCode(200).body(containsString("2.0 s behind 127.0.0.1")).body(containsString("Machine: not well"));
        String said = evidence();
        assertThat(said).contains("It was compared with another clock once in this time: 90.0 s behind.").contains(", 2.0 s behind. Each comparison is in clock.csv.")
                .containsPattern("Nearest before it, at [^.]*11:30[^.]*, 0\\.[23] s ahead\\. Nearest after it, at [^.]*15:00").contains("compared with that of 127.0.0.1, was 90.0 s behind");
        clock.stopAt(noon.plus(Duration.ofHours(30)));
        operator.browser().get("/operation").then().body(containsString("compared with no other"));
    }

    @Test
    void serverThatCannotBeComparedWithIsWrittenDownOnce() {
        try (NtpCounterpart silent = NtpCounterpart.silent()) {
            ClockComparison comparison = comparison(silent);
            comparison.compare();
            comparison.compare();
        }

        assertThat(written()).singleElement().asString().contains("did not answer within");
    }

    @Test
    void withoutAServerNothingIsCompared() {
        new ClockComparison(config(Map.of()), journal, subscriber, new SimpleMeterRegistry(), clock).compare();

        assertThat(written()).isEmpty();
    }

    private ClockComparison comparison(NtpCounterpart server) {
        return new ClockComparison(config(Map.of("lampkeeper.clock.server", "127.0.0.1", "lampkeeper.clock.port", "" + server.port(), "lampkeeper.clock.timeout", "2s")),
                journal, subscriber, new SimpleMeterRegistry(), clock);
    }

    private static ClockConfig config(Map<String, String> settings) {
        return new SmallRyeConfigBuilder().withMapping(ClockConfig.class).addDiscoveredConverters().withDefaultValues(settings).build().getConfigMapping(ClockConfig.class);
    }

    /** Of two hours from noon, which in January is the same in London. */
    private String evidence() {
        SignedIn responsible = SignedIn.as(Role.RESPONSIBLE_PERSON, place.siteId());
        byte[] paper = responsible.request().accept("application/pdf").queryParam("from", noon.toString().substring(0, 16))
                .queryParam("until", noon.plus(Duration.ofHours(2)).toString().substring(0, 16))
                .get("/cabinets/" + place.first().cabinetId() + "/evidence.pdf").then().statusCode(200).extract().asByteArray();
        try (PaperPages pages = new PaperPages(paper)) {
            return pages.text().replaceAll("\\s+", " ");
        }
    }

    private List<String> written() {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery("SELECT body FROM journal_entry WHERE kind LIKE 'clock-%compared' AND id > "
                + before + " ORDER BY id").getResultList()).stream().map(String.class::cast).toList());
    }

    private long number(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(sql).getSingleResult()));
    }
}
