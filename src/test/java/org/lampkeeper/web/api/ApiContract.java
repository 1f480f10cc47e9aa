package org.lampkeeper.web.api;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Types;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.UUID;
import java.util.concurrent.Callable;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;

import javax.sql.DataSource;

import jakarta.inject.Inject;

import io.restassured.path.json.JsonPath;
import io.restassured.response.Response;
import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.testing.MovedClock;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.contains;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.endsWith;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.everyItem;
import static org.hamcrest.Matchers.hasItem;
import static org.hamcrest.Matchers.hasItems;
import static org.hamcrest.Matchers.hasSize;
import static org.hamcrest.Matchers.is;
import static org.hamcrest.Matchers.not;
import static org.hamcrest.Matchers.notNullValue;
import static org.hamcrest.Matchers.nullValue;
import static org.hamcrest.Matchers.startsWith;

/** What programs can do, resource by resource; runs on both databases. */
abstract class ApiContract {

    private static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");

    @Inject
    DataSource database;
    @Inject
    MovedClock clock;
    @Inject
    Sensors sensors;

    private final String own = UUID.randomUUID().toString().substring(0, 8).toUpperCase(java.util.Locale.ROOT);
    private Program administrator;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        administrator = Program.as(Role.ADMINISTRATOR);
    }

    @Test
    void siteIsRegisteredReadAndReplaced() {
        ValidatableResponse made = administrator.post("/api/sites", site("Stair " + own)).statusCode(201).header("ETag", "\"0\"")
                .body("name", equalTo("Stair " + own)).body("electrician.phone", nullValue()).body("zone", equalTo("Europe/London"));
        String path = made.extract().header("Location");

        String stored = administrator.get(path).statusCode(200).header("ETag", "\"0\"").header("Content-Type",
                startsWith("application/json"))
                .extract().asString();
        assertThat(stored).doesNotContain("null", "phone");
        administrator.request().header("If-None-Match", "\"0\"").get(path).then().statusCode(304).body(is(""));

        // What was read can be sent back as it is: what cannot be changed is passed over.
        administrator.put(path, "\"0\"", stored.replace("Stair " + own, "Steps " + own)).statusCode(200).header("ETag", "\"1\"")
                .body("name", equalTo("Steps " + own));
        administrator.put(path, "\"0\"", site("Ramp " + own)).statusCode(412).header("ETag", "\"1\"")
                .body("type", equalTo("urn:lampkeeper:problem:changed-meanwhile"));
        administrator.put(path, "*", site("Ramp " + own)).statusCode(200).header("ETag", "\"2\"");
        administrator.request().header("If-None-Match", "\"0\"").get(path).then().statusCode(200);
    }

    @Test
    void boardCabinetCircuitContentAndSensorAreRegisteredChangedAndGivenUp() {
        long site = id(administrator.post("/api/sites", site("Plant " + own)));
        String board = administrator.post("/api/boards", board(site)).statusCode(201).extract().header("Location");
        long boardId = number(board);
        administrator.put(board, "\"0\"", board(site).replace("key 7", "key 9")).statusCode(200).body("access", equalTo("key 9"));

        ValidatableResponse made = administrator.post("/api/cabinets", cabinet(site, boardId, "A" + own, "1")).statusCode(201)
                .body("contentKind", equalTo("defibrillator"));
        String cabinet = made.extract().header("Location");
        long cabinetId = number(cabinet);
        String circuit = "/api/circuits/" + made.extract().jsonPath().getLong("circuitId");

        administrator.get(circuit).statusCode(200).body("ratingAmpere", equalTo(16)).body("residualMilliampere", equalTo(30));
        administrator.put(circuit, "\"0\"", circuit(boardId, "2")).statusCode(200).body("way", equalTo("2"));
        administrator.get("/api/circuits?board=" + boardId).body("items", hasSize(1));
        administrator.get(cabinet + "/content").header("ETag", "\"0\"").body("lowestCelsius", equalTo(0.0f)).body("parts[0].name",
                equalTo("pads"));
        administrator.put(cabinet + "/content", "\"0\"", "{\"kind\":\"eyewash\",\"limitsAsked\":true,\"highestCelsius\":38}")
                .statusCode(200)
                .body("kind", equalTo("eyewash")).body("lowestCelsius", nullValue());
        administrator.get(cabinet + "/warmth").statusCode(200).header("ETag", "\"-1\"").body("setPointCelsius", nullValue()).body("needsSupply", equalTo(false));
        String warmth = "{\"setPointCelsius\":8,\"heaterWatt\":30,\"wattPerKelvin\":0.737,\"joulePerKelvin\":7490,\"needsSupply\":%s,\"slowerWhenWarm\":true}";
        administrator.put(cabinet + "/warmth", "\"-1\"", warmth.formatted(true)).statusCode(422).body("errors[0].pointer", equalTo("#/slowerWhenWarm"));
        administrator.put(cabinet + "/warmth", "\"-1\"", warmth.formatted(false)).statusCode(200).body("wattPerKelvin", equalTo(0.737f));
        administrator.put(cabinet + "/warmth", "\"-1\"", warmth.formatted(false)).statusCode(412);
        administrator.get(cabinet + "/warmth").header("ETag", "\"0\"").body("slowerWhenWarm", equalTo(true)).body("contentMillimetres", nullValue());
        String thick = "{\"needsSupply\":false,\"slowerWhenWarm\":false,\"surfaceCoefficient\":%s,\"contentMillimetres\":29,\"contentConductivity\":0.25}";
        administrator.put(cabinet + "/warmth", "\"0\"", thick.formatted("400")).statusCode(422).body("errors[0].pointer", equalTo("#/surfaceCoefficient"));
        administrator.put(cabinet + "/warmth", "\"0\"", thick.formatted("8")).statusCode(200).body("contentConductivity", equalTo(0.25f));
        String tag = administrator.get(cabinet).extract().header("ETag");
        administrator.put(cabinet, tag, "{\"code\":\"B%1$s\",\"name\":\"B %1$s\",\"place\":\"p\",\"lampPlace\":\"l\"}".formatted(own))
                .statusCode(200)
                .body("code", equalTo("B" + own));
        administrator.delete(board, "*").statusCode(422).body("detail", containsString("feeds 1 cabinet"));

        String device = "d-" + own;
        String secret = administrator.post("/api/sensors", sensor(cabinetId, device)).statusCode(201).header("Location", "/api/sensors/"
                + device)
                .extract().path("secret");
        assertThat(sensors.accepts(device, secret)).isTrue();
        administrator.get("/api/sensors/" + device).body("reading", equalTo("UNKNOWN")).body("secret", nullValue()).body("observedAt",
                nullValue());
        String renewed = administrator.post("/api/sensors/" + device + "/secret", "").statusCode(200).extract().path("secret");
        assertThat(sensors.accepts(device, renewed)).isTrue();
        assertThat(sensors.accepts(device, secret)).isFalse();
        administrator.delete("/api/sensors/" + device, "\"0\"").statusCode(412);
        administrator.delete("/api/sensors/" + device, "\"1\"").statusCode(204);
        administrator.get("/api/sensors/" + device).body("retiredAt", equalTo(NOW.toString()));
        administrator.get("/api/sensors?site=" + site).body("items", hasSize(0));
        administrator.get("/api/sensors?retired=true&cabinet=" + cabinetId).body("items", hasSize(1));

        administrator.delete(cabinet, administrator.get(cabinet).extract().header("ETag")).statusCode(422)
                .body("detail", containsString("eason"));
        administrator.delete(cabinet + "?reason=rebuilt", administrator.get(cabinet).extract().header("ETag")).statusCode(204);
        administrator.get(cabinet).body("outOfUseSince", equalTo(NOW.toString())).body("circuitId", nullValue())
                .body("outOfUseBecause", equalTo("rebuilt"));
        String again = "{\"boardId\":%d,\"way\":\"9\",\"device\":\"MCB\",\"curve\":\"B\",\"ratingAmpere\":6,\"cable\":\"c\",\"fuseAmpere\":3,\"fusedUnitPlace\":\"below\"}"
                .formatted(number(board));
        administrator.post(cabinet + "/in-use", again).statusCode(200).body("outOfUseSince", nullValue()).body("circuitId", notNullValue());
        administrator.post(cabinet + "/in-use", again).statusCode(422);
        administrator.delete(cabinet + "?reason=rebuilt", administrator.get(cabinet).extract().header("ETag")).statusCode(204);
        administrator.delete(board, "\"1\"").statusCode(204);
        administrator.get(board).statusCode(404);
    }

    @Test
    void planOfLooksIsAddedChangedAndEndedAndItsLooksAreListed() {
        long site = id(administrator.post("/api/sites", site("Looks " + own)));
        long board = id(administrator.post("/api/boards", board(site)));
        long cabinet = id(administrator.post("/api/cabinets", cabinet(site, board, "L" + own, "1")));
        String plan = """
                {"cabinetId":%d,"kind":"LAMP","rule":"FREQ=DAILY","first":"2026-11-01","opens":"09:00","closes":"11:00","graceMinutes":30,
                 "whenClosed":"SKIP","asked":{"role":"SITE_DUTY"}}""".formatted(cabinet);

        String path = administrator.post("/api/check-plans", plan).statusCode(201).header("ETag", "\"0\"").body("asked.role", equalTo("SITE_DUTY"))
                .body("asked.personId", nullValue()).body("askedWhenClosed", nullValue()).body("siteId", equalTo((int) site)).body("endedAt", nullValue())
                .extract().header("Location");
        int due = administrator.get("/api/checks?cabinet=" + cabinet).statusCode(200).body("items", hasSize(not(0))).body("items[0].state", equalTo("OPEN"))
                .body("items[0].openedAt", nullValue()).extract().path("items[0].id");
        administrator.get("/api/checks/" + due).statusCode(200).body("cabinetId", equalTo((int) cabinet)).body("day", notNullValue());
        administrator.get("/api/check-records?site=" + site).body("items", hasSize(0));
        administrator.get("/api/check-plans?site=" + site + "&cabinet=" + cabinet).body("items", hasSize(1));

        String stored = administrator.get(path).statusCode(200).extract().asString();
        administrator.put(path, "\"0\"", stored.replace("11:00", "12:30")).statusCode(200).header("ETag", "\"1\"").body("closes", equalTo("12:30"));
        administrator.put(path, "\"0\"", stored).statusCode(412);
        administrator.put(path, "\"1\"", plan.replace("" + cabinet, "1")).statusCode(422).body("errors[0].pointer", equalTo("#/cabinetId"));
        administrator.post("/api/check-plans", plan.replace("DAILY", "HOURLY").replace("09:00", "nine").replace("\"role\":\"SITE_DUTY\"", "")).statusCode(422)
                .body("errors.pointer", hasItem("#/rule")).body("errors.pointer", hasItem("#/opens")).body("errors.pointer", hasItem("#/asked/personId"));
        Program elsewhere = Program.as(Role.ADMINISTRATOR, id(administrator.post("/api/sites", site("Not looks " + own))));
        elsewhere.get(path).statusCode(404);
        elsewhere.get("/api/checks/" + due).statusCode(404);
        elsewhere.get("/api/checks?limit=200").body("items.id", not(hasItem(due)));
        elsewhere.post("/api/check-plans", plan).statusCode(422).body("errors[0].pointer", equalTo("#/cabinetId"));

        administrator.delete(path, "\"1\"").statusCode(204);
        administrator.get(path).body("endedAt", equalTo(NOW.toString()));
        administrator.get("/api/checks?cabinet=" + cabinet).body("items", hasSize(0));
        administrator.put(path, "*", stored).statusCode(422).body("detail", containsString("has ended"));
    }

    @Test
    void planOfLooksIsAddedForManyCabinetsAtOnceOrForNone() {
        long site = id(administrator.post("/api/sites", site("Many " + own)));
        long board = id(administrator.post("/api/boards", board(site)));
        long one = id(administrator.post("/api/cabinets", cabinet(site, board, "M" + own, "1")));
        long other = id(administrator.post("/api/cabinets", cabinet(site, board, "N" + own, "2")));
        String plan = """
                {"cabinetIds":[%d,%d],"kind":"LAMP","rule":"FREQ=DAILY","first":"2026-11-01","opens":"09:00","closes":"11:00","graceMinutes":30,
                 "whenClosed":"SKIP","asked":{"role":"SITE_DUTY"},"asksCode":true}""";
        String both = plan.formatted(one, other);

        administrator.post("/api/check-plans/for-cabinets", plan.formatted(one, 999_999_999)).statusCode(422).body("errors[0].pointer", equalTo("#/cabinetIds/1"));
        administrator.post("/api/check-plans/for-cabinets", both.replace("09:00", "nine")).statusCode(422).body("errors.pointer", hasItem("#/opens"));
        administrator.post("/api/check-plans/for-cabinets", both.replace("[" + one + "," + other + "]", "[]")).statusCode(422)
                .body("errors[0].pointer", equalTo("#/cabinetIds"));
        administrator.get("/api/check-plans?site=" + site).body("items", hasSize(0));
        String key = "many-" + own;
        administrator.json().header("Idempotency-Key", key).body(both).post("/api/check-plans/for-cabinets").then().statusCode(201).body("items.cabinetId", contains((int) one, (int) other))
                .body("items.asksCode", everyItem(equalTo(true)));
        administrator.json().header("Idempotency-Key", key).body(both).post("/api/check-plans/for-cabinets").then().statusCode(201).header("Idempotency-Replayed", "true");
        administrator.get("/api/check-plans?site=" + site).body("items", hasSize(2));

        long elsewhere = id(administrator.post("/api/sites", site("Not many " + own)));
        Program.as(Role.ADMINISTRATOR, elsewhere).post("/api/check-plans/for-cabinets", both).statusCode(422).body("errors[0].pointer", equalTo("#/cabinetIds/0"));
        Program.as(Role.SITE_STAFF, site).post("/api/check-plans/for-cabinets", both).statusCode(403);
    }

    @Test
    void closedDaysAndPublicHolidaysOfASiteAreReplacedTogether() {
        long site = id(administrator.post("/api/sites", site("Closed " + own)));
        String path = "/api/closed-days/" + site;
        String none = administrator.get(path).statusCode(200).body("days", hasSize(0)).body("calendar", nullValue()).extract().header("ETag");
        String days = "{\"days\":[{\"day\":\"2026-12-24\",\"name\":\"stocktaking\"},{\"day\":\"2026-12-23\",\"name\":\"regatta\"}],\"calendar\":\"gb_sct\"}";

        administrator.put(path, none, days.replace("gb_sct", "atlantis").replace("regatta", "")).statusCode(422).body("errors.pointer", hasItem("#/calendar"))
                .body("errors.pointer", hasItem("#/days/1/name"));
        administrator.put(path, none, days.replace("12-23", "12-24")).statusCode(422).body("errors[0].pointer", equalTo("#/days/1/day"));
        administrator.put(path, none, "{}").statusCode(422).body("errors[0].pointer", equalTo("#/days"));
        String some = administrator.put(path, none, days).statusCode(200).body("days.day", contains("2026-12-23", "2026-12-24")).body("calendar", equalTo("gb_sct"))
                .body("calendarName", containsString("Scotland")).extract().header("ETag");
        administrator.put(path, none, days).statusCode(412);
        administrator.put(path, some, days).statusCode(200).header("ETag", some);
        Program.as(Role.ADMINISTRATOR, site).get("/api/closed-days").statusCode(200).body("items.siteId", contains((int) site));

        administrator.put(path, some, "{\"days\":[{\"day\":\"2026-12-24\",\"name\":\"stocktaking\"}]}").statusCode(200).body("days", hasSize(1))
                .body("calendar", nullValue());
        administrator.get("/api/journal?site=" + site).body("items.kind", hasItems("closed-day-registered", "closed-day-removed", "holidays-changed"));
        Program.as(Role.SITE_STAFF, site).put(path, "*", days).statusCode(403);
        Program.as(Role.ADMINISTRATOR, id(administrator.post("/api/sites", site("Not closed " + own)))).get(path).statusCode(404);
        administrator.get("/api/closed-days/999999999").statusCode(404);
    }

    @Test
    void personIsRegisteredWithARoleChangedAndErased() {
        long site = id(administrator.post("/api/sites", site("People " + own)));
        ValidatableResponse made = administrator.post("/api/people", """
                {"name":"R. Osk","mail":"osk-%1$s@hallow.example","roles":[{"role":"SITE_STAFF","siteId":%2$d}]}""".formatted(own, site)).statusCode(201)
                .body("roles[0].siteId", equalTo((int) site)).body("phone", nullValue());
        String path = made.extract().header("Location");

        administrator.put(path, "\"0\"", "{\"name\":\"R. Osk\",\"phone\":\"07700 900102\"}").statusCode(200).body("mail", nullValue())
                .body("phone", equalTo("07700 900102"));
        Program elsewhere = Program.as(Role.ADMINISTRATOR, id(administrator.post("/api/sites", site("Other " + own))));
        elsewhere.get(path).statusCode(404);
        elsewhere.get("/api/people?limit=200").body("items.id", not(hasItem((int) number(path))));
        elsewhere.post("/api/people", "{\"name\":\"Nobody's\"}").statusCode(422).body("errors[0].pointer", equalTo("#/roles"));
        elsewhere.post("/api/people", "{\"name\":\"X\",\"roles\":[{\"role\":\"SITE_STAFF\",\"siteId\":" + site + "}]}").statusCode(422)
                .body("errors[0].pointer", equalTo("#/roles/0/siteId"));
        elsewhere.post("/api/people", "{\"name\":\"X\",\"roles\":[{\"role\":\"SITE_STAFF\"}]}").statusCode(403);

        administrator.delete(path, "\"1\"").statusCode(204);
        administrator.get(path).body("name", equalTo("erased")).body("phone", nullValue()).body("roles", hasSize(0));
    }

    @Test
    void nothingAnywhereTellsWhoAnErasedPersonWas() throws SQLException {
        String name = "Quenby Tarn-" + own;
        String mail = "tarn-" + own.toLowerCase(Locale.ROOT) + "@hallow.example";
        long site = id(administrator.post("/api/sites", site("Erase " + own)));
        String path = administrator.post("/api/people", """
                {"name":"%s","mail":"%s","phone":"07700 900177","roles":[{"role":"DUTY_MANAGER","siteId":%d}]}""".formatted(name, mail, site))
                .statusCode(201).extract().header("Location");
        long person = number(path);
        long namesake = id(administrator.json().header("Idempotency-Key", "k-" + own).body("{\"name\":\"" + name + "\"}").post("/api/people").then());
        long callOut = ask("SELECT nextval('call_out_seq')");
        run("INSERT INTO call_out (id, site_id, opened_at, told, taken_by, taken_at, version) VALUES (?, ?, ?, 1, ?, ?, 0)", callOut, site,
                NOW.atOffset(ZoneOffset.UTC), person, NOW.atOffset(ZoneOffset.UTC));
        long alarm = alarm(site);
        run("UPDATE alarm SET call_out_id = ? WHERE id = ?", callOut, alarm);
        message(callOut, alarm, person, mail, "Dear " + name, "SENT");
        message(callOut, alarm, person, mail, "Again, " + name, "WAITING");
        message(callOut, alarm, administrator.personId(), "other@hallow.example", name + " has taken it (" + mail + ")", "SENT");
        run("""
                INSERT INTO attendance_entry (id, alarm_id, number, written_at, written_by, complete, done, retested_by, retester_competent, people_told)
                VALUES (nextval('attendance_entry_seq'), ?, 1, ?, ?, FALSE, ?, ?, TRUE, FALSE)""", alarm, NOW.atOffset(ZoneOffset.UTC), person,
                name + " looked", name);

        administrator.delete(path, "*").statusCode(422).body("detail", containsString("has taken an alarm that is not over"));
        run("UPDATE call_out SET ended_at = ? WHERE id = ?", NOW.atOffset(ZoneOffset.UTC), callOut);
        administrator.delete(path, "*").statusCode(204);
        administrator.delete("/api/people/" + namesake, "*").statusCode(204);

        assertThat(everyTextThatHolds(name)).isEmpty();
        assertThat(everyTextThatHolds(mail)).isEmpty();
        assertThat(everyTextThatHolds("7700 900177")).isEmpty();
        // All ten digits: six alone stand in a hash of the journal by chance.
        assertThat(everyTextThatHolds("7700900177")).isEmpty();
        assertThat(ask("SELECT COUNT(*) FROM outgoing_message WHERE person_id = ? AND state = 'WAITING'", person)).isZero();
        assertThat(ask("SELECT COUNT(*) FROM outgoing_message WHERE body LIKE 'a person who was erased has taken it%' AND call_out_id = ?", callOut))
                .isOne();
        administrator.delete(path, "*").statusCode(422).body("detail", containsString("erased already"));
        administrator.put(path + "/roles", "*", "{\"roles\":[{\"role\":\"SITE_STAFF\"}]}").statusCode(403).body("detail", containsString("was erased"));
    }

    @Test
    void lastAdministratorOfEverythingIsNeitherErasedNorTakenTheRole() throws SQLException {
        long last = administrator.personId();
        Map<Long, String> able = passwords();
        run("UPDATE account SET password_hash = CASE WHEN person_id = ? THEN 'any' END WHERE password_hash IS NOT NULL OR person_id = ?", last, last);
        try {
            administrator.delete("/api/people/" + last, "*").statusCode(422).body("detail", containsString("last administrator"));
            administrator.put("/api/people/" + last + "/roles", "*", "{\"roles\":[]}").statusCode(403).body("detail", containsString("last administrator"));
            administrator.get("/api/people/" + last + "/roles").statusCode(200).body("roles", hasSize(1));
        } finally {
            run("UPDATE account SET password_hash = NULL WHERE person_id = ?", last);
            able.forEach((person, hash) -> run("UPDATE account SET password_hash = ? WHERE person_id = ?", hash, person));
        }
    }

    @Test
    void channelsAreReadAddedOrderedAndTakenAwayButNotTheLast() {
        long site = id(administrator.post("/api/sites", site("Channels " + own)));
        String person = administrator.post("/api/people", """
                {"name":"M. Teal","mail":"teal-%1$s@hallow.example","roles":[{"role":"SITE_STAFF","siteId":%2$d}]}""".formatted(own, site)).statusCode(201)
                .extract().header("Location");
        String path = person + "/channels";
        String tag = administrator.get(path).statusCode(200).body("channels", hasSize(1)).body("channels[0].kind", equalTo("MAIL"))
                .body("channels[0].isOfRegister", is(true)).body("channels[0].isProven", is(false)).body("channels[0].provenAt", nullValue())
                .extract().header("ETag");
        int first = administrator.get(path).extract().path("channels[0].id");

        String entry = "{\"kind\":\"MAIL\",\"address\":\"second-%s@hallow.example\"}".formatted(own);
        ValidatableResponse made = administrator.post(path, entry).statusCode(201).body("isSetUp", is(true)).body("isOfRegister", is(false));
        String second = made.extract().header("Location");
        administrator.get(second).statusCode(200).header("ETag", made.extract().header("ETag"));
        administrator.post(path, entry).statusCode(201).header("Location", second);
        administrator.post(path, "{\"kind\":\"MAIL\",\"address\":\"nowhere\"}").statusCode(422).body("errors[0].pointer", equalTo("#/address"));
        administrator.post(path, "{\"kind\":\"PIGEON\",\"address\":\"loft\"}").statusCode(422).body("errors[0].pointer", equalTo("#/kind"));
        administrator.post(path, "{}").statusCode(422).body("errors", hasSize(2));

        administrator.put(path, tag, "{\"channelIds\":[]}").statusCode(412);
        String order = "{\"channelIds\":[%d,%d]}".formatted(number(second), first);
        administrator.put(path, "*", "{\"channelIds\":[%d]}".formatted(first)).statusCode(422).body("errors[0].pointer", equalTo("#/channelIds"));
        administrator.put(path, administrator.get(path).extract().header("ETag"), order).statusCode(200)
                .body("channels[0].id", equalTo((int) number(second)));

        Program.as(Role.SITE_STAFF, site).get(path).statusCode(403);
        Program.as(Role.ADMINISTRATOR, id(administrator.post("/api/sites", site("Elsewhere " + own)))).get(path).statusCode(404);
        administrator.delete(path + "/" + first, "*").statusCode(422).body("detail", containsString("of the register"));
        administrator.delete(second, "\"other\"").statusCode(412);
        administrator.delete(second, administrator.get(second).extract().header("ETag")).statusCode(204);
        administrator.get(second).statusCode(404);
    }

    @Test
    void proofIsAskedForNowOrAtNightAndNotWithoutEnd() {
        long site = id(administrator.post("/api/sites", site("Proofs " + own)));
        String person = administrator.post("/api/people", """
                {"name":"M. Teal","mail":"proof-%1$s@hallow.example","roles":[{"role":"SITE_STAFF","siteId":%2$d}]}""".formatted(own, site)).statusCode(201)
                .extract().header("Location");
        String proofs = person + "/channels/" + administrator.get(person + "/channels").extract().path("channels[0].id") + "/proofs";

        administrator.post(proofs, "{\"at\":\"03:30\"}").statusCode(200).body("sentAt", equalTo("2026-11-25T03:30:00Z"));
        administrator.post(proofs, "{\"at\":\"02:00\"}").statusCode(200).body("sentAt", equalTo("2026-11-26T02:00:00Z"));
        administrator.post(proofs, "{\"at\":\"at night\"}").statusCode(422).body("errors[0].pointer", equalTo("#/at"));
        for (int i = 0; i < 5; i++) {
            administrator.post(proofs, "{}").statusCode(200).body("sentAt", equalTo("2026-11-25T02:45:00Z"));
        }
        administrator.post(proofs, "{}").statusCode(429).header("Retry-After", "3600").body("type", equalTo("urn:lampkeeper:problem:too-many"));
        administrator.post(person + "/channels/987654321/proofs", "{}").statusCode(404);
    }

    @Test
    void rolesAreReadGivenAndTakenWithinTheReachOfWhoAsks() {
        long here = id(administrator.post("/api/sites", site("Roles " + own)));
        long there = id(administrator.post("/api/sites", site("Elsewhere " + own)));
        String path = administrator.post("/api/people", """
                {"name":"R. Osk","roles":[{"role":"SITE_STAFF","siteId":%d},{"role":"INSTALLER","siteId":%d}]}""".formatted(here, there))
                .statusCode(201).extract().header("Location") + "/roles";
        Program ofHere = Program.as(Role.ADMINISTRATOR, here);

        String tag = ofHere.get(path).statusCode(200).body("roles", hasSize(1)).body("roles[0].role", equalTo("SITE_STAFF")).extract().header("ETag");
        ofHere.put(path, "\"other\"", "{\"roles\":[]}").statusCode(412);
        ofHere.put(path, tag, "{\"roles\":[{\"role\":\"DUTY_MANAGER\",\"siteId\":%d}]}".formatted(here)).statusCode(200)
                .body("roles", hasSize(1)).body("roles[0].role", equalTo("DUTY_MANAGER"));
        administrator.get(path).body("roles", hasSize(2)).body("roles.role", hasItem("INSTALLER"));

        ofHere.put(path, "*", "{\"roles\":[{\"role\":\"SITE_STAFF\",\"siteId\":%d}]}".formatted(there)).statusCode(422)
                .body("errors[0].pointer", equalTo("#/roles/0/siteId"));
        ofHere.put(path, "*", "{\"roles\":[{\"role\":\"SITE_STAFF\"}]}").statusCode(403);
        ofHere.put(path, "*", "{}").statusCode(422).body("errors[0].pointer", equalTo("#/roles"));
        Program.as(Role.SITE_STAFF, here).put(path, "*", "{\"roles\":[]}").statusCode(403);
        Program.as(Role.ADMINISTRATOR, id(administrator.post("/api/sites", site("Third " + own)))).get(path).statusCode(404);
        administrator.get(path).body("roles", hasSize(2));
    }

    @Test
    void keyOfOneTokenIsNotThatOfAnotherOfTheSamePerson() {
        String key = UUID.randomUUID().toString();
        String body = site("Token " + own);
        administrator.json().header("Idempotency-Key", key).body(body).post("/api/sites").then().statusCode(201);

        administrator.withAnotherToken().json().header("Idempotency-Key", key).body(body).post("/api/sites").then().statusCode(422)
                .header("Idempotency-Replayed", nullValue()).body("type", equalTo("urn:lampkeeper:problem:invalid"));
    }

    @Test
    void callOutListIsMadeReplacedAndBelongsToItsSite() {
        long site = id(administrator.post("/api/sites", site("List " + own)));
        long person = id(administrator.post("/api/people", "{\"name\":\"M. Teal\"}"));
        String path = "/api/call-out-lists/" + site;
        String none = administrator.get(path).statusCode(200).body("isStored", equalTo(false)).body("turns", hasSize(0))
                .body("repeatAfterSeconds", nullValue()).extract().header("ETag");

        administrator.put(path, none, "{\"turns\":[{\"personId\":%d,\"afterSeconds\":0}],\"repeatAfterSeconds\":900}".formatted(person))
                .statusCode(200)
                .body("isStored", equalTo(true)).body("turns[0].personId", equalTo((int) person));
        administrator.put(path, none, "{\"turns\":[],\"repeatAfterSeconds\":900}").statusCode(412);
        administrator.put(path, "*", "{\"turns\":[{\"personId\":987654321,\"afterSeconds\":-1}]}").statusCode(422)
                .body("errors.pointer", hasItem("#/turns/0/afterSeconds")).body("errors.pointer", hasItem("#/repeatAfterSeconds"));
        administrator.put(path, "*", "{\"turns\":[{\"personId\":987654321,\"afterSeconds\":0}],\"repeatAfterSeconds\":900}").statusCode(422)
                .body("errors[0].pointer", startsWith("#/turns/0"));
        Program.as(Role.ADMINISTRATOR, site).get("/api/call-out-lists").body("items", hasSize(1)).body("items[0].siteId",
                equalTo((int) site));
        Program.as(Role.ADMINISTRATOR, site).get("/api/call-out-lists/0").statusCode(404);
    }

    @Test
    void turnNamesAPersonOrARole() {
        long site = id(administrator.post("/api/sites", site("Duty " + own)));
        String path = "/api/call-out-lists/" + site;
        String none = administrator.get(path).extract().header("ETag");

        administrator.put(path, none, "{\"turns\":[{\"role\":\"DUTY_MANAGER\",\"personId\":1,\"afterSeconds\":0}],\"repeatAfterSeconds\":900}")
                .statusCode(422).body("errors[0].pointer", equalTo("#/turns/0/role"));
        administrator.put(path, none, "{\"turns\":[{\"role\":\"DUTY_MANAGER\",\"afterSeconds\":0}],\"repeatAfterSeconds\":900,\"rounds\":101}")
                .statusCode(422).body("errors[0].pointer", equalTo("#/rounds"));
        administrator.put(path, none, "{\"turns\":[{\"role\":\"DUTY_MANAGER\",\"afterSeconds\":0}],\"repeatAfterSeconds\":900,\"rounds\":1,"
                + "\"lastResort\":false}").statusCode(200).body("turns[0].role", equalTo("DUTY_MANAGER"))
                .body("turns[0].personId", nullValue()).body("rounds", equalTo(1)).body("lastResort", equalTo(false));
    }

    @Test
    void alarmIsHandedOnOnlyByWhoHasItAndArrivedAt() {
        long site = id(administrator.post("/api/sites", site("Hand " + own)));
        long alarm = alarm(site);
        String path = "/api/alarms/" + alarm;
        Program staff = Program.as(Role.SITE_STAFF, site);

        staff.post(path + "/take", "{\"arrivalAt\":\"2020-01-01T00:00:00Z\"}").statusCode(422).body("errors[0].pointer", equalTo("#/arrivalAt"));
        staff.post(path + "/hand-on", "{}").statusCode(422).body("errors[0].pointer", equalTo("#/personId"));
        staff.post(path + "/hand-on", "{\"personId\":" + administrator.personId() + "}").statusCode(409)
                .body("type", equalTo("urn:lampkeeper:problem:not-needed"));
        staff.post(path + "/arrive", "").statusCode(200).body("arrivedAt", org.hamcrest.Matchers.notNullValue());
        staff.post("/api/alarms/999999999/arrive", "").statusCode(404);
    }

    @Test
    void alarmIsTakenPassedOnShelvedAndAttended() {
        long site = id(administrator.post("/api/sites", site("Alarm " + own)));
        long alarm = alarm(site);
        String path = "/api/alarms/" + alarm;
        administrator.get(path).body("kind", equalTo("PROBABLE_SITE_LOSS")).body("priority", equalTo("HIGH")).body("takenBy", nullValue())
                .body("since", equalTo("2026-11-25T02:41:00Z"));
        administrator.get("/api/alarms?open=true&site=" + site).body("items.id", hasItem((int) alarm));
        administrator.post(path + "/pass-on", "").statusCode(409).body("type", equalTo("urn:lampkeeper:problem:not-needed"));

        Program staff = Program.as(Role.SITE_STAFF, site);
        staff.post(path + "/shelve", "{\"until\":\"2026-11-25T12:00:00Z\",\"reason\":\"x\"}").statusCode(403);
        staff.post(path + "/take", "{\"now\":true}").statusCode(422);
        staff.post(path + "/take", "").statusCode(200).body("takenBy.personId", equalTo((int) staff.personId())).body("state",
                equalTo("ACKNOWLEDGED"));

        String attendance = path + "/attendance";
        staff.get(attendance).header("ETag", "\"0\"").body("isComplete", equalTo(false)).body("missing.field", hasItem("cause"));
        staff.put(attendance, "\"0\"", "{\"cause\":\"magic\"}").statusCode(422).body("errors[0].pointer", equalTo("#/cause"));
        staff.put(attendance, "\"0\"", "{\"arrivedAt\":\"2026-11-25T02:44:00Z\",\"cause\":\"switched-off\"}").statusCode(200)
                .header("ETag", "\"1\"")
                .body("writtenBy", equalTo((int) staff.personId())).body("done", nullValue());
        staff.put(attendance, "\"0\"", "{\"done\":\"switched on\"}").statusCode(412);
        staff.put(attendance, "\"1\"", "{\"arrivedAt\":\"2026-11-26T02:44:00Z\"}").statusCode(422).body("errors[0].pointer",
                equalTo("#/arrivedAt"));

        staff.post(path + "/visits", "{\"done\":\"again\"}").statusCode(422).body("errors[0].pointer", equalTo("#/arrivedAt"));
        staff.post(path + "/visits", "{\"arrivedAt\":\"2026-11-25T02:44:30Z\",\"done\":\"tripped again\"}").statusCode(200)
                .body("visit", equalTo(2)).body("number", equalTo(2));
        staff.get(path + "/visits").statusCode(200).body("items.visit", equalTo(List.of(1, 2))).body("items[1].done", equalTo("tripped again"));
        staff.get(attendance).header("ETag", "\"2\"").body("visit", equalTo(2));
        staff.put(attendance + "?visit=1", "\"1\"", "{\"arrivedAt\":\"2026-11-25T02:44:00Z\",\"done\":\"the first\"}").statusCode(200)
                .header("ETag", "\"3\"");
        staff.get(attendance + "?visit=3").statusCode(404);
        staff.get(attendance + "?visit=one").statusCode(400);

        long there = id(administrator.post("/api/sites", site("Alarm 2 " + own)));
        long another = alarm(there);
        administrator.post("/api/alarms/" + another + "/shelve", "{\"until\":\"2020-01-01T00:00:00Z\",\"reason\":\"x\"}").statusCode(422);
        administrator.post("/api/alarms/" + another + "/shelve", "{\"until\":\"2026-11-25T12:00:00Z\",\"reason\":\" \"}").statusCode(422)
                .body("errors[0].pointer", equalTo("#/reason"));
        administrator.post("/api/alarms/" + another + "/shelve", "{\"reason\":\"electrician at nine\"}").statusCode(422)
                .body("errors[0].pointer", equalTo("#/until"));
        administrator.post("/api/alarms/" + another + "/shelve",
                "{\"until\":\"2026-11-25T12:00:00Z\",\"reason\":\"electrician at nine\"}").statusCode(200)
                .body("state", equalTo("SHELVED")).body("heldUntil", equalTo("2026-11-25T12:00:00Z"));
        Program.as(Role.RESPONSIBLE_PERSON, there).get("/api/journal").body("items.find { it.kind == 'alarm-shelved' }.facts.reason",
                equalTo("electrician at nine")).body("items.find { it.kind == 'alarm-shelved' }.facts.person", notNullValue());
    }

    @Test
    void workIsAnnouncedAndEndedEarly() {
        long site = id(administrator.post("/api/sites", site("Work " + own)));
        ValidatableResponse made = administrator.post("/api/announced-work",
                "{\"siteId\":%d,\"endsAt\":\"2026-11-25T06:00:00Z\",\"reason\":\"new intake\"}".formatted(site)).statusCode(201)
                .body("startsAt", equalTo(NOW.toString())).body("endedAt", nullValue());
        String path = made.extract().header("Location");

        administrator.get(path).statusCode(200).header("ETag", made.extract().header("ETag"));
        administrator.get("/api/announced-work?site=" + site).body("items", hasSize(1));
        administrator.post("/api/announced-work",
                "{\"siteId\":%d,\"boardId\":1,\"endsAt\":\"2020-01-01T00:00:00Z\",\"reason\":\"\"}".formatted(site))
                .statusCode(422).body("errors.pointer", hasItem("#/reason"));
        administrator.post("/api/announced-work",
                "{\"siteId\":%d,\"boardId\":1,\"endsAt\":\"2020-01-01T00:00:00Z\",\"reason\":\"x\"}".formatted(site))
                .statusCode(422).body("errors.pointer", hasItem("#/endsAt")).body("errors.pointer", hasItem("#/boardId"));
        administrator.delete(path, "\"old\"").statusCode(412);
        administrator.delete(path, "*").statusCode(204);
        administrator.get(path).body("endedAt", equalTo(NOW.toString()));
        administrator.delete(path, "*").statusCode(409).body("type", equalTo("urn:lampkeeper:problem:not-needed"));
    }

    @Test
    void messagesAndJournalAreReadButOnlyOfOnesOwnSites() {
        long site = id(administrator.post("/api/sites", site("Read " + own)));
        long alarm = alarm(site);
        long message = ask("SELECT nextval('outgoing_message_seq')");
        run("""
                INSERT INTO outgoing_message (id, message_key, purpose, alarm_id, person_id, channel, address, subject, body, created_at, state, attempts)
                VALUES (?, ?, 'ALARM', ?, ?, 'MAIL', 'a@hallow.example', 'lost', 'http://localhost/a/secret', ?, 'SENT', 0)
                """, message, "api-" + message, alarm, administrator.personId(), NOW);
        Program there = Program.as(Role.RESPONSIBLE_PERSON, site);

        String read = there.get("/api/messages/" + message).statusCode(200).body("state", equalTo("SENT")).body("siteId",
                equalTo((int) site))
                .extract().asString();
        assertThat(read).doesNotContain("secret", "hallow.example");
        there.get("/api/messages?alarm=" + alarm).body("items", hasSize(1));
        there.get("/api/journal").statusCode(200).body("items", hasSize(1)).body("items[0].kind", equalTo("site-registered"))
                .body("items[0].facts", notNullValue()).body("items.siteId", everyItem(equalTo((int) site)));
        Program.as(Role.DUTY_MANAGER, site).get("/api/journal").statusCode(403);
        Program elsewhere = Program.as(Role.RESPONSIBLE_PERSON, id(administrator.post("/api/sites", site("Elsewhere " + own))));
        elsewhere.get("/api/messages/" + message).statusCode(404);
        elsewhere.get("/api/messages").body("items", hasSize(0));
        elsewhere.get("/api/alarms").body("items", hasSize(0));
    }

    @Test
    void listGoesOnWhereItEndedWhileMoreIsAdded() {
        List<Integer> there = new ArrayList<>();
        long site = id(administrator.post("/api/sites", site("Pages " + own)));
        for (int i = 0; i < 5; i++) {
            there.add((int) id(administrator.post("/api/boards", board(site).replace("Board A", "Board " + i))));
        }
        List<Integer> seen = new ArrayList<>();
        String next = "/api/boards?limit=2&site=" + site;
        int pages = 0;
        while (next != null) {
            ValidatableResponse page = administrator.get(next).statusCode(200);
            JsonPath body = page.extract().jsonPath();
            seen.addAll(body.getList("items.id", Integer.class));
            next = body.getString("next");
            if (next != null) {
                page.header("Link", equalTo("<" + next + ">; rel=\"next\""));
            }
            if (pages++ == 0) {
                administrator.post("/api/boards", board(site).replace("Board A", "Board added meanwhile")).statusCode(201);
            }
        }

        assertThat(seen).startsWith(there.toArray(Integer[]::new)).doesNotHaveDuplicates().hasSize(6);
    }

    @Test
    void repeatWithTheSameKeyIsAnsweredAlikeAndDoneOnce() {
        String key = UUID.randomUUID().toString();
        String body = site("Once " + own);

        Response first = administrator.json().header("Idempotency-Key", key).body(body).post("/api/sites");
        // Nothing is kept in memory: what a repeat is answered stands in the database, also for another instance or after a restart.
        assertThat(ask("SELECT COUNT(*) FROM api_answer WHERE person_id = ? AND status = 201", administrator.personId())).isOne();
        Response repeat = administrator.json().header("Idempotency-Key", "\"" + key + "\"").body(body).post("/api/sites");

        assertThat(first.statusCode()).isEqualTo(201);
        assertThat(repeat.statusCode()).isEqualTo(201);
        assertThat(repeat.asString()).isEqualTo(first.asString());
        assertThat(repeat.header("Location")).isEqualTo(first.header("Location"));
        assertThat(repeat.header("ETag")).isEqualTo(first.header("ETag"));
        assertThat(repeat.header("Idempotency-Replayed")).isEqualTo("true");
        administrator.json().header("Idempotency-Key", key).body(site("Twice " + own)).post("/api/sites").then().statusCode(422)
                .body("type", equalTo("urn:lampkeeper:problem:key-reused"));
        // The key is the caller's own.
        Program.as(Role.ADMINISTRATOR).json().header("Idempotency-Key", key).body(body).post("/api/sites").then().statusCode(422)
                .body("type", equalTo("urn:lampkeeper:problem:invalid"));

        clock.advance(Duration.ofHours(24).plusSeconds(1));
        administrator.json().header("Idempotency-Key", key).body(site("Next day " + own)).post("/api/sites").then().statusCode(201);
    }

    @Test
    void refusedRequestMayComeAgainWithItsKeyPutRight() {
        String key = UUID.randomUUID().toString();

        administrator.json().header("Idempotency-Key", key).body(site("").replace("Europe/London", "London")).post("/api/sites").then()
                .statusCode(422);
        administrator.json().header("Idempotency-Key", key).body(site("Right " + own)).post("/api/sites").then().statusCode(201);
    }

    @Test
    void keyUnderWayIsNotDoneTwiceAndGivenUpWhenItsProcessIsGone() {
        String key = UUID.randomUUID().toString();
        String body = site("Way " + own);
        administrator.json().header("Idempotency-Key", key).body(body).post("/api/sites").then().statusCode(201);
        // As a process that died after it had begun leaves it: nothing was done.
        run("UPDATE api_answer SET status = NULL, body = NULL WHERE person_id = ?", administrator.personId());
        run("UPDATE site SET name = ? WHERE name = ?", "Gone " + own, "Way " + own);

        administrator.json().header("Idempotency-Key", key).body(body).post("/api/sites").then().statusCode(409).header("Retry-After", "1")
                .body("type", equalTo("urn:lampkeeper:problem:under-way"));
        administrator.json().header("Idempotency-Key", key).body(site("Other " + own)).post("/api/sites").then().statusCode(422);
        clock.advance(Once.GIVEN_UP_AFTER.plusSeconds(1));
        administrator.json().header("Idempotency-Key", key).body(body).post("/api/sites").then().statusCode(201);
    }

    @Test
    void twoAtOnceWithTheSameKeyAreOne() throws Exception {
        ExecutorService both = Executors.newFixedThreadPool(4);
        try {
            for (int round = 0; round < 5; round++) {
                String key = UUID.randomUUID().toString();
                String name = "Both " + round + " " + own;
                Callable<Integer> send = () -> administrator.json().header("Idempotency-Key", key).body(site(name)).post("/api/sites")
                        .statusCode();
                List<Future<Integer>> answers = both.invokeAll(List.of(send, send, send, send));
                for (Future<Integer> answer : answers) {
                    assertThat(answer.get()).isIn(201, 409);
                }
                assertThat(answers).anySatisfy(answer -> assertThat(answer.get()).isEqualTo(201));
                assertThat(ask("SELECT COUNT(*) FROM site WHERE name = ?", name)).isOne();
            }
        } finally {
            both.shutdownNow();
        }
    }

    @Test
    void repeatTellsNoSecretAndTheTableKeepsNone() {
        long site = id(administrator.post("/api/sites", site("Secret " + own)));
        long board = id(administrator.post("/api/boards", board(site)));
        long cabinet = id(administrator.post("/api/cabinets", cabinet(site, board, "S" + own, "1")));
        String body = sensor(cabinet, "s-" + own);

        String secret = administrator.json().header("Idempotency-Key", "k-" + own).body(body).post("/api/sensors").then().statusCode(201)
                .extract().path("secret");

        administrator.json().header("Idempotency-Key", "k-" + own).body(body).post("/api/sensors").then().statusCode(201).body("secret",
                nullValue())
                .body("deviceId", equalTo("s-" + own)).header("Location", endsWith("s-" + own));
        assertThat(ask("SELECT COUNT(*) FROM api_answer WHERE person_id = ? AND body LIKE ?", administrator.personId(), "%" + secret
                + "%")).isZero();
        assertThat(ask("SELECT COUNT(*) FROM api_answer WHERE key_hash LIKE ?", "%k-" + own + "%")).isZero();
    }

    @Test
    void bodyNamesASiteOnlyWhereTheCallerReaches() {
        long here = id(administrator.post("/api/sites", site("Here " + own)));
        long there = id(administrator.post("/api/sites", site("There " + own)));
        long board = id(administrator.post("/api/boards", board(there)));
        Program installer = Program.as(Role.INSTALLER, here);

        installer.post("/api/boards", board(there)).statusCode(422).body("errors[0].pointer", equalTo("#/siteId"))
                .body("errors[0].detail", equalTo("site " + there + " is not registered"));
        installer.post("/api/cabinets", cabinet(here, board, "H" + own, "1")).statusCode(422).body("errors[0].pointer",
                equalTo("#/circuit/boardId"));
        installer.post("/api/sensors", sensor(987654321, "x-" + own)).statusCode(422).body("errors[0].pointer", equalTo("#/cabinetId"));
        Program.as(Role.DUTY_MANAGER, here).post("/api/boards", board(here)).statusCode(403);
        installer.get("/api/sites").body("items", hasSize(1));
        installer.get("/api/boards").body("items", hasSize(0));
        installer.post("/api/sites", site("Mine " + own)).statusCode(403).body("type",
                equalTo("urn:lampkeeper:problem:not-allowed-to-you"));
    }

    static String site(String name) {
        return """
                {"name":"%s","address":"a","zone":"Europe/London","access":"gate code","intake":"cupboard","electrician":{"name":"B. Quill"}}"""
                .formatted(name);
    }

    static String board(long site) {
        return "{\"siteId\":%d,\"name\":\"Board A\",\"place\":\"kiosk\",\"access\":\"key 7\"}".formatted(site);
    }

    static String circuit(long board, String way) {
        return """
                {"boardId":%d,"way":"%s","device":"RCBO","curve":"C","ratingAmpere":16,"residualMilliampere":30,"cable":"2.5 mm²","fuseAmpere":3,\
                "fusedUnitPlace":"below"}""".formatted(board, way);
    }

    static String cabinet(long site, long board, String code, String way) {
        return """
                {"siteId":%d,"code":"%2$s","name":"Cabinet %2$s","place":"p","lampPlace":"l","content":{"kind":"defibrillator","limitsAsked":true,\
                "lowestCelsius":0,"highestCelsius":50,"parts":[{"name":"pads","goodUntil":"2028-03-31"}]},"circuit":%3$s}"""
                .formatted(site, code, circuit(board, way));
    }

    static String sensor(long cabinet, String device) {
        return "{\"cabinetId\":%d,\"deviceId\":\"%s\",\"baseName\":\"urn:dev:ow:%2$s:\"}".formatted(cabinet, device);
    }

    @Test
    void webhookIsRegisteredChangedTestedRenewedAndRemoved() {
        long site = id(administrator.post("/api/sites", site("Hook " + own)));
        // Nobody listens there, so what it is told stays to be looked at.
        String entry = "{\"siteId\":" + site + ",\"name\":\"harbour office\",\"url\":\"https://127.0.0.1:9/hook\"}";

        ValidatableResponse made = administrator.json().header("Idempotency-Key", "hook-" + own).body(entry).post("/api/webhooks").then()
                .statusCode(201).header("ETag", "\"0\"").body("secret", startsWith("whsec_")).body("on", is(true)).body("siteId", equalTo((int) site));
        String path = made.extract().header("Location");
        administrator.json().header("Idempotency-Key", "hook-" + own).body(entry).post("/api/webhooks").then().statusCode(201)
                .header("Idempotency-Replayed", "true").header("Location", path).body("secret", nullValue());
        administrator.get("/api/webhooks?site=" + site).body("items", hasSize(1)).body("items[0].secret", nullValue());
        String stored = administrator.get(path).statusCode(200).body("secret", nullValue()).extract().asString();

        administrator.put(path, "\"0\"", stored.replace("/hook", "/hooks")).statusCode(200).header("ETag", "\"1\"").body("url", endsWith("/hooks"));
        administrator.put(path, "\"0\"", stored).statusCode(412).header("ETag", "\"1\"");
        administrator.put(path, "*", entry.replace("\"siteId\":" + site + ",", "")).statusCode(422).body("errors[0].pointer", equalTo("#/siteId"));
        administrator.put(path, "*", entry.replace("https:", "ftp:")).statusCode(422).body("errors[0].pointer", equalTo("#/url"));
        administrator.post("/api/webhooks", entry.replace("" + site, "999999999")).statusCode(422).body("errors[0].pointer", equalTo("#/siteId"));

        String delivery = administrator.post(path + "/test", "").statusCode(201).body("event", equalTo("webhook.test")).body("state", equalTo("WAITING"))
                .body("messageId", startsWith("msg_")).extract().header("Location");
        administrator.get(delivery).statusCode(200).body("webhookId", equalTo((int) number(path)));
        administrator.get("/api/webhook-deliveries?webhook=" + number(path)).body("items", hasSize(1));
        administrator.post(delivery + "/again", "").statusCode(409).body("type", equalTo("urn:lampkeeper:problem:not-needed"));
        administrator.post(path + "/secret", "").statusCode(200).body("secret", startsWith("whsec_")).body("version", equalTo(2));

        Program ofTheSite = Program.as(Role.ADMINISTRATOR, site);
        ofTheSite.get(path).statusCode(200);
        ofTheSite.post("/api/webhooks", entry.replace("\"siteId\":" + site + ",", "")).statusCode(403);
        Program elsewhere = Program.as(Role.ADMINISTRATOR, id(administrator.post("/api/sites", site("Elsewhere " + own))));
        elsewhere.get(path).statusCode(404);
        elsewhere.get(delivery).statusCode(404);
        elsewhere.get("/api/webhooks").statusCode(200).body("items", hasSize(0));
        elsewhere.post("/api/webhooks", entry).statusCode(422).body("errors[0].pointer", equalTo("#/siteId"));
        Program.as(Role.RESPONSIBLE_PERSON).get("/api/webhooks").statusCode(403);

        administrator.put(path, "*", entry.replace("}", ",\"on\":false}")).statusCode(200).body("on", is(false));
        administrator.post(path + "/test", "").statusCode(409);
        administrator.get(delivery).body("state", equalTo("UNDELIVERED")).body("lastError", containsString("switched off"));
        administrator.delete(path, "\"0\"").statusCode(412);
        administrator.delete(path, "*").statusCode(204);
        administrator.get(path).statusCode(404);
    }

    /** Every text column of every table, so that one that is added later is looked at too. */
    private List<String> everyTextThatHolds(String text) throws SQLException {
        List<String> found = new ArrayList<>();
        try (Connection connection = database.getConnection();
                ResultSet columns = connection.getMetaData().getColumns(null, "public", "%", "%")) {
            while (columns.next()) {
                int type = columns.getInt("DATA_TYPE");
                if (type != Types.VARCHAR && type != Types.CLOB && type != Types.LONGVARCHAR) {
                    continue;
                }
                String table = columns.getString("TABLE_NAME");
                String column = columns.getString("COLUMN_NAME");
                try (PreparedStatement look = connection.prepareStatement(
                        "SELECT COUNT(*) FROM \"" + table + "\" WHERE POSITION(? IN \"" + column + "\") > 0")) {
                    look.setString(1, text);
                    try (ResultSet counted = look.executeQuery()) {
                        counted.next();
                        if (counted.getLong(1) > 0) {
                            found.add(table + "." + column);
                        }
                    }
                }
            }
        }
        return found;
    }

    private Map<Long, String> passwords() throws SQLException {
        Map<Long, String> hashes = new HashMap<>();
        try (Connection connection = database.getConnection();
                PreparedStatement select = connection.prepareStatement("SELECT person_id, password_hash FROM account WHERE password_hash IS NOT NULL");
                ResultSet row = select.executeQuery()) {
            while (row.next()) {
                hashes.put(row.getLong(1), row.getString(2));
            }
        }
        return hashes;
    }

    private void message(long callOut, long alarm, long person, String address, String body, String state) {
        run("""
                INSERT INTO outgoing_message (id, message_key, purpose, call_out_id, alarm_id, person_id, channel, address, subject, body, created_at,
                    state, attempts) VALUES (nextval('outgoing_message_seq'), ?, 'ALARM', ?, ?, ?, 'MAIL', ?, 'no supply', ?, ?, ?, 0)""",
                UUID.randomUUID().toString(), callOut, alarm, person, address, body, NOW.atOffset(ZoneOffset.UTC), state);
    }

    private long alarm(long site) {
        long id = ask("SELECT nextval('alarm_seq')");
        run("""
                INSERT INTO alarm (id, kind, site_id, state, live, since, raised_at, version)
                VALUES (?, 'PROBABLE_SITE_LOSS', ?, 'UNACKNOWLEDGED', TRUE, ?, ?, 1)
                """, id, site, Instant.parse("2026-11-25T02:41:00Z"), NOW.minusSeconds(60));
        return id;
    }

    static long id(ValidatableResponse made) {
        return made.statusCode(201).extract().jsonPath().getLong("id");
    }

    private static long number(String location) {
        return Long.parseLong(location.substring(location.lastIndexOf("/") + 1));
    }

    private long ask(String sql, Object... values) {
        try (var connection = database.getConnection(); var statement = connection.prepareStatement(sql)) {
            bind(statement, values);
            try (var row = statement.executeQuery()) {
                row.next();
                return row.getLong(1);
            }
        } catch (java.sql.SQLException e) {
            throw new IllegalStateException(sql, e);
        }
    }

    private void run(String sql, Object... values) {
        try (var connection = database.getConnection(); var statement = connection.prepareStatement(sql)) {
            bind(statement, values);
            statement.executeUpdate();
        } catch (java.sql.SQLException e) {
            throw new IllegalStateException(sql, e);
        }
    }

    private static void bind(java.sql.PreparedStatement statement, Object... values) throws java.sql.SQLException {
        for (int i = 0; i < values.length; i++) {
            statement.setObject(i + 1, values[i] instanceof Instant at ? at.atOffset(ZoneOffset.UTC) : values[i]);
        }
    }
}
