package org.lampkeeper.web;

import java.util.Map;

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

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** A phone is enrolled once, by its owner or by a link, takes its owner's looks, and is nobody's once it is revoked. */
@QuarkusTest
@TestProfile(WithDemo.class)
class PhonePagesTest {

    static final String COOKIE = "lampkeeper-phone";

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;

    private SignedIn staff;
    private String phones;

    @BeforeEach
    void somebodyIsAskedToLook() {
        clock.stopAt(NOW);
        fixture.allLit();
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        phones = "/people/" + staff.personId() + "/phones";
        fixture.aLook(900_900, fixture.cabinet(CABINET), staff.personId(), tokens);
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (900900, ?, ?, TRUE)", staff.personId(), NOW.minusSeconds(60));
    }

    @Test
    void ownerEnrolsThePhoneInHandAndFindsTheirLooksOnItWithoutSigningIn() {
        Response enrolled = staff.browser().post(phones + "/this");
        enrolled.then().statusCode(303).header("Location", containsString("/phone"));
        assertThat(enrolled.getDetailedCookie(COOKIE)).satisfies(cookie -> {
            assertThat(cookie.isHttpOnly()).isTrue();
            assertThat(cookie.getSameSite()).isEqualTo("Lax");
            assertThat(cookie.getMaxAge()).isEqualTo(400 * 86_400L);
        });

        String page = phone(enrolled.cookie(COOKIE)).get("/phone").then().statusCode(200).body(containsString("You are asked to look at one thing."))
                .body(containsString("for " + staff.name())).cookie(COOKIE).extract().asString();
        phone(enrolled.cookie(COOKIE)).get(page.replaceAll("(?s).*href=\"(/c/[^\"]+)\".*", "$1")).then().statusCode(200)
                .body(containsString("Is the lamp of North Stair 2 lit?"));
        phone(enrolled.cookie(COOKIE)).get("/me").then().statusCode(303).header("Location", containsString("/sign-in"));
    }

    @Test
    void linkOfAnAdministratorEnrolsThePhoneWhoseButtonIsPressed() {
        SignedIn administrator = SignedIn.as(Role.ADMINISTRATOR, fixture.site(SITE));
        String page = administrator.browser().post(phones + "/invite").then().statusCode(200).body(containsString("can be used once")).extract().asString();
        String link = page.replaceAll("(?s).*https?://[^/<]+(/enrol/[A-Za-z0-9_-]+).*", "$1");

        for (int i = 0; i < 2; i++) {
            stranger().get(link).then().statusCode(200).body(containsString("Is this the phone of " + staff.name() + "?")).cookies(Map.of());
        }
        assertThat(enrolled()).isZero();
        String secret = stranger().post(link).then().statusCode(303).extract().cookie(COOKIE);
        stranger().post(link).then().statusCode(410).body(containsString("cannot be used any more"));
        stranger().get(link).then().statusCode(410);

        phone(secret).get("/phone").then().statusCode(200).body(containsString("for " + staff.name()));
        assertThat(enrolled()).isOne();
    }

    @Test
    void revokedPhoneIsNobodys() {
        String secret = staff.browser().post(phones + "/this").cookie(COOKIE);
        staff.browser().get(phones).then().statusCode(200).body(containsString("One phone takes the looks of " + staff.name()));
        long id = fixture.number("SELECT id FROM phone WHERE person_id = ?", staff.personId());

        staff.browser().formParam("phone", id).post(phones + "/revoke").then().statusCode(303);

        phone(secret).get("/phone").then().statusCode(403).body(containsString("This phone is not known here."));
        staff.browser().get(phones + "?said=revoked").then().body(containsString("nobody’s any more")).body(containsString("No phone takes the looks"));
        staff.browser().get("/me").then().body(containsString("href=\"" + phones + "\""));
    }

    @Test
    void phonesOfSomebodyElseAreNoBusinessOfWhoeverMayNotInviteThem() {
        SignedIn colleague = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        SignedIn administrator = SignedIn.as(Role.ADMINISTRATOR, fixture.site(SITE));

        colleague.browser().get(phones).then().statusCode(403);
        colleague.browser().post(phones + "/invite").then().statusCode(403);
        colleague.browser().formParam("phone", 1).post(phones + "/revoke").then().statusCode(403);
        administrator.browser().post(phones + "/this").then().statusCode(403).body(containsString("Make a link"));
        assertThat(enrolled()).isZero();
    }

    @Test
    void phoneIsNobodysOnceItsOwnerIsErased() {
        String secret = staff.browser().post(phones + "/this").cookie(COOKIE);

        SignedIn.as(Role.ADMINISTRATOR).browser().formParam("name", staff.name()).post("/people/" + staff.personId() + "/erase").then().statusCode(303);

        phone(secret).get("/phone").then().statusCode(403).body(not(containsString(staff.name())));
        assertThat(enrolled()).isZero();
    }

    /** A browser that does not say where it comes from might be sent by another site's page. */
    @Test
    void postWithThePhonesCookieAloneIsRefusedWhereItsOriginIsNotKnown() {
        RestAssured.given().cookie(COOKIE, "any").post("/enrol/none").then().statusCode(403).body(containsString("another site"));
        stranger().post("/enrol/none").then().statusCode(410);
    }

    private long enrolled() {
        return fixture.number("SELECT COUNT(*) FROM phone WHERE person_id = ?", staff.personId());
    }

    static RequestSpecification phone(String secret) {
        return stranger().cookie(COOKIE, secret);
    }

    private static RequestSpecification stranger() {
        return RestAssured.given().header("Sec-Fetch-Site", "same-origin").redirects().follow(false).accept("text/html");
    }
}
