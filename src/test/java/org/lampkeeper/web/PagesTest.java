package org.lampkeeper.web;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.net.HttpURLConnection;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;

import jakarta.inject.Inject;

import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.ValidatableResponse;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.demo.DemoSwitch.Target;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static io.restassured.RestAssured.given;
import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.endsWith;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.not;
import static org.hamcrest.Matchers.startsWith;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

@QuarkusTest
@TestProfile(WithDemo.class)
class PagesTest {

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;
    @Inject
    RecordingSwitch demo;
    @TestHTTPResource
    URI base;

    private SignedIn administrator;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        administrator = SignedIn.as(Role.ADMINISTRATOR);
    }

    @Test
    void supplyPageSaysWhatIsLostWhoWasToldAndWhatIsNotKnown() {
        page("/").body(containsString("10 of 12 cabinets have supply. North Stair 2 lost it at 02:41 and nobody has taken it yet."))
                .body(containsString("LOST since"))
                .body(containsString("M. Teal told 02:41"))
                .body(containsString("NOT HEARD since"))
                .body(containsString("R. Osk has it since 02:23"))
                .body(containsString("9.4 °C"))
                .body(containsString("no temperature"));
    }

    @ParameterizedTest
    @ValueSource(strings = {"/", "/alarms", "/alarms/900101", "/alarms/900101/attendance", "/alarms/900101/shelve", "/messages", "/journal",
            "/journal/verification", "/operation", "/nothing"})
    void everyPageIsStrictAboutWhatMayRunInIt(String path) {
        String html = browser().get(path).then()
                .header("Content-Security-Policy", startsWith("default-src 'none'; style-src 'self'; script-src 'self'"))
                .header("Content-Type", equalTo("text/html;charset=UTF-8"))
                .header("Cache-Control", equalTo("no-store"))
                .header("Referrer-Policy", equalTo("no-referrer"))
                .header("X-Robots-Tag", containsString("noindex"))
                .header("X-Content-Type-Options", equalTo("nosniff"))
                .extract().asString();

        assertThat(html).doesNotContain("style=", "onclick=", "javascript:").doesNotContainPattern("<script(?![^>]*src=)");
    }

    @Test
    void openingTheLinkChangesNothingHoweverOften() {
        String link = link("M. Teal");

        page(link).body(containsString("I take this"));
        page(link + "?said=take").body(containsString("I take this")).body(not(containsString("Recorded")));
        browser().head(link).then().statusCode(200);

        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE id = ? AND acknowledged_by IS NULL", ALARM)).isOne();
    }

    @Test
    void alarmPageSaysWhereToLookAndWhoIsNext() {
        page(link("M. Teal")).body(containsString("North Stair 2 has no supply since 02:41 (4 min)."))
                .body(containsString("Nobody has taken this yet; R. Osk is told at 02:51."))
                .body(containsString("You may look")).body(containsString("Electrician only"))
                .body(containsString("loss confirmed, 20 s after the first report"))
                .body(containsString("M. Teal, mail: accepted by the mail server, arrival not known"))
                .body(containsString("R. Osk, unless somebody takes it"));
    }

    @Test
    void takingRecordsOnceAndBearsARepeat() {
        String link = link("M. Teal");

        press(link + "/take").statusCode(303).header("Location", endsWith(link + "?said=take"));
        press(link + "/take").statusCode(303);

        page(link + "?said=take").body(containsString("Recorded: you take this.")).body(containsString("You have this since 02:45"))
                .body(not(containsString(">I take this<")));
        assertThat(fixture.number("SELECT acknowledged_by FROM alarm WHERE id = ?", ALARM)).isEqualTo(fixture.person("M. Teal"));
    }

    @Test
    void whoeverComesSecondIsToldWhoHasIt() {
        press(link("R. Osk") + "/take").statusCode(303);
        clock.advance(Duration.ofMinutes(1));

        press(link("M. Teal") + "/take").statusCode(303);

        page(link("M. Teal") + "?said=take")
                .body(containsString("R. Osk has this since 02:45. Two heads are fine: call each other."))
                .body(not(containsString("Recorded")));
        assertThat(fixture.number("SELECT acknowledged_by FROM alarm WHERE id = ?", ALARM)).isEqualTo(fixture.person("R. Osk"));
    }

    @Test
    void whoCannotComeIsThankedAndTheAlarmStaysOpen() {
        String link = link("M. Teal");

        press(link + "/cannot").statusCode(303).header("Location", endsWith(link + "?said=cannot"));

        page(link + "?said=cannot").body(containsString("Recorded: you cannot come.")).body(containsString("I take this"));
    }

    @Test
    void linkOfAnErasedPersonIsOver() {
        long person = SignedIn.as(Role.SITE_STAFF).personId();
        String link = "/a/" + tokens.issue(ALARM, person, NOW.plus(Duration.ofDays(3)));
        page(link);

        fixture.run("UPDATE person SET name = 'erased', salt = NULL WHERE id = ?", person);

        browser().get(link).then().statusCode(410).body(not(containsString("North Stair")));
        press(link + "/take").statusCode(410);
    }

    @Test
    void expiredLinkSaysSoAndLeaksNothing() {
        String link = "/a/" + tokens.issue(ALARM, fixture.person("M. Teal"), NOW);

        browser().get(link).then().statusCode(410).body(containsString("This link has come to its end."))
                .body(not(containsString("North Stair"))).body(not(containsString("M. Teal")));
        press(link + "/take").statusCode(410);
        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE id = ? AND acknowledged_by IS NULL", ALARM)).isOne();
    }

    @Test
    void alteredLinkIsNotOurs() {
        String link = link("M. Teal");
        char last = link.charAt(link.length() - 2);
        String altered = link.substring(0, link.length() - 2) + (last == 'A' ? 'B' : 'A') + link.substring(link.length() - 1);

        browser().get(altered).then().statusCode(404).body(containsString("This is not a link of Lampkeeper")).body(
                not(containsString("North Stair")));
        press(altered + "/take").statusCode(404);
        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE id = ? AND acknowledged_by IS NULL", ALARM)).isOne();
    }

    @Test
    void whoMayOnlyLookCannotTakeTheAlarm() {
        SignedIn responsible = SignedIn.as(Role.RESPONSIBLE_PERSON);

        responsible.browser().get("/alarms/" + ALARM).then().statusCode(200).body(containsString("North Stair 2 has no supply"))
                .body(containsString("taking an alarm needs another role")).body(not(containsString("I take this<")));
        responsible.browser().post("/alarms/" + ALARM + "/take").then().statusCode(403);
    }

    @Test
    void alarmsListSaysWhoHasWhat() {
        page("/alarms").body(containsString("2 alarms are open; nobody has taken 1 of them yet."))
                .body(containsString("R. Osk has it since 02:23"));
    }

    @Test
    void messagesSayInWordsWhatBecameOfThem() {
        fixture.message(900_202, "R. Osk", "WAITING", 3, "North Stair 2 has no supply.", "text");
        fixture.message(900_203, "A. Wren", "UNDELIVERED", 9, "<b>bold</b>", "text");

        page("/messages").body(containsString("One message of the last day could not be delivered."))
                .body(containsString("tried 3 times: the mail server refused it; next try 26 Nov 02:45"))
                .body(containsString("could not be delivered: the mail server refused it"))
                .body(containsString("accepted by the mail server, arrival not known"))
                .body(containsString("&lt;b&gt;bold&lt;/b&gt;"))
                .body(containsString("href=\"/a/secret-token\""));
    }

    @Test
    void messagesComeInPagesThatMissNone() {
        for (int i = 0; i < 40; i++) {
            fixture.message(900_300 + i, "R. Osk", "SENT", 1, "number " + i + ".", "text");
        }

        page("/messages").body(containsString("number 39.")).body(containsString("number 10.")).body(not(containsString("number 9.")))
                .body(containsString("href=\"/messages?before=900310\""));
        page("/messages?before=900310").body(containsString("number 9.")).body(containsString("number 0."));
    }

    @Test
    void demoButtonSwitchesAndSaysWhatWillHappen() {
        long cabinet = fixture.cabinet("Reedholm 1");

        String location = press("/demo/cabinet/" + cabinet + "/take-away").statusCode(303).extract().header("Location");

        assertThat(demo.isAway(new Target(Target.Kind.CABINET, cabinet))).isTrue();
        page(URI.create(location).getPath() + "?" + URI.create(location).getQuery())
                .body(containsString("Supply is taken away from Reedholm 1. In about 20 s the loss counts as confirmed; then A. Wren gets a mail"))
                .body(containsString("Give it back"));
        press("/demo/cabinet/" + cabinet + "/give-back").statusCode(303);
        assertThat(demo.isAway(new Target(Target.Kind.CABINET, cabinet))).isFalse();
    }

    @ParameterizedTest
    @CsvSource({"text/html, text/html;charset=UTF-8", "application/json, application/problem+json", "*/*, application/problem+json"})
    void errorIsAPageForABrowserAndAProblemForAProgram(String accepts, String type) {
        given().accept(accepts).get("/nothing").then().statusCode(404).header("Content-Type", equalTo(type));
    }

    @ParameterizedTest
    @CsvSource({"evil.example, 421", "localhost, 200", "127.0.0.1, 200", "'[::1]', 200"})
    void pagesAnswerOnlyUnderTheirOwnName(String host, int status) {
        browser().header("Host", host).get("/").then().statusCode(status);
    }

    @ParameterizedTest
    @CsvSource({"Sec-Fetch-Site, cross-site, 403", "Sec-Fetch-Site, same-site, 403", "Sec-Fetch-Site, same-origin, 303",
            "Origin, http://evil.example, 403", "Origin, null, 303"})
    void pageOfAnotherSiteCannotPressAButton(String header, String value, int status) {
        given().redirects().follow(false).header(header, value).post(link("M. Teal") + "/take").then().statusCode(status);
    }

    @ParameterizedTest
    @ValueSource(strings = {"/messages?before=x", "/alarms?before=x"})
    void cursorThatIsNoNumberIsRefusedWithoutAStackTrace(String path) {
        browser().get(path).then().statusCode(404).body(not(containsString("Exception")));
    }

    @Test
    void livePageHearsOfAChangeAndOtherwiseThatTheConnectionStands() throws IOException {
        HttpURLConnection connection = (HttpURLConnection) base.resolve("/supply/live").toURL().openConnection();
        connection.setReadTimeout(20_000);
        connection.setRequestProperty("Cookie", SignedIn.COOKIE + "=" + administrator.cookie());
        try (BufferedReader stream = new BufferedReader(new InputStreamReader(connection.getInputStream(), StandardCharsets.UTF_8))) {
            assertThat(next(stream, "event:")).contains("supply");
            assertThat(next(stream, "data:")).contains("data-live-part");
            assertThat(next(stream, "event:")).contains("heartbeat");
            assertThat(next(stream, "data:")).contains("2026-11-25T02:45:00Z 02:45");

            fixture.allLit();

            assertThat(next(stream, "event:")).contains("supply");
            assertThat(next(stream, "<h1")).contains("All 12 cabinets have supply.");
        } finally {
            connection.disconnect();
        }
    }

    private static String next(BufferedReader stream, String start) throws IOException {
        for (String line = stream.readLine(); line != null; line = stream.readLine()) {
            if (line.contains(start)) {
                return line;
            }
        }
        throw new AssertionError("the stream ended before a line with " + start);
    }

    private String link(String person) {
        return "/a/" + tokens.issue(ALARM, fixture.person(person), NOW.plus(Duration.ofDays(3)));
    }

    private RequestSpecification browser() {
        return administrator.browser();
    }

    private ValidatableResponse page(String path) {
        return browser().get(path).then().statusCode(200);
    }

    private ValidatableResponse press(String path) {
        return browser().post(path).then();
    }
}
