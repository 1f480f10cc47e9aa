package org.lampkeeper.web;

import java.io.IOException;
import java.time.Instant;
import java.util.UUID;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.response.ValidatableResponse;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;
import org.lampkeeper.watch.PhotoTest;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.hasItems;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** What a phone fetches ahead and sends later: by its cookie alone, once, with the times that its clock says. */
@QuarkusTest
@TestProfile(WithDemo.class)
class PhoneAnswersTest {

    private static final long LOOK = 900_900;

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;

    private SignedIn staff;
    private String phone;

    @BeforeEach
    void somebodyIsAskedToLook() {
        clock.stopAt(NOW);
        fixture.allLit();
        for (String table : new String[] {"check_record", "check_asked", "check_due", "check_plan"}) {
            fixture.run("DELETE FROM " + table);
        }
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        phone = staff.browser().post("/people/" + staff.personId() + "/phones/this").cookie(PhonePagesTest.COOKIE);
        fixture.aLook(LOOK, fixture.cabinet(CABINET), staff.personId(), tokens);
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (?, ?, ?, TRUE)", LOOK, staff.personId(), NOW.minusSeconds(60));
    }

    @Test
    void looksAreFetchedAheadWithWhatCanBeSaid() {
        phone().get("/phone/ahead").then().statusCode(200).body("person", equalTo((int) staff.personId())).body("name", equalTo(staff.name())).body("looks[0].id", equalTo((int) LOOK))
                .body("looks[0].question", equalTo("Is the lamp of North Stair 2 lit?")).body("looks[0].answers.value", hasItems("LIT", "OUT", "NOT_SEEN", "DAMAGED"))
                .body("looks[0].out.cautions", hasItems("Never fit a bigger fuse. Never tape a handle, never bypass anything."));
        assertThat(records()).isZero();
    }

    @Test
    void whatIsSentTwiceCountsOnceAndTheDaySaysWhenItCame() {
        String body = sending(NOW, answer(UUID.randomUUID().toString(), "LIT", NOW.minusSeconds(1800)));

        send(body).statusCode(200).body("answers[0].isTaken", equalTo(true)).body("answers[0].words",
                equalTo("Recorded of North Stair 2: the lamp is lit, looked at 02:15, received at 02:45. It counts as looked in time."));
        send(body).statusCode(200).body("answers[0].isTaken", equalTo(true)).body("answers[0].words", containsString("looked at 02:15"));

        assertThat(records()).isOne();
        staff.browser().get("/sites/" + fixture.site(SITE) + "/checks").then().body(containsString("at 02:15, received at 02:45"));
    }

    @Test
    void wrongClockIsSaidOnThePageOfTheDay() {
        send(sending(NOW.minusSeconds(7200), answer(UUID.randomUUID().toString(), "LIT", NOW.minusSeconds(7800)))).statusCode(200);

        staff.browser().get("/sites/" + fixture.site(SITE) + "/checks").then().body(containsString("at 02:35")).body(containsString("by a phone whose clock is"))
                .body(containsString("behind"));
    }

