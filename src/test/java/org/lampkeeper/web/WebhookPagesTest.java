package org.lampkeeper.web;

import java.io.IOException;
import java.time.Duration;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.Response;
import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.testing.HookReceiver;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.NOW;

/** The pages on which somebody says which programs hear of alarms, and sees whether they did. */
@QuarkusTest
@TestProfile(WithDemo.class)
class WebhookPagesTest {

    private static final Duration SOON = Duration.ofSeconds(20);

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;
    @Inject
    MessageConfig messages;

    private SignedIn administrator;
    private HookReceiver receiver;

    @BeforeEach
    void situation() throws IOException {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        fixture.run("DELETE FROM webhook_endpoint");
        fixture.run("DELETE FROM webhook_delivery");
        administrator = SignedIn.as(Role.ADMINISTRATOR);
        receiver = HookReceiver.start();
    }

    @AfterEach
    void stop() {
        fixture.run("DELETE FROM webhook_endpoint");
        receiver.close();
    }

    private Response post(SignedIn who, String path, String... namesAndValues) {
        var request = who.browser().contentType("application/x-www-form-urlencoded; charset=UTF-8");
        for (int i = 0; i < namesAndValues.length; i += 2) {
            request.formParam(namesAndValues[i], namesAndValues[i + 1]);
        }
        return request.post(path);
    }

    /** Registers one and returns its address and its secret. */
    private String[] registered() {
        String page = post(administrator, "/webhooks/new", "name", "Harbour office", "url", receiver.url("/hook"), "siteId", "0", "isOn", "on").then()
                .statusCode(200).extract().asString();
        Matcher secret = Pattern.compile("whsec_[A-Za-z0-9+/=]+").matcher(page.replace("&#61;", "="));
        Matcher address = Pattern.compile("/webhooks/\\d+").matcher(page);
        assertThat(secret.find() && address.find()).as(page).isTrue();
        return new String[] {address.group(), secret.group()};
    }

    private ValidatableResponse page(String path) {
        return administrator.browser().get(path).then().statusCode(200);
    }

    @Test
    void registeredItsSecretIsShownOnceAndATestArrivesSignedWithIt() {
        page("/webhooks").body(containsString("No program outside hears of alarms."));
        page("/messages").body(containsString("href=\"/webhooks\""));
        String[] made = registered();

        page(made[0]).body(containsString("Harbour office hears of alarms.")).body(not(containsString("whsec_"))).body(containsString(receiver.url("/hook")));
        post(administrator, made[0] + "/test").then().statusCode(303).header("Location", containsString(made[0] + "?said=tested"));
        await().atMost(SOON).until(() -> receiver.received().size() == 1);

        assertThat(receiver.received().get(0).isSignedWith(made[1])).isTrue();
        await().atMost(SOON).untilAsserted(() -> page(made[0]).body(containsString("webhook.test")).body(containsString("taken; answered 204 in ")));
        page("/webhooks").body(containsString("Every webhook that is on takes what it is told."));
    }

    @Test
    void whatFailsSaysTriesAnswerAndNextTryAndWhatWasGivenUpIsSentAgain() {
        String[] made = registered();
        receiver.behaves(HookReceiver.status(503));
        post(administrator, made[0] + "/test").then().statusCode(303);
        await().atMost(SOON).untilAsserted(() -> page(made[0]).body(containsString("tried once; answered 503 in ")).body(containsString("next try 02:45"))
                .body(containsString("Harbour office has taken nothing since 02:45: answered 503.")).body(not(containsString("Send again"))));
        page("/webhooks").body(containsString("1 webhook takes nothing at present."));

        clock.advance(messages.giveUpAfter());
        await().atMost(SOON).untilAsserted(() -> page(made[0]).body(containsString("given up; tried 2 times; answered 503")).body(containsString("Send again")));
        receiver.behaves(HookReceiver.status(204));
        Matcher again = Pattern.compile("/webhooks/deliveries/\\d+/again").matcher(page(made[0]).extract().asString());
        assertThat(again.find()).isTrue();
        post(administrator, again.group()).then().statusCode(303).header("Location", containsString("said=again"));

        await().atMost(SOON).untilAsserted(() -> page(made[0]).body(containsString("taken; answered 204")).body(containsString("hears of alarms")));
        assertThat(receiver.received().stream().map(got -> got.headers().get("webhook-id")).distinct()).hasSize(1);
        post(administrator, again.group()).then().statusCode(303).header("Location", containsString("said=not"));
    }

