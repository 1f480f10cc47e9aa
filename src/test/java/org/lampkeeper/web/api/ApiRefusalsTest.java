package org.lampkeeper.web.api;

import java.time.Instant;
import java.util.UUID;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.restassured.RestAssured;
import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;

import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.hasItem;
import static org.hamcrest.Matchers.hasItems;
import static org.hamcrest.Matchers.matchesPattern;
import static org.hamcrest.Matchers.not;
import static org.hamcrest.Matchers.notNullValue;

/** What is refused, and how a program is told. */
@QuarkusTest
class ApiRefusalsTest {

    @Inject
    MovedClock clock;

    private final String own = UUID.randomUUID().toString().substring(0, 8);
    private Program administrator;

    @BeforeEach
    void situation() {
        clock.stopAt(Instant.parse("2026-11-25T02:45:00Z"));
        administrator = Program.as(Role.ADMINISTRATOR);
    }

    @ParameterizedTest
    @ValueSource(strings = {"/api/sites", "/api/boards", "/api/cabinets", "/api/circuits", "/api/sensors", "/api/people",
            "/api/call-out-lists",
            "/api/alarms", "/api/messages", "/api/announced-work", "/api/journal"})
    void everyListSaysWhatItCannotAnswer(String path) {
        problem(RestAssured.given().get(path).then(), 401, "not-signed-in").header("WWW-Authenticate", containsString("Bearer"));
        problem(RestAssured.given().header("Authorization", "Bearer lamp_guess").get(path).then(), 401, "not-signed-in");
        problem(administrator.request().accept("text/csv").get(path).then(), 406, "not-acceptable");
        problem(administrator.request().patch(path).then(), 405, "not-allowed");
        problem(administrator.get(path + "?limit=0"), 400, "wrong-parameter").body("detail", containsString("1 to 200"));
        problem(administrator.get(path + "?limit=201"), 400, "wrong-parameter");
        problem(administrator.get(path + "?limit=many"), 400, "wrong-parameter");
        problem(administrator.get(path + "?after=made-up"), 400, "wrong-parameter");
        administrator.get(path + "?limit=200").statusCode(200).body("items", notNullValue());
    }

    @Test
    void cursorOfAnotherListIsRefused() {
        administrator.post("/api/people", "{\"name\":\"One\"}").statusCode(201);
        String next = administrator.get("/api/people?limit=1").extract().path("next");

        problem(administrator.get(next.replace("people", "sites")), 400, "wrong-parameter");
    }

    @ParameterizedTest
    @ValueSource(strings = {"/api/sites/987654321", "/api/sites/north", "/api/boards/987654321", "/api/cabinets/987654321",
            "/api/cabinets/987654321/content",
            "/api/circuits/987654321", "/api/sensors/nobody", "/api/people/987654321", "/api/call-out-lists/987654321",
                    "/api/alarms/987654321",
            "/api/alarms/987654321/attendance", "/api/messages/987654321", "/api/announced-work/987654321", "/api/journal/987654321",
                    "/api/nothing", "/api/"})
    void nothingIsThere(String path) {
        problem(administrator.get(path), 404, "not-found");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '\u00a7', value = {
            "{\"name\":                  | unreadable | line 1, column",
            "{\"name\":\"a\",\"name\":\"b\"} | unreadable | Duplicate",
            "{} {}                       | unreadable | line 1",
            "not json                    | unreadable | line 1",
            "[]                          | invalid    | must be an object",
            "null                        | invalid    | must be an object"})
    void bodyThatIsNoObject(String body, String type, String detail) {
        problem(administrator.post("/api/sites", body), type.equals("unreadable") ? 400 : 422, type).body("detail", containsString(detail));
    }

