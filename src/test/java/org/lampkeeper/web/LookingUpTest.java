package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.ValidatableResponse;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.NOW;

/** The pages that are looked up rather than watched: a cabinet, the journal, the operation. */
@QuarkusTest
@TestProfile(WithDemo.class)
class LookingUpTest {

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn administrator;
    private long site;
    private long cabinet;

    /** They stand outside the chain, so none of them may stay behind. */
    @AfterEach
    void withoutTheEntriesOfThisTest() {
        fixture.run("DELETE FROM journal_entry WHERE id BETWEEN 900800 AND 900850");
    }

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        administrator = SignedIn.as(Role.ADMINISTRATOR);
        site = fixture.site("North Stair");
        cabinet = fixture.cabinet("North Stair 2");
        fixture.run("DELETE FROM sensor_quarter");
    }

    @Test
    void cabinetSaysWhatFeedsItAndHowItIs() {
        page("/cabinets/" + cabinet).body(containsString("North Stair 2 has no supply since 02:41; nobody has taken it yet."))
                .body(containsString("Board A")).body(containsString("C16, 30 mA")).body(containsString("To get in:"))
                .body(containsString("02:44, 40 s ago")).body(containsString("8.9 °C"))
                .body(containsString("/cabinets/" + cabinet + "/circuit")).body(containsString("Announce work"));
    }

    @Test
    void editLinksStandOnlyForWhoMayUseThem() {
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, site);

        staff.browser().get("/cabinets/" + cabinet).then().statusCode(200).body(not(containsString("/circuit"))).body(not(containsString("/work")))
                .body(not(containsString("/journal")));
    }

    @Test
    void dayOfTheCabinetStandsInATableAndItsLossesInAList() {
        quarter(NOW.minus(Duration.ofHours(2)), 9.75);
        quarter(NOW.minus(Duration.ofHours(26)), 4.25);
        entry(900_801, "dip-ended", "{\"from\":\"2026-11-25T01:00:00Z\",\"to\":\"2026-11-25T01:00:05Z\"}");

        page("/cabinets/" + cabinet).body(containsString("<td>9.8 °C</td>")).body(containsString("class=\"plot-inside\"")).body(not(containsString("4.3 °C")))
                .body(containsString("<strong>short dip</strong> from 01:00 to 01:00, 5 s"))
                .body(containsString("<strong>no supply</strong> from 02:41 until now, 4 min"));
    }

    @Test
    void cabinetThatDoesNotExistIsNotFound() {
        administrator.browser().get("/cabinets/999999999").then().statusCode(404);
    }

    @Test
    void journalTellsInSentencesAndShowsWhatWasWritten() {
        entry(900_802, "loss-confirmed", "{\"since\":\"2026-11-25T02:41:00Z\"}");

        page("/journal?cabinet=" + cabinet + "&kind=loss-confirmed").body(containsString("North Stair 2 has no supply since 02:41: confirmed."))
                .body(containsString("{&quot;since&quot;:&quot;2026-11-25T02:41:00Z&quot;}"));
        page("/journal?kind=loss-confirmed&day=2026-11-24").body(not(containsString("confirmed.")));
        page("/journal?kind=loss-confirmed&day=2026-11-25&site=" + site).body(containsString("confirmed."));
        page("/journal?day=yesterday").body(containsString("is no day; write it as 2026-11-25"));
    }

    @Test
    void journalIsReadOnlyWhereOneMay() {
        entry(900_803, "loss-confirmed", "{\"since\":\"2026-11-25T02:41:00Z\"}");
        SignedIn there = SignedIn.as(Role.RESPONSIBLE_PERSON, site);
        SignedIn elsewhere = SignedIn.as(Role.RESPONSIBLE_PERSON, fixture.site("Cray Point"));

        there.browser().get("/journal?kind=loss-confirmed").then().statusCode(200).body(containsString("confirmed."));
        elsewhere.browser().get("/journal?kind=loss-confirmed").then().statusCode(200).body(not(containsString("confirmed.")));
        SignedIn.as(Role.SITE_STAFF, site).browser().get("/journal").then().statusCode(403);
    }

    @Test
    void journalIsVerifiedAndTheResultStandsInIt() {
        administrator.browser().post("/journal/verify").then().statusCode(303);

        Awaitility.await().atMost(Duration.ofSeconds(20)).untilAsserted(() -> page("/journal/verification").body(containsString("Verified at 02:45 UTC")));
        page("/journal?kind=journal-verified").body(containsString(administrator.name() + " had the journal verified"));
        page("/journal").body(containsString("when it was last verified, at 02:45"));
    }

    @Test
    void headThatIsNoneIsRefused() {
        administrator.browser().formParam("number", "12").formParam("hash", "abc").post("/journal/verify").then().statusCode(422)
                .body(containsString("This is no head of the journal."));
    }

    @Test
    void operationSaysWhatLampkeeperStandsOn() {
        fixture.run("DELETE FROM refused_report");
        fixture.run("INSERT INTO refused_report (id, received_at, topic, reason, detail, sample) VALUES (900801, ?, 'lampkeeper/v1/x/report', 'not-json',"
                + " 'no JSON', '<b>hello</b>')", NOW.minusSeconds(60));

        page("/operation").body(containsString("Lampkeeper is")).body(containsString("Broker: of our own")).body(containsString("Database: reachable"))
                .body(containsString("H2")).body(containsString("not-json")).body(containsString("&lt;b&gt;hello&lt;/b&gt;"))
                .body(containsString("logins refused since the start"));
    }

    @Test
    void operationSaysHowManyAlarmsThereWere() {
        String name = "Counted " + System.nanoTime();
        fixture.run("INSERT INTO cabinet (id, site_id, code, name, place, content, lamp_place, version) VALUES (900802, ?, 'COUNTED', ?, 'p', 'c', 'l', 0)", site, name);
        fixture.run("INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, version)"
                + " VALUES (900802, 'SUPPLY_LOST', ?, 900802, 'ACKNOWLEDGED', TRUE, ?, ?, 0)", site, NOW.minusSeconds(86_460), NOW.minusSeconds(86_460));
        try {
            for (int each = 0; each < 1_000; each++) {
                fixture.run("INSERT INTO journal_entry (id, at, kind, site_id, cabinet_id, alarm_id, body) VALUES (nextval('journal_entry_seq'), ?, ?, ?, 900802, 900802, '{}')",
                        NOW.minusSeconds(3600 + each), each % 2 == 0 ? "alarm-raised-again" : "alarm-returned", site);
            }

            page("/operation").body(containsString(name + " without supply")).body(containsString("Chattering: came or went three times or more within a minute"))
                    .body(containsString("<td>60</td>")).body(containsString("Stale: there for more than 24 hours")).body(containsString("class=\"many\""))
                    .body(containsString("Some came as a flood."));
        } finally {
            fixture.run("DELETE FROM journal_entry WHERE alarm_id = 900802");
            fixture.run("DELETE FROM alarm WHERE id = 900802");
            fixture.run("DELETE FROM cabinet WHERE id = 900802");
        }
    }

    @Test
    void operationIsForWhoLooksAfterEverything() {
        SignedIn.as(Role.ADMINISTRATOR, site).browser().get("/operation").then().statusCode(403);
        SignedIn.as(Role.RESPONSIBLE_PERSON).browser().get("/operation").then().statusCode(403);
    }

    private void quarter(Instant at, double inside) {
        fixture.run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c)"
                + " SELECT id, ?, ?, 'HEALTHY', ? FROM sensor WHERE cabinet_id = ?", Quarters.of(at), at, inside, cabinet);
    }

    private void entry(long id, String kind, String body) {
        fixture.run("INSERT INTO journal_entry (id, at, kind, site_id, cabinet_id, body, seal_number, seal_hash) VALUES (?, ?, ?, ?, ?, ?, ?, 'x')", id,
                NOW.minusSeconds(30), kind, site, cabinet, body, id);
    }

    private ValidatableResponse page(String path) {
        return administrator.browser().get(path).then().statusCode(200);
    }
}
