package org.lampkeeper.watch;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.message.NewWebhook;
import org.lampkeeper.message.Webhooks;
import org.lampkeeper.message.Webhooks.Registered;
import org.lampkeeper.register.By;
import org.lampkeeper.testing.HookReceiver;
import org.lampkeeper.testing.HookReceiver.Received;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/** An alarm from its first moment to its last, as a program outside hears of it. */
@QuarkusTest
class WebhookFlowTest {

    private static final ObjectMapper JSON = new ObjectMapper();
    private static final Duration SOON = Duration.ofSeconds(20);

    @Inject
    WatchFixture fixture;
    @Inject
    Webhooks webhooks;
    @Inject
    AlarmDesk desk;

    private final List<Long> registered = new ArrayList<>();
    private HookReceiver receiver;

    @BeforeEach
    void noon() throws IOException {
        fixture.atNoonListening();
        receiver = HookReceiver.start();
    }

    @AfterEach
    void stop() {
        registered.forEach(id -> webhooks.remove(id, 0, By.nobody(fixture.now())));
        receiver.close();
    }

    private Registered webhook(OptionalLong site) {
        Registered made = webhooks.register(new NewWebhook("Harbour office", receiver.url("/hook"), site, true), By.nobody(fixture.now()));
        registered.add(made.id());
        return made;
    }

    private void lost(Place place) {
        fixture.saysHealthy(place.first());
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));
    }

    private List<JsonNode> events() {
        return receiver.received().stream().map(WebhookFlowTest::body).toList();
    }

    private static JsonNode body(Received got) {
        try {
            return JSON.readTree(got.body());
        } catch (IOException noJson) {
            throw new IllegalStateException(noJson);
        }
    }

    /** By sequence: several are on their way at the same time. */
    private List<String> types() {
        return events().stream().sorted((one, other) -> Long.compare(one.at("/data/sequence").asLong(), other.at("/data/sequence").asLong()))
                .map(event -> event.path("type").asText()).toList();
    }

    private void hears(String type) {
        await().atMost(SOON).until(() -> types().contains(type));
    }

    private JsonNode event(String type) {
        return events().stream().filter(event -> event.path("type").asText().equals(type)).findFirst().orElseThrow();
    }

    @Test
    void alarmIsHeardOfFromItsFirstMomentToItsLast() throws IOException {
        Place place = fixture.place(1);
        Registered endpoint = webhook(OptionalLong.of(place.siteId()));
        lost(place);
        hears("alarm.told");
        long alarm = fixture.openAlarms(place).get(0).id();
        desk.cannot(alarm, place.people().get(0));
        desk.take(alarm, place.people().get(1));
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(30));
        hears("alarm.closed");

        assertThat(types().stream().filter(type -> !type.equals("alarm.told")).toList())
                .containsExactly("alarm.raised", "alarm.passed-on", "alarm.taken", "alarm.returned", "alarm.closed");
        assertThat(receiver.received()).allSatisfy(got -> assertThat(got.isSignedWith(endpoint.secret())).isTrue());
        JsonNode raised = event("alarm.raised").path("data");
        assertThat(raised.path("alarm").asLong()).isEqualTo(alarm);
        assertThat(List.of(raised.path("kind").asText(), raised.path("state").asText(), raised.path("live").asBoolean())).containsExactly("SUPPLY_LOST",
                "UNACKNOWLEDGED", true);
        assertThat(raised.at("/site/id").asLong()).isEqualTo(place.siteId());
        assertThat(raised.at("/cabinet/name").asText()).endsWith("cabinet 1");
        assertThat(raised.path("link").asText()).endsWith("/alarms/" + alarm);
        assertThat(event("alarm.told").at("/data/person").asLong()).isEqualTo(place.people().get(0));
        assertThat(event("alarm.told").at("/data/alarms").toString()).isEqualTo("[" + alarm + "]");
        assertThat(event("alarm.passed-on").at("/data/person").asLong()).isEqualTo(place.people().get(0));
        assertThat(event("alarm.taken").at("/data/person").asLong()).isEqualTo(place.people().get(1));
        assertThat(event("alarm.closed").at("/data/state").asText()).isEqualTo("NORMAL");
        assertThat(receiver.received()).as("no names, addresses or numbers of people").noneMatch(got -> got.body().matches("(?s).*(@|Teal|Osk|Wren|01632).*"));
        events().forEach(WebhookFlowTest::isAsDocumented);
    }

    @Test
    void oneOfEverySiteHearsOfAllAndOneOfASiteOfItsOwnAlone() {
        Place place = fixture.place(1);
        Place other = fixture.place(1);
        webhook(OptionalLong.empty());
        webhook(OptionalLong.of(other.siteId()));

        lost(place);
        hears("alarm.told");

        assertThat(types()).containsOnlyOnce("alarm.raised");
    }

    @Test
    void whatIsHeldBackIsSaidToBe() throws IOException {
        Place place = fixture.place(1);
        webhook(OptionalLong.of(place.siteId()));
        desk.suppress(SuppressionKind.ANNOUNCED_WORK, place.siteId(), OptionalLong.empty(), OptionalLong.empty(), fixture.now().plus(Duration.ofMinutes(5)),
                "new intake", OptionalLong.empty());

        lost(place);
        hears("alarm.held");
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(6));
        hears("alarm.told");

        assertThat(types()).startsWith("alarm.raised", "alarm.held", "alarm.hold-ended");
        assertThat(event("alarm.held").at("/data/until").asText()).isNotEmpty();
        events().forEach(WebhookFlowTest::isAsDocumented);
    }

    /** Against the schema in docs/webhooks.md: nothing that it does not name, all that it asks for, and of the types that it says. */
    private static void isAsDocumented(JsonNode event) {
        JsonNode schema;
        try {
            Matcher block = Pattern.compile("```json schema\n(.*?)```", Pattern.DOTALL).matcher(Files.readString(Path.of("docs/webhooks.md")));
            assertThat(block.find()).isTrue();
            schema = JSON.readTree(block.group(1));
        } catch (IOException unreadable) {
            throw new IllegalStateException(unreadable);
        }
        check(event, schema, "event");
    }

    private static void check(JsonNode value, JsonNode schema, String where) {
        switch (schema.path("type").asText()) {
            case "object" -> {
                assertThat(value.isObject()).as(where).isTrue();
                value.fieldNames().forEachRemaining(name -> assertThat(schema.path("properties").has(name)).as("%s.%s is documented", where, name).isTrue());
                schema.path("required").forEach(name -> assertThat(value.has(name.asText())).as("%s has %s", where, name).isTrue());
                value.fields().forEachRemaining(field -> check(field.getValue(), schema.path("properties").path(field.getKey()), where + "." + field.getKey()));
            }
            case "array" -> value.forEach(each -> check(each, schema.path("items"), where + "[]"));
            case "integer" -> assertThat(value.isIntegralNumber()).as(where).isTrue();
            case "boolean" -> assertThat(value.isBoolean()).as(where).isTrue();
            case "string" -> {
                assertThat(value.isTextual()).as(where).isTrue();
                if (schema.has("enum")) {
                    List<String> known = new ArrayList<>();
                    schema.path("enum").forEach(each -> known.add(each.asText()));
                    assertThat(known).as(where).contains(value.asText());
                }
            }
            default -> throw new AssertionError(where + ": the schema says no type");
        }
    }
}
