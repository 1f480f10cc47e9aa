package org.lampkeeper.web;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.response.Response;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.NOW;

/** How people are reached, by the pages: their own, and those of whoever looks after them. */
@QuarkusTest
@TestProfile(WithDemo.class)
class ChannelPagesTest {

    private static final String PASSWORD = "a ferry leaves at seven";

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn administrator;
    private SignedIn staff;
    private long first;
    private String theirs;

    @BeforeEach
    void somebodyWithAChannel() {
        clock.stopAt(NOW);
        fixture.allLit();
        administrator = SignedIn.as(Role.ADMINISTRATOR, fixture.site(WebFixture.SITE));
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(WebFixture.SITE));
        first = fixture.channel(staff.personId());
        theirs = "/people/" + staff.personId() + "/channels";
    }

    @Test
    void channelIsAddedMovedAndTakenAwayButNotTheLast() {
        staff.browser().formParam("kind", "MAIL").formParam("address", "nowhere").post(theirs + "/new").then().statusCode(422)
                .body(containsString("value=\"nowhere\"")).body(containsString("mail address"));
        staff.browser().formParam("kind", "PIGEON").formParam("address", "loft 3").post(theirs + "/new").then().statusCode(422);
        staff.browser().formParam("kind", "MAIL").formParam("address", "second@hallowwater.example").post(theirs + "/new").then().statusCode(303)
                .header("Location", containsString("/me/channels?said=added"));
        long second = fixture.number("SELECT id FROM person_channel WHERE person_id = ? AND place = 2", staff.personId());

        administrator.browser().post(theirs + "/" + second + "/up").then().statusCode(303).header("Location", containsString(theirs + "?said=moved"));
        assertThat(fixture.number("SELECT place FROM person_channel WHERE id = ?", second)).isOne();
        administrator.browser().post(theirs + "/" + second + "/down").then().statusCode(303);
        assertThat(fixture.number("SELECT place FROM person_channel WHERE id = ?", second)).isEqualTo(2);
        administrator.browser().post(theirs + "/" + second + "/remove").then().statusCode(303);
        administrator.browser().post(theirs + "/" + first + "/remove").then().statusCode(409).body(containsString("is their only one"));
        assertThat(fixture.number("SELECT COUNT(*) FROM person_channel WHERE person_id = ?", staff.personId())).isOne();
    }

    @Test
    void onlyThePersonAndWhoeverMayChangeThemSeesTheAddresses() {
        SignedIn colleague = SignedIn.as(Role.SITE_STAFF, fixture.site(WebFixture.SITE));
        String address = "p" + staff.personId() + "@hallowwater.example";

        staff.browser().get("/me/channels").then().statusCode(200).body(containsString(address)).body(containsString("unproven"));
        administrator.browser().get(theirs).then().statusCode(200).body(containsString(address));
        colleague.browser().get(theirs).then().statusCode(403).body(not(containsString(address)));
        colleague.browser().post(theirs + "/" + first + "/prove").then().statusCode(403);
        // Somebody else's channel is not reached by way of one's own page.
        colleague.browser().post("/people/" + colleague.personId() + "/channels/" + first + "/prove").then().statusCode(404);
    }

    @Test
    void proofIsSentRecordedOnceAndNotWithoutEnd() {
        for (int i = 0; i < 5; i++) {
            staff.browser().post(theirs + "/" + first + "/prove").then().statusCode(303);
        }
        staff.browser().post(theirs + "/" + first + "/prove").then().statusCode(429).body(containsString("The next can be sent at 03:45."));
        String link = fixture.linkTo(staff.personId());

        anybody(link).then().statusCode(200).body(containsString("It arrived"));
        assertThat(proven()).isZero();
        answer(link, "RANG").then().statusCode(400);
        answer(link, "").then().statusCode(400);
        assertThat(proven()).isZero();
        answer(link, "ARRIVED").then().statusCode(303).header("Location", containsString(link));
        answer(link, "ARRIVED").then().statusCode(303);
        assertThat(proven()).isOne();
        anybody(link).then().statusCode(200).body(containsString("Recorded: mail reaches you."));
        anybody("/p/none").then().statusCode(404);
        anybody("/a/" + link.substring(3)).then().statusCode(404);
    }

    @Test
    void codeIsTypedInOnThePage() {
        staff.browser().post(theirs + "/" + first + "/prove").then().statusCode(303);
        staff.browser().get("/me/channels").then().body(containsString("The code of the proof"));
        String code = fixture.text("SELECT subject FROM outgoing_message WHERE person_id = ? ORDER BY id DESC LIMIT 1", staff.personId())
                .replaceAll("\\D", "");

        staff.browser().formParam("code", "no").formParam("answer", "ARRIVED").post(theirs + "/" + first + "/code").then().statusCode(422)
                .body(containsString("Nothing was recorded"));
        staff.browser().formParam("code", code).formParam("answer", "x").post(theirs + "/" + first + "/code").then().statusCode(422)
                .body(containsString("say with one of the buttons"));
        staff.browser().formParam("code", code).formParam("answer", "ARRIVED").post(theirs + "/" + first + "/code").then().statusCode(303);

        assertThat(proven()).isOne();
        staff.browser().get("/me/channels").then().body(containsString("proven on 25 Nov")).body(not(containsString("The code of the proof")));
    }

    @Test
    void proofAtNightTakesAnHourOnTheClocksOfTheSite() {
        staff.browser().formParam("at", "never").post(theirs + "/" + first + "/prove-tonight").then().statusCode(422)
                .body(containsString("choose an hour"));
        staff.browser().formParam("at", "02:00").post(theirs + "/" + first + "/prove-tonight").then().statusCode(303);
        staff.browser().get("/me/channels").then().body(containsString("A proof is sent at 26 Nov 02:00."));
        administrator.browser().post(theirs + "/" + first + "/not-tonight").then().statusCode(303);
        staff.browser().get("/me/channels").then().body(not(containsString("A proof is sent")));
    }

    @Test
    void whoeverComesInByAMailedInvitationHasProvenTheirMailAndByTheOneOnThePageHasNot() {
        long mailed = registered("mailed");
        long handed = registered("handed");
        String inMail = link(administrator(), mailed);
        Response shown = administrator().browser().post("/people/" + handed + "/invite");
        String onPage = shown.asString().replaceAll("(?s).*(/invitation/[^<\"]+).*", "$1");

        RestAssured.given().accept("text/html").get(inMail).then().statusCode(200);
        assertThat(provenChannels(mailed)).isZero();
        String[] parts = inMail.split("\\?proof=");
        accept(parts[0], parts[1]).then().statusCode(303);
        accept(onPage, "").then().statusCode(303);

        assertThat(provenChannels(mailed)).isOne();
        assertThat(provenChannels(handed)).isZero();
    }

    private SignedIn administrator() {
        return SignedIn.as(Role.ADMINISTRATOR);
    }

    private long registered(String name) {
        String location = administrator().browser().formParam("name", name).formParam("mail", name + "." + System.nanoTime() + "@hallowwater.example")
                .formParam("role", "SITE_STAFF").formParam("site", fixture.site(WebFixture.SITE)).post("/people/new").header("Location");
        return Long.parseLong(location.replaceAll(".*/people/(\\d+).*", "$1"));
    }

    private String link(SignedIn inviting, long person) {
        inviting.browser().post("/people/" + person + "/invite").then().statusCode(200);
        return fixture.text("SELECT body FROM outgoing_message WHERE person_id = ? ORDER BY id DESC LIMIT 1", person)
                .replaceAll("(?s).*(/invitation/\\S+).*", "$1");
    }

    private static Response accept(String path, String proof) {
        return RestAssured.given().redirects().follow(false).accept("text/html").header("Sec-Fetch-Site", "same-origin").formParam("password", PASSWORD)
                .formParam("proof", proof).post(path);
    }

    private long provenChannels(long person) {
        return fixture.number("SELECT COUNT(*) FROM person_channel WHERE person_id = ? AND proven_at IS NOT NULL", person);
    }

    private long proven() {
        return fixture.number("SELECT COUNT(*) FROM journal_entry WHERE kind = 'channel-proven' AND body LIKE '%\"reference-" + staff.personId() + "\"%'");
    }

    private static Response anybody(String path) {
        return RestAssured.given().redirects().follow(false).accept("text/html").get(path);
    }

    private static Response answer(String path, String answer) {
        return RestAssured.given().redirects().follow(false).accept("text/html").header("Sec-Fetch-Site", "same-origin").formParam("answer", answer)
                .post(path);
    }
}
