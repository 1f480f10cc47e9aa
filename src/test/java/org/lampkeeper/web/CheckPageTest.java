package org.lampkeeper.web;

import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.time.Duration;

import javax.imageio.ImageIO;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;
import org.lampkeeper.watch.PhotoTest;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** The page behind the link of a look: opening records nothing, each tap is kept, and the time of the server counts. */
@QuarkusTest
@TestProfile(WithDemo.class)
class CheckPageTest {

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;

    private String link;

    @BeforeEach
    void lookThatIsOpen() {
        clock.stopAt(NOW);
        fixture.allLit();
        fixture.run("UPDATE sensor_status SET reading = 'UNKNOWN' WHERE cabinet_id = ?", fixture.cabinet(CABINET));
        link = fixture.aLook(900_900, fixture.cabinet(CABINET), fixture.person("M. Teal"), tokens);
    }

    @Test
    void openingRecordsNothingAndATapIsConfirmedWithItsTime() {
        for (int i = 0; i < 2; i++) {
            anybody().get(link).then().statusCode(200).body(containsString("Is the lamp of North Stair 2 lit?")).body(containsString("By 04:45"))
                    .body(containsString("M. Teal")).body(not(containsString("Recorded")));
        }
        anybody().head(link).then().statusCode(200);
        assertThat(records()).isZero();

        clock.advance(Duration.ofMinutes(7));
        say("LIT", "").then().statusCode(303).header("Location", containsString(link));
        say("LIT", "").then().statusCode(303);

        assertThat(records()).isOne();
        anybody().get(link).then().statusCode(200).body(containsString("Recorded at 02:52: the lamp is lit.")).body(containsString("I tapped wrong"));
    }

    @Test
    void whoeverSawItOutReadsWhatToDoWithTheCautions() {
        say("OUT", "  smells   burnt ").then().statusCode(303);

        anybody().get(link).then().statusCode(200).body(containsString("Recorded at 02:45: the lamp is out. Your note: smells burnt."))
                .body(containsString("Whoever is on the call-out list is told now.")).body(containsString("What to do now"))
                .body(containsString("Never fit a bigger fuse")).body(containsString("electrician only")).body(containsString("href=\"tel:"));
        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE kind = 'LAMP_OUT' AND live = TRUE")).isOne();

        say("LIT", "").then().statusCode(303);
        anybody().get(link).then().body(containsString("Tapped wrong, and kept: the lamp is out, 02:45.")).body(not(containsString("What to do now")));
        assertThat(records()).isEqualTo(2);
    }

    @Test
    void whoeverCouldNotSeeItSaysLaterWhatTheySaw() {
        say("NOT_SEEN", "").then().statusCode(303);
        anybody().get(link).then().statusCode(200).body(containsString("When you can see it")).body(not(containsString("apped wrong")));

        say("LIT", "").then().statusCode(303);
        anybody().get(link).then().body(containsString("Recorded at 02:45: the lamp is lit.")).body(not(containsString("Tapped wrong")));
    }

    @Test
    void whatIsNoAnswerIsRefusedAndALongNoteIsKept() {
        say("", "").then().statusCode(400);
        say("PERHAPS", "").then().statusCode(400);
        say("LIT", "x".repeat(501)).then().statusCode(422).body(containsString("Nothing was recorded yet")).body(containsString("x".repeat(501)));

        assertThat(records()).isZero();
    }

    @Test
    void linkIsGoodForThisLookAloneAndHasAnEnd() {
        String token = link.substring(3);

        anybody().get("/a/" + token).then().statusCode(404);
        anybody().get("/c/" + tokens.issue(ALARM, fixture.person("M. Teal"), NOW.plusSeconds(60))).then().statusCode(404);
        anybody().get("/c/none").then().statusCode(404).body(containsString("copy all of it"));
        clock.advance(Duration.ofDays(3));
        anybody().get(link).then().statusCode(410).body(containsString("The time for this look is over."));
        say("LIT", "").then().statusCode(410);
        assertThat(records()).isZero();
    }

