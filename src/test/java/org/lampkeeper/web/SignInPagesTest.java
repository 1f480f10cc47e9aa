package org.lampkeeper.web;

import java.net.URI;
import java.time.Duration;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.http.Cookie;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static io.restassured.RestAssured.given;
import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.endsWith;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.not;
import static org.hamcrest.Matchers.nullValue;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

@QuarkusTest
@TestProfile(WithDemo.class)
class SignInPagesTest {

    private static final String PASSWORD = "a lamp on the quay";
    private static final String OTHER = "another lamp on the quay";
    private static final Pattern LINK = Pattern.compile("https://watch\\.example(/invitation/[\\w-]+)");

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn administrator;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        fixture.run("DELETE FROM sign_in_failure");
        administrator = SignedIn.as(Role.ADMINISTRATOR);
    }

    @ParameterizedTest
    @CsvSource({"/, /sign-in", "/alarms?before=7, /sign-in?to=%2Falarms%3Fbefore%3D7", "/people, /sign-in?to=%2Fpeople"})
    void pageSendsAStrangerToSignInAndBack(String path, String location) {
        stranger().get(path).then().statusCode(303).header("Location", endsWith(location));
    }

    @Test
    void withoutAProviderThereIsNoAddressToSignInByOne() {
        given().accept("text/html").redirects().follow(false).get("/sign-in/provider").then().statusCode(404)
                .header("Content-Security-Policy", containsString("default-src 'none'")).body(containsString("<h1>"));
    }

    @Test
    void livePageTellsAStrangerThatNobodyHasSignedIn() {
        given().accept("text/event-stream").get("/supply/live").then().statusCode(401).header("WWW-Authenticate", containsString("Bearer"));
    }

    @Test
    void rightPasswordLeadsBackToThePage() {
        String mail = invited(fixture.person("M. Teal"));

        Response answer = signIn(mail, PASSWORD, "/alarms");

        assertThat(answer.statusCode()).isEqualTo(303);
        assertThat(answer.header("Location")).endsWith("/alarms");
        Cookie cookie = answer.detailedCookie(SignedIn.COOKIE);
        assertThat(cookie.isHttpOnly()).isTrue();
        assertThat(cookie.getSameSite()).isEqualTo("Lax");
        assertThat(cookie.getPath()).isEqualTo("/");
        assertThat(cookie.getDomain()).isNull();
        with(cookie.getValue()).get("/alarms").then().statusCode(200).body(containsString("M. Teal"));
    }

    @Test
    void byHttpsTheCookieIsKeptToThisHostAndToHttps() {
        String mail = invited(fixture.person("M. Teal"));

        Response answer = stranger().header("Host", "watch.example").formParam("mail", mail).formParam("password", PASSWORD).post("/sign-in");

        Cookie cookie = answer.detailedCookie("__Host-lampkeeper");
        assertThat(cookie.isSecured()).isTrue();
        assertThat(cookie.getPath()).isEqualTo("/");
        assertThat(answer.header("Strict-Transport-Security")).isEqualTo("max-age=31536000");
        given().header("Host", "watch.example").accept("text/html").cookie("__Host-lampkeeper", cookie.getValue()).get("/").then().statusCode(200);
        given().redirects().follow(false).header("Host", "watch.example").accept("text/html").cookie(SignedIn.COOKIE, cookie.getValue()).get("/").then()
                .statusCode(303);
    }

    @Test
    void noPasswordIsAskedForWhereItWouldCrossANetworkInTheClear() {
        String mail = invited(fixture.person("M. Teal"));

        stranger().header("Host", "plain.example").get("/sign-in").then().statusCode(200).body(not(containsString("type=\"password\"")));
        stranger().header("Host", "plain.example").formParam("mail", mail).formParam("password", PASSWORD).post("/sign-in").then().statusCode(403)
                .header("Set-Cookie", nullValue());
    }

    @Test
    void wrongPasswordAndUnknownPersonAreToldTheSame() {
        String mail = invited(fixture.person("M. Teal"));

        String wrong = signIn(mail, OTHER, "/alarms").then().statusCode(422).extract().asString();
        String unknown = signIn("nobody@hallowwater.example", OTHER, "/alarms").then().statusCode(422).extract().asString();

        assertThat(wrong).contains("This mail address and password do not belong together.").contains("value=\"" + mail + "\"")
                .contains("value=\"/alarms\"").doesNotContain(OTHER);
        assertThat(unknown.replace("nobody@hallowwater.example", mail)).isEqualTo(wrong);
    }

    @Test
    void guessingHasToWaitAndSaysForHowLong() {
        String mail = invited(fixture.person("M. Teal"));
        for (int i = 0; i < 5; i++) {
            signIn(mail, OTHER, "").then().statusCode(422);
        }

        signIn(mail, PASSWORD, "").then().statusCode(429).header("Retry-After", equalTo("5")).body(containsString("Wait 5 s"));

        clock.advance(Duration.ofSeconds(5));
        signIn(mail, PASSWORD, "").then().statusCode(303);
    }

    @ParameterizedTest
    @ValueSource(strings = {"//evil.example", "https://evil.example", "/\\evil.example", "\\\\evil.example", "javascript:alert(1)", "evil", "", "/a b",
            "/\u0000"})
    void nobodyIsLedElsewhereAfterSigningIn(String to) {
        assertThat(SignInResource.localPath(to)).isEqualTo("/");
    }

    @ParameterizedTest
    @ValueSource(strings = {"/", "/alarms?before=7", "/sites/12/call-out", "/?q=North%20Stair"})
    void pageOfOursIsLedBackTo(String to) {
        assertThat(SignInResource.localPath(to)).isEqualTo(to);
    }

    @Test
    void sessionThatTheBrowserHeldBeforeIsWorthNothingAfterSigningIn() {
        String mail = invited(fixture.person("M. Teal"));
        String before = signIn(mail, PASSWORD, "").cookie(SignedIn.COOKIE);

        String after = with(before).formParam("mail", mail).formParam("password", PASSWORD).post("/sign-in").cookie(SignedIn.COOKIE);

        assertThat(after).isNotEqualTo(before);
        with(before).get("/").then().statusCode(303);
        with(after).get("/").then().statusCode(200);
    }

    @Test
    void cookieThatAStrangerMadeUpIsNotTakenOver() {
        String mail = invited(fixture.person("M. Teal"));

        String after = with("made-up").formParam("mail", mail).formParam("password", PASSWORD).post("/sign-in").cookie(SignedIn.COOKIE);

        assertThat(after).isNotEqualTo("made-up");
        with("made-up").get("/").then().statusCode(303);
    }

    @Test
    void signingOutEndsTheSessionOnTheServer() {
        Response answer = administrator.browser().post("/sign-out");

        assertThat(answer.statusCode()).isEqualTo(303);
        assertThat(answer.detailedCookie(SignedIn.COOKIE).getMaxAge()).isZero();
        administrator.browser().get("/").then().statusCode(303);
    }

    @ParameterizedTest
    @CsvSource({", , 403", "Origin, null, 403", "Sec-Fetch-Site, cross-site, 403", "Sec-Fetch-Site, same-site, 403", "Origin, http://evil.example, 403",
            "Sec-Fetch-Site, same-origin, 303"})
    void formOfAnotherSiteCannotUseASession(String header, String value, int status) {
        RequestSpecification request = given().redirects().follow(false).cookie(SignedIn.COOKIE, administrator.cookie());

        (header == null ? request : request.header(header, value)).post("/me/sessions/end-all").then().statusCode(status);
    }

    @Test
    void whatWasSentAfterTheSessionEndedIsSaidToBeLost() {
        stranger().post("/me/sessions/end-all").then().statusCode(303).header("Location", endsWith("/sign-in?unsent=true"));

        stranger().get("/sign-in?unsent=true").then().statusCode(200).body(containsString("what you sent was not recorded"));
    }

    @Test
    void personOfTheDemoIsEnteredAsWithoutAPassword() {
        long teal = fixture.person("M. Teal");
        stranger().get("/sign-in").then().body(containsString("Enter as M. Teal, duty manager at North Stair and Reedholm"));

        String session = stranger().formParam("person", teal).formParam("to", "/alarms").post("/sign-in/demo").then().statusCode(303)
                .header("Location", endsWith("/alarms")).extract().cookie(SignedIn.COOKIE);

        with(session).get("/").then().statusCode(200).body(containsString("North Stair 2")).body(not(containsString("Cray Point")));
        stranger().formParam("person", 1).post("/sign-in/demo").then().statusCode(404);
    }

    @Test
    void demoHasNoDoorsForWhoeverComesByAnotherName() {
        stranger().header("Host", "plain.example").get("/sign-in").then().body(not(containsString("Enter as")));
        stranger().header("Host", "plain.example").formParam("person", fixture.person("M. Teal")).post("/sign-in/demo").then().statusCode(404);
    }

    @Test
    void invitationIsShownOnceAndSentByMail() {
        long osk = fixture.person("R. Osk");

        String page = administrator.browser().post("/people/" + osk + "/invite").then().statusCode(200)
                .body(containsString("R. Osk is invited; the link is on its way to r.osk@hallowwater.example.")).extract().asString();
        String link = link(page);

        administrator.browser().get("/people/" + osk + "/invite").then().body(not(containsString(link)));
        assertThat(fixture.number("SELECT COUNT(*) FROM outgoing_message WHERE person_id = ? AND body LIKE ?", osk, "%" + link + "%")).isOne();
        SignedIn everywhere = SignedIn.as(Role.DUTY_MANAGER);
        everywhere.browser().get("/messages").then().body(containsString("invites you"));
    }

    @Test
    void invitationIsOpenedAsOftenAsOneLikesAndAcceptedOnce() {
        String link = link(administrator.browser().post("/people/" + fixture.person("R. Osk") + "/invite").asString());
        stranger().get(link).then().statusCode(200).body(containsString("R. Osk, take a password"));
        stranger().head(link).then().statusCode(200);
        stranger().formParam("password", "short").post(link).then().statusCode(422).body(containsString("This password has 5 characters"));

        String session = stranger().formParam("password", PASSWORD).post(link).then().statusCode(303).extract().cookie(SignedIn.COOKIE);

        with(session).get("/me").then().statusCode(200).body(containsString("R. Osk, you are duty manager at Cray Point and Withy Slip."));
        stranger().get(link).then().statusCode(410);
        stranger().formParam("password", OTHER).post(link).then().statusCode(410);
        stranger().get("/invitation/made-up").then().statusCode(410);
    }

    @Test
    void changedPasswordEndsTheOtherSessionsAndIsTold() {
        long teal = fixture.person("M. Teal");
        String mail = invited(teal);
        String elsewhere = signIn(mail, PASSWORD, "").cookie(SignedIn.COOKIE);
        String here = signIn(mail, PASSWORD, "").cookie(SignedIn.COOKIE);
        with(here).formParam("current", OTHER).formParam("fresh", OTHER).post("/me/password").then().statusCode(422)
                .body(containsString("is not your present one"));

        String renewed = with(here).formParam("current", PASSWORD).formParam("fresh", OTHER).post("/me/password").then().statusCode(303)
                .extract().cookie(SignedIn.COOKIE);

        with(renewed).get("/me?said=password").then().statusCode(200).body(containsString("Your password is changed"));
        with(here).get("/").then().statusCode(303);
        with(elsewhere).get("/").then().statusCode(303);
        assertThat(fixture.number("SELECT COUNT(*) FROM outgoing_message WHERE person_id = ? AND subject = 'Your password for Lampkeeper was changed.'",
                teal)).isOne();
    }

    @Test
    void tokenIsShownOnceAndOpensTheApiForWhatItWasMadeFor() {
        long reedholm = fixture.site("Reedholm");
        long north = fixture.site("North Stair");
        String page = administrator.browser().formParam("name", "a program").formParam("may", "read").formParam("where", "some")
                .formParam("sites", reedholm).post("/me/tokens").then().statusCode(200).extract().asString();
        Matcher found = Pattern.compile("lamp_[\\w-]{43}").matcher(page);
        assertThat(found.find()).isTrue();
        String secret = found.group();

        administrator.browser().get("/me").then().body(containsString("a program")).body(containsString("reads only, at Reedholm"))
                .body(not(containsString(secret)));
        program(secret).get("/api/only-in-tests/" + reedholm).then().statusCode(200).body(containsString("token"));
        program(secret).get("/api/only-in-tests/" + north).then().statusCode(404);
        program(secret).post("/api/only-in-tests/" + reedholm).then().statusCode(403).body(containsString("reading only"));
        program(secret + "x").get("/api/only-in-tests/" + reedholm).then().statusCode(401);
        given().get("/api/only-in-tests/" + reedholm).then().statusCode(401).header("Content-Type", equalTo("application/problem+json"));
        given().redirects().follow(false).header("Authorization", "Bearer " + secret).accept("text/html").get("/").then().statusCode(303);
        program(secret).cookie(SignedIn.COOKIE, administrator.cookie()).get("/api/only-in-tests/" + north).then().statusCode(404);
    }

    @Test
    void tokenThatWritesNeedsNoWordOfWhereItComesFrom() {
        long reedholm = fixture.site("Reedholm");
        String page = administrator.browser().formParam("name", "a program").formParam("may", "write").post("/me/tokens").asString();
        Matcher found = Pattern.compile("lamp_[\\w-]{43}").matcher(page);
        assertThat(found.find()).isTrue();

        program(found.group()).post("/api/only-in-tests/" + reedholm).then().statusCode(200);
    }

    @ParameterizedTest
    @CsvSource({"name, ' ', is empty", "until, 2026-11-24, must be a day to come", "until, tomorrow, must be a day to come", "where, some, names none"})
    void tokenFormKeepsWhatWasTypedAndSaysWhatWouldBeRight(String field, String value, String problem) {
        RequestSpecification form = administrator.browser().formParam("may", "write");

        (field.equals("name") ? form : form.formParam("name", "<b>mine</b>")).formParam(field, value).post("/me/tokens").then().statusCode(422)
                .body(containsString(problem)).body(field.equals("name") ? containsString("is empty") : containsString("&lt;b&gt;mine&lt;/b&gt;"));
    }

    @Test
    void rolesAreGivenAndTakenOnThePersonsPage() {
        long sallow = fixture.person("J. Sallow");
        long cray = fixture.site("Cray Point");
        administrator.browser().formParam("role", "DUTY_MANAGER").formParam("site", cray).post("/people/" + sallow + "/roles/give").then().statusCode(303);
        administrator.browser().get("/people/" + sallow).then().statusCode(200).body(containsString("duty manager at Cray Point"));

        administrator.browser().formParam("role", "DUTY_MANAGER").formParam("site", cray).post("/people/" + sallow + "/roles/take").then().statusCode(303);

        administrator.browser().get("/people/" + sallow).then().body(not(containsString("duty manager at Cray Point")));
    }

    @Test
    void administratorOfOneSiteGivesNothingElsewhere() {
        SignedIn ofReedholm = SignedIn.as(Role.ADMINISTRATOR, fixture.site("Reedholm"));
        long wren = fixture.person("A. Wren");

        ofReedholm.browser().formParam("role", "SITE_STAFF").formParam("site", fixture.site("Cray Point")).post("/people/" + wren + "/roles/give").then()
                .statusCode(403).body(containsString("You cannot give the role site staff"));
        ofReedholm.browser().formParam("role", "SITE_STAFF").formParam("site", 0).post("/people/" + wren + "/roles/give").then().statusCode(403);
        ofReedholm.browser().post("/people/" + fixture.person("Operator on duty") + "/invite").then().statusCode(403);
    }

    @Test
    void listsAreNarrowedToTheSitesOfTheCaller() {
        SignedIn ofCray = SignedIn.as(Role.DUTY_MANAGER, fixture.site("Cray Point"));
        ofCray.browser().get("/").then().body(containsString("Cray Point 1")).body(not(containsString("North Stair")));
        ofCray.browser().get("/alarms").then().body(containsString("Cray Point 1")).body(not(containsString("North Stair")))
                .body(containsString("One alarm is open"));
        ofCray.browser().get("/messages").then().body(not(containsString("North Stair")));
        ofCray.browser().get("/people").then().body(containsString("D. Harl")).body(not(containsString("J. Sallow")));
        ofCray.browser().get("/alarms/" + ALARM).then().statusCode(404);
        ofCray.browser().get("/?site=" + fixture.site("North Stair")).then().statusCode(200).body(not(containsString("North Stair")));
    }

    @Test
    void navigationShowsOnlyWhereOneMayGo() {
        SignedIn.as(Role.SITE_STAFF, fixture.site("Reedholm")).browser().get("/").then().body(containsString("href=\"/people\""))
                .body(not(containsString("href=\"/journal\""))).body(not(containsString("href=\"/operation\"")));
        administrator.browser().get("/").then().body(containsString("href=\"/journal\"")).body(containsString("href=\"/operation\""))
                .body(containsString(administrator.name()));
    }

    @Test
    void whoeverHasNoRoleYetIsToldWhoGivesOne() {
        SignedIn.with(List.<Grant>of()).browser().get("/").then().statusCode(403).body(containsString("You have no role at any site yet."))
                .body(containsString("Sign out"));
    }

    private static RequestSpecification stranger() {
        return given().accept("text/html,application/xhtml+xml").redirects().follow(false);
    }

    private static RequestSpecification with(String session) {
        return stranger().cookie(SignedIn.COOKIE, session).header("Sec-Fetch-Site", "same-origin");
    }

    private static RequestSpecification program(String secret) {
        return given().header("Authorization", "Bearer " + secret);
    }

    private static Response signIn(String mail, String password, String to) {
        return stranger().formParam("mail", mail).formParam("password", password).formParam("to", to).post("/sign-in");
    }

    /** The person has a password; returns what they sign in with. */
    private String invited(long personId) {
        String link = link(administrator.browser().post("/people/" + personId + "/invite").asString());
        stranger().formParam("password", PASSWORD).post(link).then().statusCode(303);
        return "m.teal@hallowwater.example";
    }

    private static String link(String page) {
        Matcher found = LINK.matcher(page);
        assertThat(found.find()).as(page).isTrue();
        return URI.create(found.group(1)).toString();
    }
}