    @Test
    void formKeepsWhatWasTypedAndSaysWhatIsWrong() {
        post(administrator, "/webhooks/new", "name", "", "url", "ftp://quay.example/", "siteId", "7", "isOn", "on").then().statusCode(422)
                .body(containsString("value=\"ftp://quay.example/\"")).body(containsString("URL must begin with https://"))
                .body(containsString("Name is empty")).body(containsString("Nothing is chosen"));
        String[] made = registered();

        post(administrator, made[0] + "/edit", "name", "Harbour office 2", "url", receiver.url("/two"), "version", "0").then().statusCode(303);
        page(made[0]).body(containsString("Harbour office 2 is switched off.")).body(not(containsString("Send a test")));
        post(administrator, made[0] + "/edit", "name", "Other", "url", receiver.url("/two"), "version", "0", "isOn", "on").then().statusCode(409)
                .body(containsString("Harbour office 2"));
        post(administrator, made[0] + "/remove", "version", "0").then().statusCode(409);
        post(administrator, made[0] + "/remove", "version", "1").then().statusCode(303);
        administrator.browser().get(made[0]).then().statusCode(404);
    }

    @Test
    void administratorOfASiteRegistersForThatSiteAlone() {
        long site = fixture.site(WebFixture.SITE);
        SignedIn ours = SignedIn.as(Role.ADMINISTRATOR, site);
        registered();

        post(ours, "/webhooks/new", "name", "n", "url", receiver.url("/"), "siteId", "0", "isOn", "on").then().statusCode(422);
        post(ours, "/webhooks/new", "name", "n", "url", receiver.url("/"), "siteId", "" + fixture.site("Cray Point"), "isOn", "on").then().statusCode(422);
        post(ours, "/webhooks/new", "name", "Ours alone", "url", receiver.url("/"), "siteId", "" + site, "isOn", "on").then().statusCode(200);

        ours.browser().get("/webhooks").then().statusCode(200).body(containsString("Ours alone")).body(not(containsString("Harbour office")));
        SignedIn.as(Role.DUTY_MANAGER).browser().get("/webhooks").then().statusCode(403);
        SignedIn.as(Role.DUTY_MANAGER).browser().get("/messages").then().statusCode(200).body(not(containsString("href=\"/webhooks\"")));
    }

    @Test
    void longListIsShownInPages() {
        String[] made = registered();
        long id = Long.parseLong(made[0].replaceAll("\\D", ""));
        for (int i = 1; i <= 65; i++) {
            fixture.run("INSERT INTO webhook_delivery (id, message_key, endpoint_id, event, body, created_at, wanted_at, state, attempts, ended_at)"
                    + " VALUES (?, ?, ?, 'webhook.test', '{}', ?, ?, 'DELIVERED', 1, ?)", 950_000L + i, "msg_" + i, id, NOW, NOW, NOW);
        }

        page(made[0]).body(containsString("id=\"delivery-950065\"")).body(not(containsString("id=\"delivery-950035\"")))
                .body(containsString(made[0] + "?before=950036"));
        page(made[0] + "?before=950036").body(containsString("id=\"delivery-950035\"")).body(containsString("?before=950006"));
        page(made[0] + "?before=950006").body(containsString("id=\"delivery-950001\"")).body(not(containsString(">Older<")));
    }
}