    @Test
    void testButtonIsSaidToBePressedBeforeItIs() {
        fixture.run("UPDATE check_due SET kind = 'TEST_BUTTON' WHERE id = 900900");
        fixture.run("DELETE FROM suppression WHERE kind = 'TEST_PRESS'");

        anybody().get(link).then().statusCode(200).body(containsString("I press the test button now"));
        anybody().get(link + "/press").then().statusCode(405);
        anybody().post(link + "/press").then().statusCode(303).header("Location", containsString(link));
        anybody().post(link + "/press").then().statusCode(303);
        anybody().get(link).then().body(containsString("Until 02:47 a lost supply is expected")).body(not(containsString("I press the test button now")));
        assertThat(fixture.number("SELECT COUNT(*) FROM suppression WHERE kind = 'TEST_PRESS'")).isOne();
        say("LIT", "").then().statusCode(303);
        anybody().get(link).then().body(containsString("Recorded at 02:45: all is well."));
    }

    @Test
    void whatIsAnsweredWithNoGoesWithDamagedAndNotWithAllIsWell() {
        fixture.run("UPDATE check_due SET kind = 'CABINET' WHERE id = 900900");
        anybody().get(link).then().statusCode(200).body(containsString("Does the door close, and can it be opened as the sign says?"))
                .body(containsString("Does the device itself show that it is ready"));

        anybody().formParam("answer", "LIT").formParam("no", "0").post(link).then().statusCode(422).body(containsString("you ticked what is not so"))
                .body(containsString("value=\"0\" checked"));
        assertThat(records()).isZero();

        anybody().formParam("answer", "DAMAGED").formParam("no", "0").formParam("note", "the hinge").post(link).then().statusCode(303);
        anybody().get(link).then().body(containsString("Your note: No to: Does the door close, and can it be opened as the sign says? the hinge."));
    }

    @Test
    void photoIsKeptAndSeenByWhoeverMaySeeTheSiteAndNeverRuns() throws IOException {
        RequestSpecification sending = anybody().multiPart("answer", "DAMAGED").multiPart("note", "cracked")
                .multiPart("photo", "photo.jpg", PhotoTest.jpeg(300, 200), "image/jpeg");
        sending.post(link).then().statusCode(303);
        anybody().get(link).then().body(containsString("Your note: cracked. Your photo is kept with it."));
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        String sheet = staff.browser().get("/cabinets/" + fixture.cabinet(CABINET) + "/checks").then().statusCode(200).extract().asString();
        String photo = sheet.replaceAll("(?s).*href=\"(/cabinets/\\d+/checks/photo\\?record=\\d+)\".*", "$1");

        byte[] shown = staff.request().get(photo).then().statusCode(200).contentType("image/jpeg").header("X-Content-Type-Options", "nosniff")
                .header("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'").header("Cache-Control", "no-store").extract().asByteArray();
        assertThat(ImageIO.read(new ByteArrayInputStream(shown)).getWidth()).isEqualTo(300);
        staff.browser().get("/sites/" + fixture.site(SITE) + "/checks").then().body(containsString("href=\"" + photo + "\">photo<span class=\"unseen\"> of " + CABINET + ", "));
        staff.browser().accept("text/csv").get("/sites/" + fixture.site(SITE) + "/checks.csv").then().body(containsString(",plan,http")).body(containsString(photo));
        RestAssured.given().redirects().follow(false).get(photo).then().statusCode(303);
        SignedIn.as(Role.SITE_STAFF, fixture.site("Cray Point")).request().get(photo).then().statusCode(404);
        staff.request().get(photo.replaceAll("record=\\d+", "record=1")).then().statusCode(404);
    }

    @Test
    void whatIsNoPhotoRecordsNothingAndLosesNothingThatWasTyped() {
        anybody().multiPart("answer", "DAMAGED").multiPart("note", "cracked").multiPart("photo", "photo.jpg", "<svg onload=alert(1)>".getBytes(UTF_8), "image/jpeg")
                .post(link).then().statusCode(422).body(containsString("Nothing was recorded yet. This is no photo")).body(containsString("cracked</textarea>"));

        assertThat(records()).isZero();
    }