    @Test
    void strangerGetsAProblemAndNothingIsRecorded() {
        RestAssured.given().header("Sec-Fetch-Site", "same-origin").contentType("application/json").body(sending(NOW, answer(UUID.randomUUID().toString(), "LIT", NOW)))
                .post("/phone/answers").then().statusCode(401).contentType("application/problem+json").body("detail", containsString("not enrolled"));
        RestAssured.given().get("/phone/ahead").then().statusCode(401);
        assertThat(records()).isZero();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "{} | 422 | sentAt",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[]} | 422 | answers",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[{\"id\":\"x\",\"person\":1,\"look\":1}]} | 422 | id",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[{\"person\":1,\"look\":1,\"answer\":\"LIT\"}]} | 422 | id",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[{\"id\":\"2f1a7c56-31f0-4c68-9a0e-6a4f0b7d1c11\",\"look\":1,\"answer\":\"LIT\"}]} | 422 | person",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[null]} | 422 | answers/0",
        "no JSON | 400 | line 1",
    })
    void whatCannotBeReadIsAProblemThatNamesTheField(String body, int status, String names) {
        send(body).statusCode(status).contentType("application/problem+json").body("detail", containsString(names));
        assertThat(records()).isZero();
    }

    @Test
    void whatWasSaidBeforeThePhoneBecameSomebodyElsesIsNotTheirs() {
        String body = sending(NOW, answer(UUID.randomUUID().toString(), "OUT", NOW)).replace("\"person\":" + staff.personId(), "\"person\":1");

        send(body).statusCode(200).body("answers[0].isTaken", equalTo(false)).body("answers[0].words", containsString("somebody else said it"));
        assertThat(records()).isZero();
    }

    @Test
    void questionsAnsweredWithNoAndWhatCannotBeSeenGoIntoOneLine() {
        String body = sending(NOW, answer(UUID.randomUUID().toString(), "DAMAGED", NOW).replace("\"note\":\"\"",
                "\"no\":[\"Does the door close?\"],\"note\":\" the\\n hinge\\u202E \""));

        send(body).statusCode(200).body("answers[0].isTaken", equalTo(true)).body("answers[0].words", containsString("Whoever is on the call-out list is told now."));
        assertThat(fixture.text("SELECT note FROM check_record WHERE due_id = ?", LOOK)).isEqualTo("No to: Does the door close? the hinge");

        send(body.replace("DAMAGED", "LIT")).statusCode(422).body("detail", containsString("no: must be empty where all is well"));
    }

    @ParameterizedTest
    @CsvSource({"86400, TRUE, It counts as looked in time.", "86401, FALSE, It does not count as looked in time; it is kept."})
    void whatIsReceivedWithinADayCounts(long seconds, boolean isCounted, String says) {
        clock.stopAt(NOW.plusSeconds(seconds));

        send(sending(NOW.plusSeconds(seconds), answer(UUID.randomUUID().toString(), "LIT", NOW))).statusCode(200).body("answers[0].words", containsString(says));
        assertThat(fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = ? AND is_counted = ?", LOOK, isCounted)).isOne();
    }

    @Test
    void photoComesAfterItsAnswerAndWhatIsNoneIsSaid() throws IOException {
        String id = UUID.randomUUID().toString();
        sendPhoto(id, PhotoTest.jpeg(30, 20)).body("isTaken", equalTo(false)).body("words", containsString("not recorded"));
        send(sending(NOW, answer(id, "DAMAGED", NOW))).statusCode(200);

        sendPhoto(id, new byte[] {1, 2, 3}).body("isTaken", equalTo(false)).body("words", containsString("must be a JPEG or a PNG"));
        sendPhoto(id, PhotoTest.jpeg(30, 20)).body("isTaken", equalTo(true)).body("words", equalTo("The photo is recorded with it."));
        sendPhoto(id, PhotoTest.jpeg(30, 20)).body("isTaken", equalTo(true));

        assertThat(fixture.number("SELECT COUNT(*) FROM check_photo p JOIN check_record r ON r.id = p.record_id WHERE r.due_id = ?", LOOK)).isOne();
        phone().contentType("image/jpeg").body(new byte[1]).post("/phone/photos").then().statusCode(422).body("detail", containsString("answer"));
    }

    private ValidatableResponse sendPhoto(String answer, byte[] photo) {
        return phone().contentType("image/jpeg").body(photo).post("/phone/photos?answer=" + answer).then().statusCode(200);
    }

    private static String sending(Instant sentAt, String answer) {
        return "{\"sentAt\":\"" + sentAt + "\",\"answers\":[" + answer + "]}";
    }

    private String answer(String id, String answer, Instant lookedAt) {
        return "{\"id\":\"" + id + "\",\"person\":" + staff.personId() + ",\"look\":" + LOOK + ",\"answer\":\"" + answer + "\",\"note\":\"\",\"lookedAt\":\"" + lookedAt + "\"}";
    }

    private ValidatableResponse send(String body) {
        return phone().contentType("application/json").body(body).post("/phone/answers").then();
    }

    private RequestSpecification phone() {
        return RestAssured.given().header("Sec-Fetch-Site", "same-origin").cookie(PhonePagesTest.COOKIE, phone).accept("application/json");
    }

    private long records() {
        return fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = ?", LOOK);
    }
}
