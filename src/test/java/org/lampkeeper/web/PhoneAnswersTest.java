package org.lampkeeper.web;

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
        phone().get("/phone/ahead").then().statusCode(200).body("person", equalTo(staff.name())).body("looks[0].id", equalTo((int) LOOK))
                .body("looks[0].question", equalTo("Is the lamp of North Stair 2 lit?")).body("looks[0].answers.value", hasItems("LIT", "OUT", "NOT_SEEN", "DAMAGED"));
        assertThat(records()).isZero();
    }

    @Test
    void whatIsSentTwiceCountsOnceAndTheDaySaysWhenItCame() {
        String body = sending(NOW, answer(UUID.randomUUID().toString(), "LIT", NOW.minusSeconds(1800)));

        send(body).statusCode(200).body("answers[0].taken", equalTo("RECORDED"));
        send(body).statusCode(200).body("answers[0].taken", equalTo("REPEATED"));

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
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[{\"id\":\"x\",\"look\":1}]} | 422 | id",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[{\"look\":1,\"answer\":\"LIT\"}]} | 422 | id",
        "{\"sentAt\":\"2026-11-25T02:45:00Z\",\"answers\":[null]} | 422 | answers/0",
        "no JSON | 400 | line 1",
    })
    void whatCannotBeReadIsAProblemThatNamesTheField(String body, int status, String names) {
        send(body).statusCode(status).contentType("application/problem+json").body("detail", containsString(names));
        assertThat(records()).isZero();
    }

    private static String sending(Instant sentAt, String answer) {
        return "{\"sentAt\":\"" + sentAt + "\",\"answers\":[" + answer + "]}";
    }

    private static String answer(String id, String answer, Instant lookedAt) {
        return "{\"id\":\"" + id + "\",\"look\":" + LOOK + ",\"answer\":\"" + answer + "\",\"note\":\"\",\"lookedAt\":\"" + lookedAt + "\"}";
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