    @Test
    void emptyBodyIsUnreadable() {
        problem(administrator.post("/api/sites", ""), 400, "unreadable");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '\u00a7', value = {
            "\"zone\":\"Europe/London\"  | \"zone\":\"London\"              | #/zone              | IANA",
            "\"zone\":\"Europe/London\"  | \"zone\":7                       | #/zone              | text",
            "\"address\"                 | \"adress\"                       | #/adress            | known are",
            "\"access\":\"gate code\"    | \"access\":\"\"                  | #/access            | 1 to 400",
            "\"access\":\"gate code\"    | \"access\":\"two\\nlines\"       | #/access            | one line",
            "\"access\":\"gate code\",   |                                  | #/access            | 1 to 400",
            "\"name\":\"B. Quill\"       | \"name\":\"B\",\"fax\":\"1\"     | #/electrician/fax   | not known here",
            "\"name\":\"B. Quill\"       | \"name\":\"\"                    | #/electrician/name  | 1 to 120"})
    void siteThatCannotBeTakenSaysWhichFieldIsWrong(String right, String wrong, String pointer, String detail) {
        String body = ApiContract.site("Wrong " + own).replace(right, wrong == null ? "" : wrong);

        problem(administrator.post("/api/sites", body), 422, "invalid").body("errors.pointer", hasItem(pointer))
                .body("errors.find { it.pointer == '%s' }.detail".formatted(pointer), containsString(detail));
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '\u00a7', value = {
            "\"ratingAmpere\":16         | \"ratingAmpere\":\"16\"          | #/circuit/ratingAmpere        | whole number",
            "\"ratingAmpere\":16         | \"ratingAmpere\":16.5            | #/circuit/ratingAmpere        | whole number",
            "\"ratingAmpere\":16         | \"ratingAmpere\":126             | #/circuit/ratingAmpere        | 1 to 125",
            "\"ratingAmpere\":16,        |                                  | #/circuit/ratingAmpere        | missing",
            "\"fuseAmpere\":3            | \"fuseAmpere\":15                | #/circuit/fuseAmpere          | 1 to 13",
            "\"device\":\"RCBO\"         | \"device\":\"FUSE\"              | #/circuit/device              | RCBO or MCB",
            "\"device\":\"RCBO\"         | \"device\":\"MCB\"               | #/circuit/residualMilliampere | has none",
            "\"lowestCelsius\":0         | \"lowestCelsius\":-61            | #/content/lowestCelsius       | -60",
            "\"lowestCelsius\":0         | \"lowestCelsius\":-300           | #/content/lowestCelsius       | -273.15",
            "\"goodUntil\":\"2028-03-31\" | \"goodUntil\":\"soon\"          | #/content/parts/0/goodUntil   | soon",
            "\"limitsAsked\":true        | \"limitsAsked\":\"yes\"          | #/content/limitsAsked         | true or false"})
    void cabinetThatCannotBeTakenSaysWhichFieldIsWrong(String right, String wrong, String pointer, String detail) {
        String body = ApiContract.cabinet(1, 1, "C" + own.toUpperCase(), "1").replace(right, wrong == null ? "" : wrong);

        problem(administrator.post("/api/cabinets", body), 422, "invalid").body("errors.pointer", hasItem(pointer))
                .body("errors.find { it.pointer == '%s' }.detail".formatted(pointer), containsString(detail));
    }

    @Test
    void everythingThatIsWrongIsToldAtOnce() {
        problem(administrator.post("/api/sites", "{\"zone\":\"Mars\",\"electrician\":{\"phone\":\"1\"}}"), 422, "invalid")
                .body("errors.pointer", hasItems("#/zone", "#/name", "#/address", "#/access", "#/intake", "#/electrician/name"));
    }

    @Test
    void nameTakenAlreadyStandsAtItsField() {
        administrator.post("/api/sites", ApiContract.site("Same " + own)).statusCode(201);

        problem(administrator.post("/api/sites", ApiContract.site("Same " + own)), 422, "invalid").body("errors[0].pointer",
                equalTo("#/name"));
    }

    @Test
    void bodyOfAnotherKindOrTooLargeIsRefused() {
        problem(administrator.request().contentType("text/plain").body("x").post("/api/sites").then(), 415, "unsupported-type");
        problem(administrator.post("/api/sites", ApiContract.site("x".repeat(StrictJson.MOST_BYTES))), 413, "too-large");
    }

    @Test
    void changeWithoutAVersionIsRefused() {
        String path = administrator.post("/api/sites", ApiContract.site("Version " + own)).extract().header("Location");

        problem(administrator.json().body(ApiContract.site("Version 2 " + own)).put(path).then(), 428, "version-missing").header("ETag",
                "\"0\"");
        problem(administrator.put(path, "W/\"0\"", ApiContract.site("Version 2 " + own)), 412, "changed-meanwhile");
        administrator.put(path, "\"7\", \"0\"", ApiContract.site("Version 2 " + own)).statusCode(200);
        problem(administrator.request().delete("/api/people/" + administrator.personId()).then(), 428, "version-missing");
        problem(administrator.delete(path, "*"), 405, "not-allowed");
    }

    @ParameterizedTest
    @ValueSource(strings = {"with space", "", "\"", "\u00fc"})
    void keyThatIsNoneIsRefused(String key) {
        problem(administrator.json().header("Idempotency-Key", key).body(ApiContract.site("Key " + own)).post("/api/sites").then(), 400,
                "wrong-parameter");
    }

    @Test
    void tokenForReadingReads() {
        Program reader = Program.readingOnly(Role.ADMINISTRATOR);

        reader.get("/api/sites").statusCode(200);
        problem(reader.post("/api/sites", ApiContract.site("Reader " + own)), 403, "not-allowed-to-you");
    }

    @Test
    void tooManyRequestsHaveToWaitForTheNextMinute() {
        Program busy = Program.as(Role.SITE_STAFF);
        for (int i = 0; i < 600; i++) {
            busy.get("/api/sites/987654321").statusCode(404);
        }

        problem(busy.get("/api/sites"), 429, "too-many").header("Retry-After", matchesPattern("\\d+"));
        administrator.get("/api/sites?limit=1").statusCode(200);
        clock.advance(java.time.Duration.ofSeconds(61));
        busy.get("/api/sites").statusCode(200);
    }

    private static ValidatableResponse problem(ValidatableResponse answer, int status, String type) {
        return answer.statusCode(status).header("Content-Type", containsString("application/problem+json"))
                .body("type", equalTo("urn:lampkeeper:problem:" + type)).body("status", equalTo(status)).body("title", notNullValue())
                .body("detail", not(containsString("org.lampkeeper")));
    }
}
