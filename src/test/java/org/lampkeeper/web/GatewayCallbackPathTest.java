package org.lampkeeper.web;

import java.net.URI;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.inject.Inject;

import com.fasterxml.jackson.databind.ObjectMapper;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.http.ContentType;
import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.register.By;
import org.lampkeeper.testing.GatewayCounterpart;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.startsWith;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/** From the alarm to the call, and from the key that is pressed back to the alarm: with a provider that really speaks HTTP. */
@QuarkusTest
@TestProfile(WithDemo.class)
class GatewayCallbackPathTest {

    private static final String NUMBER = "+447700900777";
    private static final String NOT_OURS = "urn:lampkeeper:problem:not-found";

    @Inject
    WebFixture fixture;
    @Inject
    PersonChannels channels;
    @Inject
    Outbox outbox;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;

    private final GatewayCounterpart provider = GatewayCounterpart.shared();
    private long person;
    private Optional<PersonChannel> added = Optional.empty();

    @BeforeEach
    void somebodyIsCalled() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        person = fixture.person("M. Teal");
    }

    @AfterEach
    void channelIsTakenAwayAgain() {
        QuarkusTransaction.requiringNew().run(() -> added.ifPresent(it -> channels.remove(person, it.id(), By.nobody(NOW))));
    }

    private String called(String kind, String say) throws Exception {
        By by = By.nobody(NOW);
        added = Optional.of(QuarkusTransaction.requiringNew().call(() -> channels.add(person, kind, NUMBER, by)));
        QuarkusTransaction.requiringNew().run(() -> {
            for (int i = 0; i < channels.of(person).size(); i++) {
                channels.move(person, added.get().id(), -1, by);
            }
            channels.proven(added.get(), ProofAnswer.RANG, by);
        });
        long callOut = fixture.number("SELECT call_out_id FROM alarm WHERE id = ?", ALARM);
        int before = provider.received().size();
        QuarkusTransaction.requiringNew().run(() -> outbox.tell(new NewMessage(Purpose.ALARM, OptionalLong.of(callOut), OptionalLong.of(ALARM), person, "",
                say, "a letter", NOW)));
        await().until(() -> provider.received().size() > before && fixture.number("SELECT COUNT(*) FROM outgoing_message WHERE address = ? AND state = 'SENT'",
                NUMBER) == 1);
        return provider.received().get(before).body();
    }

    private String calledByVoice() throws Exception {
        return URI.create(new ObjectMapper().readTree(called("VOICE", "North Stair 2 & <all> has no supply since 02:41.")).path("tell").asText()).getPath();
    }

    private static ValidatableResponse presses(String address, String key) {
        return posts(address, "{\"call\":{\"key\":\"" + key + "\"}}");
    }

    private static ValidatableResponse posts(String address, String json) {
        return RestAssured.given().contentType(ContentType.JSON).body(json).post(address).then();
    }

    private long takenBy() {
        return fixture.number("SELECT COALESCE(acknowledged_by, 0) FROM alarm WHERE id = ?", ALARM);
    }

    private long turnsTold() {
        return fixture.number("SELECT told FROM call_out WHERE id = (SELECT call_out_id FROM alarm WHERE id = ?)", ALARM);
    }

    private String arrival() {
        return List.of("", "ARRIVED", "NOT_ARRIVED").get((int) fixture.number(
                "SELECT CASE arrival WHEN 'ARRIVED' THEN 1 WHEN 'NOT_ARRIVED' THEN 2 ELSE 0 END FROM outgoing_message WHERE address = ?", NUMBER));
    }

    @Test
    void pressingOneTakesItAndPressingItAgainRecordsNothingNew() throws Exception {
        String address = calledByVoice();

        presses(address, "1").statusCode(200).contentType(startsWith("application/xml"))
                .body("answer.say", equalTo("You have taken it: North Stair 2 & all has no supply since 02:41."));
        assertThat(takenBy()).isEqualTo(person);
        assertThat(arrival()).isEqualTo("ARRIVED");
        long entries = fixture.number("SELECT COUNT(*) FROM journal_entry");

        presses(address, "1").statusCode(200).body("answer.say", startsWith("You have taken it"));
        assertThat(fixture.number("SELECT COUNT(*) FROM journal_entry")).isEqualTo(entries);
    }

    @Test
    void pressingTwoTellsTheNextOnceAndTheMessageIsUsedUp() throws Exception {
        String address = calledByVoice();
        long before = turnsTold();

        presses(address, "2").statusCode(200).body("answer.say", equalTo("The next person is told."));
        presses(address, "2").statusCode(200).body("answer.say", equalTo("The next person is told."));

        assertThat(turnsTold()).isEqualTo(before + 1);
        presses(address, "1").statusCode(409).contentType("application/problem+json").body("type", equalTo("urn:lampkeeper:problem:not-needed"));
        assertThat(takenBy()).isZero();
    }

    @Test
    void whoeverTookItMayStillFindThatTheyCannot() throws Exception {
        String address = calledByVoice();
        presses(address, "1").statusCode(200);

        presses(address, "2").statusCode(200).body("answer.say", equalTo("The next person is told."));

        assertThat(fixture.number("SELECT COUNT(*) FROM call_out WHERE taken_by IS NOT NULL AND id = (SELECT call_out_id FROM alarm WHERE id = ?)", ALARM)).isZero();
    }

    @Test
    void whoeverIsTooLateHearsWhoHasIt() throws Exception {
        String address = calledByVoice();
        String link = tokens.issue(ALARM, fixture.person("R. Osk"), NOW.plus(Duration.ofHours(1)));
        RestAssured.given().redirects().follow(false).post("/a/" + link + "/take").then().statusCode(303);

        presses(address, "1").statusCode(200).body("answer.say", equalTo("Nothing is changed. R. Osk has it already."));
        assertThat(takenBy()).isEqualTo(fixture.person("R. Osk"));
    }

    @Test
    void whatBecameOfACallIsRecordedOnce() throws Exception {
        String address = calledByVoice();

        posts(address, "{\"call\":{\"state\":\"ringing\"}}").statusCode(204);
        assertThat(arrival()).isEmpty();
        posts(address, "{\"call\":{\"state\":\"no-answer\"}}").statusCode(204);
        posts(address, "{\"call\":{\"state\":\"no-answer\"}}").statusCode(204);

        assertThat(arrival()).isEqualTo("NOT_ARRIVED");
        assertThat(fixture.number("SELECT COUNT(*) FROM outgoing_message WHERE channel = 'MAIL' AND subject LIKE 'North Stair 2 &%'")).isOne();
    }

    @Test
    void wordOfAShortMessageTakesItToo() throws Exception {
        String form = called("SMS", "North Stair 2 has no supply since 02:41.");
        assertThat(form).contains("Answer%20take%20to%20take%20it%2C%20pass%20to%20tell%20the%20next.");
        String address = java.net.URLDecoder.decode(form.replaceAll(".*&tell=", ""), java.nio.charset.StandardCharsets.UTF_8);

        RestAssured.given().formParam("reply", "Take it!").formParam("from", NUMBER).post(URI.create(address).getPath()).then().statusCode(200)
                .contentType(startsWith("text/plain")).body(equalTo("You have taken it: North Stair 2 has no supply since 02:41."));

        assertThat(takenBy()).isEqualTo(person);
    }

    @Test
    void anythingElseIsRefusedWithAProblemAndRecordsNothing() throws Exception {
        String address = calledByVoice();

        presses(address, "7").statusCode(422).contentType("application/problem+json").body("type", equalTo("urn:lampkeeper:problem:invalid"))
                .body("errors[0].pointer", equalTo("#/call/key")).body("errors[0].detail", equalTo("is \"7\", must be one of 1, 2"));
        posts(address, "{\"call\":{\"state\":\"teleported\"}}").statusCode(422);
        posts(address, "{}").statusCode(422);
        posts(address, "[]").statusCode(422);
        posts(address, "").statusCode(422);
        posts(address, "{\"call\":{\"key\":\"1\"}").statusCode(400).body("type", equalTo("urn:lampkeeper:problem:unreadable"));
        posts(address, "{\"call\":{\"key\":\"2\"},\"call\":{\"key\":\"1\"}}").statusCode(400);
        RestAssured.given().contentType("text/xml").body("<key>1</key>").post(address).then().statusCode(415);
        RestAssured.given().queryParam("key", "1").get(address).then().statusCode(405).header("Allow", containsString("POST"));

        assertThat(takenBy()).isZero();
        assertThat(arrival()).isEmpty();
    }

    @Test
    void forgedAndExpiredAddressesAreOfNoUse() throws Exception {
        String address = calledByVoice();
        String token = address.substring(address.lastIndexOf('/') + 1);
        String link = tokens.issue(ALARM, person, NOW.plus(Duration.ofHours(1)));

        presses(address.substring(0, address.length() - 5) + "AAAAA", "1").statusCode(404).body("type", equalTo(NOT_OURS));
        presses("/gateway/callback/" + link, "1").statusCode(404).body("type", equalTo(NOT_OURS));
        presses("/gateway/callback/x", "1").statusCode(404);
        RestAssured.get("/a/" + token).then().statusCode(404);
        clock.stopAt(NOW.plus(Duration.ofHours(24)));
        presses(address, "1").statusCode(410).body("type", equalTo("urn:lampkeeper:problem:ended"));
        clock.stopAt(NOW);
        fixture.run("DELETE FROM outgoing_message WHERE address = ?", NUMBER);
        presses(address, "1").statusCode(410);

        assertThat(takenBy()).isZero();
    }
}
