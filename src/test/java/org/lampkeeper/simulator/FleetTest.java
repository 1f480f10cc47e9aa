package org.lampkeeper.simulator;

import java.io.PrintWriter;
import java.io.StringWriter;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

import org.awaitility.Awaitility;
import org.awaitility.core.ConditionFactory;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** Over real MQTT, with Mosquitto. */
@Timeout(120)
class FleetTest {

    private static final List<SensorLogin> SENSORS = List.of(
            new SensorLogin("q-1", "first secret", "urn:dev:mac:0024befffe804ff1:"),
            new SensorLogin("q-2", "second secret", "urn:dev:mac:0024befffe804ff2:"));
    private static final FleetSettings QUICK = FleetSettings.usual().reportingEvery(Duration.ofMillis(500));

    @TempDir
    private Path folder;

    @Test
    void everySensorConnectsAsItselfReportsAtQosOneAndSaysGoodBye() throws Exception {
        try (TestMosquitto mosquitto = TestMosquitto.forSensors(folder, SENSORS); Observer observer = new Observer(mosquitto.uri())) {
            Fleet fleet = Fleet.connect(mosquitto.uri(), SENSORS, QUICK);

            await().until(() -> observer.reports("q-1").size() > 2 && observer.reports("q-2").size() > 2);
            fleet.close();

            await().until(() -> observer.link("q-1").size() == 2 && observer.link("q-2").size() == 2);
            assertThat(observer.link("q-1")).containsExactly("up", "down");
            assertThat(observer.heard).allMatch(message -> message.qos() == 1);
            assertThat(observer.reports("q-2").get(0).get(0).get("bn").asText()).isEqualTo("urn:dev:mac:0024befffe804ff2:");
            assertThat(fleet.counts().refused()).isZero();
            assertThat(fleet.counts().acknowledged()).isEqualTo(fleet.counts().published());
        }
    }

    @Test
    void aSupplyTakenAwayIsReportedWithoutWaitingForTheInterval() throws Exception {
        FleetSettings slow = FleetSettings.usual().reportingEvery(Duration.ofMinutes(30));
        try (TestMosquitto mosquitto = TestMosquitto.forSensors(folder, SENSORS);
                Observer observer = new Observer(mosquitto.uri());
                Fleet fleet = Fleet.connect(mosquitto.uri(), SENSORS, slow)) {
            await().until(() -> observer.heardSupply("q-1", true) && observer.heardSupply("q-2", true));

            fleet.loseSupply("q-1");
            await().until(() -> observer.heardSupply("q-1", false));
            fleet.restoreSupply("q-1");
            await().until(() -> observer.reports("q-1").size() == 3);

            assertThat(observer.reports("q-1").get(2).get(0).get("vb").asBoolean()).isTrue();
            assertThat(observer.heardSupply("q-2", false)).isFalse();
        }
    }

    @Test
    void aCutLineMakesTheBrokerPublishTheWillAndTheBacklogFollowsTheBirth() throws Exception {
        try (TestMosquitto mosquitto = TestMosquitto.forSensors(folder, SENSORS);
                Observer observer = new Observer(mosquitto.uri());
                Fleet fleet = Fleet.connect(mosquitto.uri(), SENSORS, FleetSettings.usual().reportingEvery(Duration.ofSeconds(1)))) {
            await().until(() -> fleet.connected() == 2 && observer.heardSupply("q-1", true));

            fleet.play("q-1", Fault.BACKLOG, Duration.ofMillis(3_500));

            await().until(() -> observer.link("q-1").equals(List.of("up", "down")));
            await().until(() -> observer.link("q-1").equals(List.of("up", "down", "up")));
            await().until(() -> observer.reports("q-1").stream().anyMatch(pack -> pack.size() >= 21));
            assertThat(observer.link("q-2")).containsExactly("up");
        }
    }

    @Test
    void aBrokerThatComesBackHearsAllOfThemAgainWithWhatItMissed() throws Exception {
        try (TestMosquitto mosquitto = TestMosquitto.forSensors(folder, SENSORS);
                Fleet fleet = Fleet.connect(mosquitto.uri(), SENSORS, QUICK)) {
            await().until(() -> fleet.connected() == 2);

            mosquitto.restart();

            try (Observer observer = new Observer(mosquitto.uri())) {
                await().until(() -> observer.link("q-1").contains("up") && observer.link("q-2").contains("up"));
                await().until(() -> observer.heardSupply("q-1", true) && observer.heardSupply("q-2", true));
            }
            assertThat(fleet.counts().connections()).isEqualTo(4);
        }
    }

    @Test
    void aWrongSecretIsToldAndTriedAgainWithoutDisturbingTheOthers() throws Exception {
        List<SensorLogin> wrong = List.of(SENSORS.get(0), new SensorLogin("q-2", "guessed", SENSORS.get(1).baseName()));
        List<FleetEvent> events = new CopyOnWriteArrayList<>();
        try (TestMosquitto mosquitto = TestMosquitto.forSensors(folder, SENSORS);
                Observer observer = new Observer(mosquitto.uri());
                Fleet fleet = Fleet.connect(mosquitto.uri(), wrong, QUICK, events::add)) {
            await().until(() -> observer.reports("q-1").size() > 2);
            await().until(() -> events.stream().filter(event -> event.text().startsWith("could not connect")).count() >= 2);

            assertThat(events).filteredOn(event -> event.text().startsWith("could not connect")).extracting(FleetEvent::deviceId)
                    .containsOnly("q-2");
            assertThat(observer.reports("q-2")).isEmpty();
            assertThat(fleet.connected()).isEqualTo(1);
        }
    }

