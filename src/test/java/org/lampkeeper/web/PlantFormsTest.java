package org.lampkeeper.web;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.UUID;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.endsWith;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.NOW;

/** The forms about sites, boards, cabinets and sensors: what is typed is kept, what is wrong stands beside it, nobody overwrites unseen. */
@QuarkusTest
@TestProfile(WithDemo.class)
class PlantFormsTest {

    private static final String HOSTILE = "<script>alert(1)</script>\"' &amp; \u202Egnp.exe\u05D0\u200F ";

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;
    @Inject
    Register register;
    @Inject
    Sensors sensors;

    private final String own = UUID.randomUUID().toString().substring(0, 8).toUpperCase(Locale.ROOT);
    private SignedIn administrator;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.allLit();
        administrator = SignedIn.as(Role.ADMINISTRATOR);
    }

    @Test
    void siteBoardCabinetAndSensorAreRegisteredOneAfterTheOther() {
        long site = newSite();
        page("/sites/" + site).body(containsString("has no cabinet yet.")).body(containsString("Register the first board"))
                .body(containsString("gate code 4715")).body(containsString("/boards/new"));
        long board = newBoard(site, "Board A");
        page("/sites/" + site).body(containsString("feeds nothing yet"));

        long cabinet = newCabinet(site, board, "4");

        page("/sites/" + site).body(containsString("Cabinet " + own)).body(containsString("Board A, way 4")).body(containsString("NO SENSOR"));
        ContentSheet content = register.content(cabinet).orElseThrow();
        assertThat(content.lowest().orElseThrow().value()).isEqualTo(2.5);
        assertThat(content.highest()).isEmpty();
        assertThat(content.parts()).singleElement().satisfies(part -> assertThat(part.name()).isEqualTo("pads"));
        assertThat(register.sheet(cabinet).circuit().residualMilliampere()).hasValue(30);

        String device = "s-" + own;
        String html = post("/cabinets/" + cabinet + "/sensor", Map.of("deviceId", device, "baseName", "urn:dev:ow:" + own + ":")).statusCode(200)
                .header("Cache-Control", "no-store").extract().asString();

        Matcher command = Pattern.compile("mosquitto_pub -h (\\S+) -p (\\d+) -q 1 -i (\\S+) -u (\\S+) -P ([0-9a-f]{32}) -t (\\S+) -m ")
                .matcher(html.replace("&#39;", "'").replace("&quot;", "\""));
        assertThat(command.find()).as(html).isTrue();
        assertThat(command.group(6)).isEqualTo("lampkeeper/v1/" + device + "/report");
        assertThat(sensors.accepts(device, command.group(5))).isTrue();
        assertThat(html.replace("&quot;", "\"")).contains("\"bn\":\"urn:dev:ow:" + own + ":\",\"n\":\"supply\",\"vb\":true");
        page("/cabinets/" + cabinet + "/sensor").body(containsString(device + " watches")).body(not(containsString(command.group(5))));
    }

    static List<Arguments> wrongFields() {
        return List.of(
                arguments("circuit.fuseAmpere", "14", "Fuse 14 A, must be 1 to 13 A."),
                arguments("circuit.fuseAmpere", "3,5", "is not a whole number, must be one like 3 A."),
                arguments("circuit.fuseAmpere", "", "Is empty, must be one like 3 A."),
                arguments("circuit.ratingAmpere", "126", "Rating of the device 126 A, must be 1 to 125 A."),
                arguments("circuit.residualMilliampere", "", "Residual current is missing, an RCBO must have one."),
                arguments("circuit.residualMilliampere", "501", "must be 6 to 500 mA."),
                arguments("circuit.way", " ", "Way is empty, must have 1 to 12 characters."),
                arguments("circuit.boardId", "999999999", "Nothing is chosen, choose one."),
                arguments("circuit.device", "FUSE", "Nothing is chosen, choose one."),
                arguments("circuit.curve", "", "Nothing is chosen, choose one."),
                arguments("circuit.cable", "x".repeat(121), "Cable has 121 characters, must have 1 to 120."),
                arguments("circuit.fusedUnitPlace", "two\nlines", "must be one line of text."),
                arguments("code", "lower", "Code must be 1 to 12 capital letters, digits and hyphens."),
                arguments("name", "", "Name is empty, must have 1 to 120 characters."),
                arguments("place", "", "Place is empty, must have 1 to 200 characters."),
                arguments("lampPlace", "", "Place of the lamp is empty, must have 1 to 200 characters."),
                arguments("content.kind", "", "Content is empty, must have 1 to 80 characters."),
                arguments("content.limits", "", "Nothing is chosen, choose one."),
                arguments("content.lowest", "", "Is empty, must be the maker"),
                arguments("content.lowest", "warm", "is not a number, must be written like 2.5 or 2,5."),
                arguments("content.lowest", "-300", "-300 °C, must be -60 to 100 °C."),
                arguments("content.highest", "50", "Is filled in, but above it is chosen that there is none; empty it or choose otherwise."),
                arguments("content.parts.0.goodUntil", "", "Is empty, must be the last day on which it may be used."),
                arguments("content.parts.0.goodUntil", "30.06.2027", "is not a day, must be written like 2026-11-25."),
                arguments("content.parts.0.name", "x".repeat(81), "Part has 81 characters, must have 1 to 80."));
    }

    @ParameterizedTest
    @MethodSource("wrongFields")
    void whatIsWrongStandsBesideItsFieldAndEverythingTypedIsKept(String field, String typed, String problem) {
        long site = newSite();
        Map<String, String> form = cabinetForm(newBoard(site, "Board A"), "4");
        form.put(field, typed);

        String html = post("/sites/" + site + "/cabinets/new", form).statusCode(422).extract().asString();

        assertThat(errorOf(html, field)).contains(problem);
        assertThat(html).contains("One thing is to be put right", "autofocus").contains("<a href=\"#field-" + field.replace('.', '-') + "\">");
        form.forEach((name, value) -> assertThat(valueOf(html, name)).as(name).isEqualTo(keptAs(name, value)));
        assertThat(register.sheetsOfSite(site)).isEmpty();
    }

    @Test
    void hostileTextInEveryFieldIsKeptShownAsTextAndStoredNowhere() {
        String long10000 = HOSTILE + "x".repeat(10_000 - HOSTILE.length());
        Map<String, String> form = new LinkedHashMap<>();
        for (String field : List.of("name", "address", "zone", "access", "intake", "electrician.name", "electrician.phone")) {
            form.put(field, long10000);
        }

        String html = post("/sites/new", form).statusCode(422).extract().asString();

        assertThat(html).doesNotContain("<script>alert");
        form.forEach((name, value) -> assertThat(valueOf(html, name)).as(name).isEqualTo(value));
        form.keySet().forEach(name -> assertThat(errorOf(html, name)).as(name).isNotEmpty());

        long site = newSite();
        Map<String, String> cabinet = cabinetForm(newBoard(site, "Board A"), "4");
        List<String> texts = cabinet.keySet().stream().filter(name -> !List.of("circuit.boardId", "circuit.device", "circuit.curve", "content.limits")
                .contains(name)).toList();
        texts.forEach(name -> cabinet.put(name, long10000));
        String ofCabinet = post("/sites/" + site + "/cabinets/new", cabinet).statusCode(422).extract().asString();
        assertThat(ofCabinet).doesNotContain("<script>alert");
        texts.forEach(name -> {
            assertThat(valueOf(ofCabinet, name)).as(name).isEqualTo(long10000);
            assertThat(errorOf(ofCabinet, name)).as(name).isNotEmpty();
        });
        assertThat(register.sheetsOfSite(site)).isEmpty();
    }

    @Test
    void markupAndQuotesThatAreFineAsTextAreShownAsText() {
        long site = newSite();
        post("/sites/" + site + "/boards/new", Map.of("name", "<b>A</b> & \"co\"", "place", "O’Hara's \u05D0\u05D1\u200F", "access", "'; DROP TABLE site; --"))
                .statusCode(303);

        page("/sites/" + site).body(containsString("&lt;b&gt;A&lt;/b&gt; &amp; &quot;co&quot;")).body(not(containsString("<b>A")));
    }

    @Test
    void whoeverComesSecondSeesWhatTheFirstStoredAndOverwritesKnowingly() {
        long site = newSite();
        Map<String, String> form = siteForm();
        form.put("version", "0");
        form.put("intake", "by the first");
        SignedIn first = SignedIn.as(Role.RESPONSIBLE_PERSON, site);
        first.browser().formParams(form).post("/sites/" + site + "/edit").then().statusCode(303);
        form.put("intake", "by the second");
        form.put("access", "new gate code");

        String html = post("/sites/" + site + "/edit", form).statusCode(409).extract().asString();

        assertThat(html).contains("Changed by " + first.name() + " at 02:45");
        assertThat(valueOf(html, "intake")).isEqualTo("by the second");
        assertThat(html).containsPattern("field-intake-stored\">Stored now, by " + first.name() + " at 02:45: <q>by the first</q>")
                .contains("field-access-stored").doesNotContain("field-address-stored");
        assertThat(register.site(site).orElseThrow().intake()).isEqualTo("by the first");

        form.put("version", valueOf(html, "version"));
        post("/sites/" + site + "/edit", form).statusCode(303);

        assertThat(register.site(site).orElseThrow().intake()).isEqualTo("by the second");
    }

    @Test
    void circuitAndContentHaveVersionsOfTheirOwn() {
        long site = newSite();
        long board = newBoard(site, "Board A");
        long cabinet = newCabinet(site, board, "4");
        String circuit = page("/cabinets/" + cabinet + "/circuit").body(containsString("competent person"))
                .body(containsString("Never a bigger fuse")).extract().asString();
        Map<String, String> form = new LinkedHashMap<>();
        for (String field : List.of("way", "ratingAmpere", "residualMilliampere", "cable", "fuseAmpere", "fusedUnitPlace", "version", "boardId",
                "device", "curve")) {
            form.put(field, valueOf(circuit, field));
        }
        form.put("fuseAmpere", "5");

        post("/cabinets/" + cabinet + "/circuit", form).statusCode(303).header("Location", endsWith("/cabinets/" + cabinet));
        post("/cabinets/" + cabinet + "/content", Map.of("version", "0", "kind", "telephone", "limits", "NONE")).statusCode(303);
        post("/cabinets/" + cabinet + "/edit", Map.of("version", "0", "code", own, "name", "Renamed " + own, "place", "p", "lampPlace", "l"))
                .statusCode(303);
        post("/cabinets/" + cabinet + "/circuit", form).statusCode(409).body(not(containsString("<q>5</q>")));
        post("/cabinets/" + cabinet + "/content", Map.of("version", "0", "kind", "eyewash", "limits", "NONE")).statusCode(409)
                .body(containsString("<q>telephone</q>"));

        assertThat(register.sheet(cabinet).circuit().fuseAmpere()).isEqualTo(5);
        assertThat(register.content(cabinet).orElseThrow()).satisfies(content -> {
            assertThat(content.kind()).isEqualTo("telephone");
            assertThat(content.limitsAsked()).isTrue();
            assertThat(content.parts()).isEmpty();
        });
    }

    @Test
    void renewedSecretIsShownOnceAndTheOldOneIsRefused() {
        long site = newSite();
        long cabinet = newCabinet(site, newBoard(site, "Board A"), "4");
        String device = "s-" + own;
        String old = secretIn(post("/cabinets/" + cabinet + "/sensor", Map.of("deviceId", device, "baseName", "urn:dev:ow:" + own + ":"))
                .extract().asString());

        String renewed = secretIn(post("/sensors/" + device + "/secret", Map.of()).statusCode(200).extract().asString());

        assertThat(sensors.accepts(device, old)).isFalse();
        assertThat(sensors.accepts(device, renewed)).isTrue();
    }

    @Test
    void sensorIsRetiredAfterAQuestionAndItsIdIsNotTakenAgain() {
        long site = newSite();
        long cabinet = newCabinet(site, newBoard(site, "Board A"), "4");
        String device = "s-" + own;
        Map<String, String> form = Map.of("deviceId", device, "baseName", "urn:dev:ow:" + own + ":");
        post("/cabinets/" + cabinet + "/sensor", form).statusCode(200);
        String again = post("/cabinets/" + cabinet + "/sensor", form).statusCode(422).extract().asString();
        assertThat(errorOf(again, "deviceId")).contains("is or was registered already");

        page("/sensors/" + device + "/retire").body(containsString("taken off Cabinet " + own + " for good?")).body(containsString("look at the lamp"));
        assertThat(sensors.find(device)).isPresent();
        post("/sensors/" + device + "/retire", Map.of()).statusCode(303);

        assertThat(sensors.find(device)).isEmpty();
        post("/sensors/" + device + "/retire", Map.of()).statusCode(404);
        post("/cabinets/" + cabinet + "/sensor", form).statusCode(422);
    }

    @Test
    void boardIsRemovedOnlyOnceItFeedsNothingAndACabinetGoesOutOfUse() {
        long site = newSite();
        long board = newBoard(site, "Board A");
        long cabinet = newCabinet(site, board, "4");

        post("/boards/" + board + "/remove", Map.of("version", "0")).statusCode(422).body(containsString("change their circuits first"));
        page("/cabinets/" + cabinet + "/out-of-use").body(containsString("Its history stays"));
        post("/cabinets/" + cabinet + "/out-of-use", Map.of("version", "9", "reason", "quay rebuilt")).statusCode(409);
        post("/cabinets/" + cabinet + "/out-of-use", Map.of("version", "0", "reason", " ")).statusCode(422).body(containsString("Reason is empty"));
        post("/cabinets/" + cabinet + "/out-of-use", Map.of("version", "0", "reason", "quay <rebuilt>")).statusCode(303);
        post("/boards/" + board + "/remove", Map.of("version", "0")).statusCode(303);

        page("/sites/" + site).body(containsString("is out of use.")).body(containsString("quay &lt;rebuilt&gt;"))
                .body(not(containsString("Board A")));
        page("/").body(not(containsString("Cabinet " + own)));
        page("/cabinets/" + cabinet).body(containsString("is out of use since")).body(containsString("Why: quay &lt;rebuilt&gt;"))
                .body(containsString(own));
        page("/journal?cabinet=" + cabinet).body(containsString("was taken out of use: quay &lt;rebuilt&gt;"));
    }

    @Test
    void cabinetOutOfUseIsBroughtBackWithTheCircuitThatFeedsItNow() {
        long site = newSite();
        long board = newBoard(site, "Board A");
        long cabinet = newCabinet(site, board, "4");
        administrator.browser().get("/cabinets/" + cabinet + "/back-in-use").then().statusCode(404);
        post("/cabinets/" + cabinet + "/out-of-use", Map.of("version", "0", "reason", "quay rebuilt")).statusCode(303);
        page("/cabinets/" + cabinet).body(containsString("/back-in-use"));
        Map<String, String> circuit = new LinkedHashMap<>(Map.of("version", "1"));
        cabinetForm(board, "9").forEach((name, value) -> {
            if (name.startsWith("circuit.")) {
                circuit.put(name.substring("circuit.".length()), value);
            }
        });
        circuit.put("fuseAmpere", "99");

        page("/cabinets/" + cabinet + "/back-in-use").body(containsString("keeps its code " + own));
        post("/cabinets/" + cabinet + "/back-in-use", circuit).statusCode(422).body(containsString("must be 1 to 13 A"));
        circuit.put("fuseAmpere", "3");
        post("/cabinets/" + cabinet + "/back-in-use", circuit).statusCode(303).header("Location", containsString("/sensor"));

        assertThat(register.sheet(cabinet).circuit().way()).isEqualTo("9");
        page("/").body(containsString("Cabinet " + own));
        post("/cabinets/" + cabinet + "/back-in-use", circuit).statusCode(404);
    }

    @ParameterizedTest
    @CsvSource({"SITE_STAFF, 403", "DUTY_MANAGER, 403", "RESPONSIBLE_PERSON, 403", "INSTALLER, 200", "ADMINISTRATOR, 200"})
    void plantIsChangedByWhoeverMayAndTheSiteIsNothingToAStranger(Role role, int expected) {
        long site = newSite();
        long cabinet = newCabinet(site, newBoard(site, "Board A"), "4");
        long elsewhere = fixture.site("North Stair");

        for (String path : List.of("/sites/" + site + "/boards/new", "/sites/" + site + "/cabinets/new", "/cabinets/" + cabinet + "/edit",
                "/cabinets/" + cabinet + "/circuit", "/cabinets/" + cabinet + "/content", "/cabinets/" + cabinet + "/sensor",
                "/cabinets/" + cabinet + "/out-of-use")) {
            SignedIn.as(role, site).browser().get(path).then().statusCode(expected);
            SignedIn.as(role, elsewhere).browser().get(path).then().statusCode(404);
        }
        SignedIn.as(role, site).browser().get("/sites/" + site).then().statusCode(200);
        SignedIn.as(role, site).browser().get("/sites/new").then().statusCode(403);
    }

    private long newSite() {
        String location = post("/sites/new", siteForm()).statusCode(303).extract().header("Location");
        return Long.parseLong(location.substring(location.lastIndexOf('/') + 1));
    }

    private Map<String, String> siteForm() {
        return new LinkedHashMap<>(Map.of("name", "Site " + own, "address", "Quay 1", "zone", "Europe/London", "access", "gate code 4715", "intake",
                "kiosk", "electrician.name", "B. Marsh", "electrician.phone", "01632 960144"));
    }

    private long newBoard(long site, String name) {
        post("/sites/" + site + "/boards/new", Map.of("name", name, "place", "quay kiosk", "access", "key 7")).statusCode(303);
        return fixture.number("SELECT id FROM board WHERE site_id = ? AND name = ?", site, name);
    }

    private long newCabinet(long site, long board, String way) {
        String location = post("/sites/" + site + "/cabinets/new", cabinetForm(board, way)).statusCode(303).extract().header("Location");
        Matcher number = Pattern.compile("/cabinets/(\\d+)/sensor$").matcher(location);
        assertThat(number.find()).isTrue();
        return Long.parseLong(number.group(1));
    }

    private Map<String, String> cabinetForm(long board, String way) {
        Map<String, String> form = new LinkedHashMap<>();
        form.put("code", own);
        form.put("name", "Cabinet " + own);
        form.put("place", "by the steps");
        form.put("lampPlace", "under the cabinet");
        form.put("content.kind", "defibrillator");
        form.put("content.limits", "LOWEST");
        form.put("content.lowest", "2,5");
        form.put("content.highest", "");
        form.put("content.parts.0.name", "pads");
        form.put("content.parts.0.goodUntil", "2027-06-30");
        form.put("circuit.boardId", Long.toString(board));
        form.put("circuit.way", way);
        form.put("circuit.device", "RCBO");
        form.put("circuit.curve", "C");
        form.put("circuit.ratingAmpere", "16");
        form.put("circuit.residualMilliampere", "30");
        form.put("circuit.cable", "3-core 2.5 mm² SWA, 38 m");
        form.put("circuit.fuseAmpere", "3");
        form.put("circuit.fusedUnitPlace", "below the cabinet");
        return form;
    }

    private ValidatableResponse post(String path, Map<String, String> form) {
        return administrator.browser().contentType("application/x-www-form-urlencoded; charset=UTF-8").formParams(form).post(path).then();
    }

    private ValidatableResponse page(String path) {
        return administrator.browser().get(path).then().statusCode(200);
    }

    private static Arguments arguments(Object... values) {
        return Arguments.of(values);
    }

    /** What a browser sends of an input's line breaks, it does not keep; what was not offered, a choice cannot show. */
    private static String keptAs(String name, String value) {
        boolean isChoice = List.of("circuit.boardId", "circuit.device", "circuit.curve", "content.limits").contains(name);
        return isChoice && (value.equals("999999999") || value.equals("FUSE")) ? "" : value;
    }

    private static String secretIn(String html) {
        Matcher secret = Pattern.compile("class=\"once\"[^>]*>([0-9a-f]{32})<").matcher(html);
        assertThat(secret.find()).isTrue();
        return secret.group(1);
    }

    /** The value that a browser would show in this field. */
    static String valueOf(String html, String name) {
        Matcher input = Pattern.compile("<input[^>]* name=\"" + Pattern.quote(name) + "\" value=\"([^\"]*)\"").matcher(html);
        if (input.find()) {
            return plain(input.group(1));
        }
        Matcher select = Pattern.compile("<select[^>]* name=\"" + Pattern.quote(name) + "\".*?</select>", Pattern.DOTALL).matcher(html);
        assertThat(select.find()).as("field " + name).isTrue();
        Matcher chosen = Pattern.compile("<option value=\"([^\"]*)\" selected>").matcher(select.group());
        assertThat(chosen.find()).as("choice " + name).isTrue();
        return plain(chosen.group(1));
    }

    static String errorOf(String html, String name) {
        Matcher error = Pattern.compile("id=\"field-" + Pattern.quote(name.replace('.', '-')) + "-error\">(.*?)</p>", Pattern.DOTALL).matcher(html);
        return error.find() ? plain(error.group(1).replaceAll("<[^>]*>", "")) : "";
    }

    private static String plain(String html) {
        return html.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#39;", "'").replace("&amp;", "&");
    }
}