    @Test
    void datesOfTheContentAreListedAndConfirmedByTheAnswer() {
        fixture.run("UPDATE check_due SET kind = 'CONTENT' WHERE id = 900900");
        fixture.run("DELETE FROM content_part WHERE cabinet_id = ?", fixture.cabinet(CABINET));
        part("pads", "2026-12-01");
        part("battery", "2028-05-01");
        String seen = "pads 2026-12-01; battery 2028-05-01";

        anybody().get(link).then().statusCode(200).body(containsString("pads: good until 1 December 2026, <strong>only 6 more days</strong>"))
                .body(containsString("battery: good until 1 May 2028</p>")).body(containsString("name=\"seen\" value=\"" + seen + "\""));
        part("bottle", "2026-11-24");
        anybody().formParam("answer", "LIT").formParam("seen", seen).post(link).then().statusCode(422).body(containsString("have changed since you opened this page"));
        anybody().formParam("answer", "LIT").formParam("seen", seen + "; bottle 2026-11-24").post(link).then().statusCode(422)
                .body(containsString("bottle, good until 24 November 2026 by the register, is over."));
        assertThat(records()).isZero();
        fixture.run("DELETE FROM content_part WHERE name = 'bottle'");
        anybody().formParam("answer", "LIT").formParam("seen", seen).formParam("note", "new pads are ordered").post(link).then().statusCode(303);

        anybody().get(link).then().body(containsString("Your note: Dates seen: " + seen + ". new pads are ordered."));
        fixture.run("DELETE FROM content_part WHERE cabinet_id = ?", fixture.cabinet(CABINET));
    }

    private void part(String name, String goodUntil) {
        fixture.run("INSERT INTO content_part (cabinet_id, position, name, good_until) SELECT CAST(? AS BIGINT), COALESCE(MAX(position), -1) + 1, ?, CAST(? AS DATE)"
                + " FROM content_part WHERE cabinet_id = ?", fixture.cabinet(CABINET), name, goodUntil, fixture.cabinet(CABINET));
    }

    @Test
    void pressingTheTestButtonIsForATestAlone() {
        fixture.run("DELETE FROM suppression WHERE kind = 'TEST_PRESS'");

        anybody().get(link).then().body(not(containsString("test button")));
        anybody().post(link + "/press").then().statusCode(303);

        assertThat(fixture.number("SELECT COUNT(*) FROM suppression WHERE kind = 'TEST_PRESS'")).isZero();
    }

    @Test
    void codeOnTheLabelIsAskedForWhereThePlanSaysSoAndAWrongOneLosesNothing() {
        anybody().get(link).then().body(not(containsString("The code on the label")));
        fixture.run("DELETE FROM cabinet_label");
        fixture.run("INSERT INTO cabinet_label (cabinet_id, code, look_code, made_at) VALUES (?, 'look-code-page', '048213', ?)", fixture.cabinet(CABINET), NOW);
        anybody().get(link).then().statusCode(200).body(containsString("The code on the label")).body(containsString("inputmode=\"numeric\""));

        anybody().formParam("answer", "LIT").formParam("code", "048 214").formParam("note", "iced up").post(link).then().statusCode(422)
                .body(containsString("Nothing was recorded yet. That is not the code on the label at the cabinet now")).body(containsString(">048 214</textarea>"))
                .body(containsString(">iced up</textarea>")).body(containsString("aria-describedby=\"code-problem\""));
        assertThat(records()).isZero();
        anybody().formParam("answer", "LIT").formParam("code", "048 213").formParam("note", "iced up").post(link).then().statusCode(303);

        anybody().get(link).then().body(containsString("Recorded at the cabinet at 02:45: the lamp is lit. Your note: iced up."));
        fixture.run("DELETE FROM cabinet_label");
    }

    @Test
    void whoeverSawItOutIsToldThatTheirAnswerIsRecordedWithoutTheCode() {
        fixture.run("DELETE FROM cabinet_label");
        fixture.run("INSERT INTO cabinet_label (cabinet_id, code, look_code, made_at) VALUES (?, 'look-code-out', '048213', ?)", fixture.cabinet(CABINET), NOW);

        anybody().formParam("answer", "OUT").formParam("code", "1").post(link).then().statusCode(422)
                .body(containsString("Your answer is recorded all the same, without the code.")).body(containsString("Recorded at 02:45: the lamp is out."))
                .body(containsString("What to do now"));

        assertThat(records()).isOne();
        fixture.run("DELETE FROM cabinet_label");
    }

    @Test
    void lateAnswerIsSaidToBeLate() {
        clock.advance(Duration.ofHours(4));

        anybody().get(link).then().statusCode(200).body(containsString("what you say now is recorded as late"));
        say("LIT", "").then().statusCode(303);
        assertThat(fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = 900900 AND is_counted = FALSE")).isOne();
    }

    private Response say(String answer, String note) {
        return anybody().formParam("answer", answer).formParam("note", note).post(link);
    }

    private long records() {
        return fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = 900900");
    }

    private static RequestSpecification anybody() {
        return RestAssured.given().redirects().follow(false).accept("text/html");
    }
}