    @Test
    void aGatewayPublishesForAllAndSaysDownForACutSensor() throws Exception {
        List<SensorLogin> many = SensorLogin.invent(200, "g");
        try (TestMosquitto mosquitto = TestMosquitto.open(folder);
                Observer observer = new Observer(mosquitto.uri());
                Fleet fleet = Fleet.connectGateway(mosquitto.uri(), "g-gateway", "", "", many, FleetSettings.usual(), event -> { })) {
            await().until(() -> many.stream().allMatch(login -> observer.heardSupply(login.deviceId(), true)));

            fleet.play("g-7", Fault.OFFLINE, Duration.ofMillis(300));

            await().until(() -> observer.link("g-7").equals(List.of("up", "down", "up")));
            assertThat(observer.link("g-8")).containsExactly("up");
            assertThat(fleet.counts().connections()).isEqualTo(1);
        }
    }

    @Test
    void garbageReachesTheBrokerAndTheSensorGoesOn() throws Exception {
        try (TestMosquitto mosquitto = TestMosquitto.forSensors(folder, SENSORS);
                Observer observer = new Observer(mosquitto.uri());
                Fleet fleet = Fleet.connect(mosquitto.uri(), SENSORS, QUICK)) {
            await().until(() -> fleet.connected() == 2);

            fleet.play("q-1", Fault.GARBAGE, Duration.ofSeconds(1));

            await().until(() -> observer.heard.stream().anyMatch(message -> message.payload().length == Wire.HUGE));
            await().until(() -> observer.heard.stream().anyMatch(message -> message.text().contains(Wire.FOREIGN_BASE_NAME)));
            int before = observer.heard.size();
            await().until(() -> observer.heard.size() > before + 2);
            assertThat(fleet.counts().connections()).isEqualTo(2);
        }
    }

    @Test
    void anUnknownSensorIsRefusedByName() throws Exception {
        try (TestMosquitto mosquitto = TestMosquitto.open(folder); Fleet fleet = Fleet.connect(mosquitto.uri(), SENSORS, QUICK)) {
            assertThatThrownBy(() -> fleet.loseSupply("q-9")).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("q-9");
        }
    }

    @Test
    void theCommandLinePlaysAScriptPrintsItAndSumsUp() throws Exception {
        Path script = Files.write(folder.resolve("script"), List.of("0.2s, cli-1, loss, 0.5s"));
        StringWriter out = new StringWriter();
        try (TestMosquitto mosquitto = TestMosquitto.open(folder); Observer observer = new Observer(mosquitto.uri())) {
            int code = Simulator.commandLine(new Simulator()).setOut(new PrintWriter(out)).execute("--broker", mosquitto.uri().toString(),
                    "--count", "3", "--prefix", "cli", "--script", script.toString(), "--outside", "-5", "--duration", "2s");

            await().until(() -> observer.heardSupply("cli-1", false));
            assertThat(code).isZero();
            assertThat(out.toString()).contains("planned: after 0.2s, cli-1, loss for 0.5s", "cli-1  lost its supply",
                    "cli-1  has supply again", "3 sensors, 1 connections, ", " 0 refused");
            await().until(() -> observer.link("cli-3").equals(List.of("up", "down")));
        }
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "--count 1                                      | Missing required option: '--broker=URL'",
        "--broker tcp://x                               | Missing required argument",
        "--broker http://x --count 1                    | must begin with tcp://",
        "--broker tcp://x --count 0                     | must be at least 1",
        "--broker tcp://x --count 1 --faults quake=1    | there are: loss, dip",
        "--broker tcp://x --count 1 --interval never    | write 30s, 2m, 1h30m",
        "--broker tcp://x --count 1 --sensors f         | are mutually exclusive"
    })
    void aWrongCommandLineIsExplained(String line, String why) {
        StringWriter err = new StringWriter();

        int code = Simulator.commandLine(new Simulator()).setErr(new PrintWriter(err)).execute(line.split(" +"));

        assertThat(code).isEqualTo(2);
        assertThat(err.toString()).contains(why);
    }

    @ParameterizedTest
    @CsvSource({"mqtt://h:1883, tcp://h:1883", "mqtts://h:8883, ssl://h:8883", "tcp://h:1, tcp://h:1"})
    void theUsualSchemesAreUnderstood(URI given, String paho) {
        assertThat(SensorLink.pahoAddress(given)).isEqualTo(paho);
    }

    // Longer than it ever takes: a build machine may have a lot else to do.
    private static ConditionFactory await() {
        return Awaitility.await().atMost(Duration.ofSeconds(30));
    }
}
