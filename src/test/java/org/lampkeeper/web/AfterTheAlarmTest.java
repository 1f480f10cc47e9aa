package org.lampkeeper.web;

import java.time.Duration;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.ValidatableResponse;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.endsWith;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/** What somebody who has signed in does about an alarm: take it, pass it on, shelve it, say what was done. */
@QuarkusTest
@TestProfile(WithDemo.class)
class AfterTheAlarmTest {

    private static final String HERE = "/alarms/" + ALARM;

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn manager;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        manager = SignedIn.as(Role.DUTY_MANAGER, fixture.site("North Stair"));
    }

    @Test
    void whoeverIsNotOnTheListMayTakeItToo() {
        page(HERE).body(containsString("I take this<"));

        press(HERE + "/take").statusCode(303).header("Location", endsWith(HERE + "?said=take"));
        press(HERE + "/take").statusCode(303);

        page(HERE + "?said=take").body(containsString("Recorded: you take this.")).body(containsString("You have this since 02:45"))
                .body(not(containsString("I take this<")));
        assertThat(fixture.number("SELECT acknowledged_by FROM alarm WHERE id = ?", ALARM)).isEqualTo(manager.personId());
    }

    @Test
    void whoeverCannotComeHasTheNextTold() {
        press(HERE + "/cannot").statusCode(303).header("Location", endsWith("?said=cannot"));

        page(HERE + "?said=cannot").body(containsString("Recorded: you cannot come.")).body(containsString(manager.name() + " cannot come"));
    }

    @Test
    void shelvingEndsAtALocalTimeAndSaysWhy() {
        page(HERE + "/shelve").body(containsString("Until when need nobody be told?"));

        send(HERE + "/shelve", "until", "2026-11-25T06:30", "reason", "the landing is closed").statusCode(303);

        page(HERE + "?said=shelved").body(containsString("held back on purpose until 06:30"))
                .body(containsString(manager.name() + " shelves it until 06:30: the landing is closed"));
    }

    @Test
    void relaySaysWhoWasToldWhatWhenHowAndWhetherItArrivedAndWhoIsNext() {
        fixture.message(900_202, "R. Osk", "UNDELIVERED", 3, "North Stair 2 has no supply since 02:41.", "body");
        String relay = relay();

        assertThat(relay).contains("02:41 M. Teal, mail: accepted by the mail server, arrival not known“North Stair 2 has no supply since 02:41 (20 s).”")
                .contains("02:41 R. Osk, mail: could not be delivered: the mail server refused it“North Stair 2 has no supply since 02:41.”")
                .contains("02:51 next: R. Osk, unless somebody takes it");

        press(HERE + "/take");
        send(HERE + "/hand-on", "person", "" + fixture.person("R. Osk")).statusCode(303);

        assertThat(relay()).contains(manager.name() + " takes it").contains(manager.name() + " asks R. Osk to take it over")
                .contains("03:00 next: it stays where it is, unless R. Osk takes it over");
    }

    private String relay() {
        String page = page(HERE).extract().asString();
        int begin = page.indexOf("<ol class=\"relay passing\">");
        return page.substring(begin, page.indexOf("</ol>", begin)).replace("</time>", " ").replaceAll("<[^>]+>", "");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"2026-11-25T02:00 | storm | That is over", "2027-11-25T02:00 | storm | longest time is 14 days",
            "tomorrow | storm | not a day and a time", "'' | storm | must be a day and a time", "2026-11-25T06:00 | '' | must say why"})
    void shelvingThatCannotBeRightIsRefusedAndKeepsWhatWasTyped(String until, String reason, String said) {
        send(HERE + "/shelve", "until", until, "reason", reason).statusCode(422).body(containsString(said)).body(containsString(reason));

        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE id = ? AND state = 'UNACKNOWLEDGED'", ALARM)).isOne();
    }

    @Test
    void recordIsSavedInStepsAndTellsWhatIsMissing() {
        press(HERE + "/take");
        page(HERE).body(containsString("Nobody has said yet what was done."));

        send(HERE + "/attendance", "version", "0", "done", "on the way in").statusCode(303).header("Location", endsWith("/attendance?said=attended"));

        page(HERE + "/attendance").body(containsString("The record of this alarm is not complete yet."))
                .body(containsString("Still to be said: when somebody arrived, the cause")).body(containsString("on the way in"));
        page(HERE).body(containsString("Go on with the record"));
    }

    @Test
    void completeRecordSettlesItAndACorrectionIsKeptBesideIt() {
        over();
        page("/alarms").body(containsString("Over, and nobody has said what was done")).body(containsString("Of one that is over"))
                .body(containsString("3<span class=\"unseen\"> to see to"));

        complete("0", "fitted a new fuse").statusCode(303).header("Location", endsWith(HERE + "?said=attended"));

        page("/alarms").body(not(containsString("Over, and nobody has said what was done")));
        page(HERE).body(containsString("The record is complete")).body(containsString("fitted a new fuse"));

        complete("1", "tightened a terminal too").statusCode(303);

        page(HERE + "/attendance").body(containsString("fitted a new fuse")).body(containsString("tightened a terminal too"));
    }

    @Test
    void everyVisitHasItsOwnRecordAndAllAreDrawnInOrder() {
        over();
        complete("0", "fitted a new fuse").statusCode(303);
        page(HERE).body(containsString("Somebody went again"));
        page(HERE + "/attendance?visit=2").body(containsString("What was done at visit 2?")).body(not(containsString("fitted a new fuse")));

        send(HERE + "/attendance", "visit", "2", "version", "0", "done", "it blew again").statusCode(422)
                .body(containsString("Say when somebody arrived again")).body(containsString("it blew again"));
        send(HERE + "/attendance", "visit", "2", "version", "0", "arrivedAt", "2026-11-25T03:10", "done", "it blew again").statusCode(303)
                .header("Location", endsWith("/attendance?visit=2&said=attended"));

        page("/alarms").body(containsString("Over, and nobody has said what was done"));
        String drawn = page(HERE).body(containsString("Still to be said")).extract().asString();
        assertThat(drawn).containsSubsequence("Visit 1", "fitted a new fuse", "Visit 2", "it blew again");

        send(HERE + "/attendance", "visit", "1", "version", "1", "arrivedAt", "2026-11-25T03:00", "done", "the first was too small").statusCode(303);
        page(HERE + "/attendance?visit=1").body(containsString("the first was too small")).body(containsString("fitted a new fuse"));
        manager.browser().get(HERE + "/attendance?visit=4").then().statusCode(404);
        send(HERE + "/attendance", "visit", "many", "version", "0").statusCode(404);
    }

    @Test
    void biggerFuseIsRefusedBesideItsField() {
        send(HERE + "/attendance", "version", "0", "done", "put a big one in", "fuseFittedAmpere", "13").statusCode(422)
                .body(containsString("Never a bigger fuse")).body(containsString("put a big one in"))
                .body(containsString("id=\"field-fuseFittedAmpere-error\""));

        assertThat(fixture.number("SELECT COUNT(*) FROM attendance_entry WHERE alarm_id = ?", ALARM)).isZero();
    }

    @Test
    void whoeverSavesOnTopOfAnotherSeesTheirsAndLosesNothing() {
        SignedIn other = SignedIn.as(Role.SITE_STAFF, fixture.site("North Stair"));
        other.browser().formParam("version", "0").formParam("done", "theirs").post(HERE + "/attendance").then().statusCode(303);

        send(HERE + "/attendance", "version", "0", "done", "mine").statusCode(409).body(containsString("theirs")).body(containsString("mine"))
                .body(containsString("Changed by " + other.name()));

        send(HERE + "/attendance", "version", "1", "done", "mine").statusCode(303);
    }

    @Test
    void hostileTextIsShownAsText() {
        String hostile = "<script>alert(1)</script>\u202Eevil " + "x".repeat(1900);

        send(HERE + "/attendance", "version", "0", "done", hostile).statusCode(303);

        page(HERE + "/attendance").body(not(containsString("<script>alert"))).body(containsString("&lt;script&gt;alert"));
        send(HERE + "/attendance", "version", "1", "done", "x".repeat(10_000)).statusCode(422).body(containsString("at most 2000"));
    }

    @Test
    void whoeverMayOnlyLookReadsTheRecordAndWritesNone() {
        SignedIn responsible = SignedIn.as(Role.RESPONSIBLE_PERSON, fixture.site("North Stair"));

        responsible.browser().get(HERE + "/attendance").then().statusCode(200).body(not(containsString("<textarea")));
        responsible.browser().formParam("version", "0").formParam("done", "x").post(HERE + "/attendance").then().statusCode(403);
    }

    private void over() {
        press(HERE + "/take");
        clock.advance(Duration.ofMinutes(30));
        fixture.run("UPDATE alarm SET state = 'NORMAL', live = FALSE, returned_at = ?, closed_at = ? WHERE id = ?", clock.instant(), clock.instant(), ALARM);
        // The other alarm's site is not this person's, and two more of theirs are made to count.
        fixture.run("INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, version) VALUES (900110, 'UNSTEADY', ?, ?,"
                + " 'RETURNED_UNACKNOWLEDGED', FALSE, ?, ?, 1), (900111, 'NOT_HEARD', ?, ?, 'UNACKNOWLEDGED', TRUE, ?, ?, 1)", fixture.site("North Stair"),
                fixture.cabinet("North Stair 1"), NOW, NOW, fixture.site("North Stair"), fixture.cabinet("North Stair 1"), NOW, NOW);
    }

    private ValidatableResponse complete(String version, String done) {
        return send(HERE + "/attendance", "version", version, "arrivedAt", "2026-11-25T03:00", "cause", "fuse-blown", "done", done,
                "fuseFittedAmpere", "3", "retestedBy", "B. Marsh", "retesterCompetent", "yes", "content", "INSPECTED", "peopleTold", "yes",
                "fit", "YES");
    }

    private ValidatableResponse page(String path) {
        return manager.browser().get(path).then().statusCode(200);
    }

    private ValidatableResponse press(String path) {
        return manager.browser().post(path).then();
    }

    private ValidatableResponse send(String path, String... fields) {
        RequestSpecification form = manager.browser();
        for (int i = 0; i < fields.length; i += 2) {
            form.formParam(fields[i], fields[i + 1]);
        }
        return form.post(path).then();
    }
}
