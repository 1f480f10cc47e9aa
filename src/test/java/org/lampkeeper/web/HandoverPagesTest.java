package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;

import jakarta.inject.Inject;

import com.networknt.schema.InputFormat;
import com.networknt.schema.JsonSchema;
import com.networknt.schema.JsonSchemaFactory;
import com.networknt.schema.SpecVersion;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.path.json.JsonPath;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverFixture;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Sha256;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;
import org.lampkeeper.watch.PhotoTest;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

/** The pages of a hand-over, as a browser without scripts sends them, and what their script sends. */
@QuarkusTest
@TestProfile(WithDemo.class)
class HandoverPagesTest {

    private static final Instant NOW = Instant.parse("2026-11-25T08:00:00Z");

    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    MovedClock clock;

    private long site;
    private long cabinet;
    private SignedIn installer;
    private String record;

    @BeforeEach
    void aRecordThatIsOpen() {
        clock.stopAt(NOW);
        String own = UUID.randomUUID().toString().substring(0, 8).toUpperCase(java.util.Locale.ROOT);
        By by = By.nobody(NOW);
        site = registration.addSite(new NewSite("Quay " + own, "Quay 1", java.time.ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty()), by).id();
        long board = registration.addBoard(new NewBoard(site, "Board A", "kiosk", "key 7"), by).id();
        cabinet = registration.addCabinet(new NewCabinet(site, own, "North " + own, "quay", NewContent.ofKind("defibrillator"), "under it", new NewCircuit(board, "4",
                DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core", 3, "below")), by).cabinetId();
        installer = SignedIn.as(Role.INSTALLER, site);
        Response opened = installer.browser().post("/cabinets/" + cabinet + "/handovers");
        record = opened.header("Location").replaceFirst("^https?://[^/]+", "");
        assertThat(record).matches("/handovers/\\d+");
    }

    /** Other tests of this profile count the cabinets in use. */
    @AfterEach
    void itsCabinetIsNotInUseAnyMore() {
        register.findSheet(cabinet).ifPresent(sheet -> registration.takeOutOfUse(cabinet, sheet.version(), "the test is over", By.nobody(NOW)));
    }

    @Test
    void oneSectionIsSavedByItsOwnButtonAndWhatIsWrongStandsBesideItsField() {
        Response saved = form(installer, page(installer)).formParam("section", "CABLE").formParam("length", "30 ft").formParam("size", "2,5").post(record);

        assertThat(saved.statusCode()).isEqualTo(303);
        assertThat(saved.header("Location")).endsWith(record + "#CABLE");
        String page = page(installer);
        assertThat(page).contains("value=\"30 ft\"", "“ft” stands behind the number; this is in m, type the number in m", "value=\"2,5\"");
        assertThat(page).contains("one is to be put right", "<span class=\"soft\" data-standing=\"CABLE\">10 are missing, one to be put right</span>");
    }

    /** What is asked for next follows what was chosen, in the answer to the script as on the page. */
    @Test
    void whatMayBeLeftEmptyFollowsWhatElseWasTyped() {
        String revision = revision(page(installer));
        Response answer = installer.request().contentType("application/json")
                .body("{\"values\":[{\"field\":\"shutdown\",\"typed\":\"NOT_POSSIBLE\",\"seen\":" + revision + ",\"decides\":false}]}").post(record + "/fields");

        assertThat(answer.jsonPath().getList("optional")).contains("shutdownWith").doesNotContain("whyLive");
        assertThat(page(installer)).contains("Agreed with whom, when <span").doesNotContain("Why it could not be dead <span");
    }

    /** A negative figure, commas, a unit of something else, and pairs that cannot be: as it was typed, with the sentence beside its field. */
    @Test
    void badValueStaysAsTypedWithItsSentenceBesideIt() {
        Map<String, String> fine = Map.of("fuse", "3", "cable", "SHEATHED", "storage", "LOWEST", "lowest", "0", "volt", "230,0");
        Map<String, String[]> bad = new HashMap<>();
        bad.put("ze", new String[] {"-0.35", "must be 0 to 2000 Ω"});
        bad.put("length", new String[] {"30 ft", "type the number in m"});
        bad.put("heightMetres", new String[] {"1200 mm", "type the number in m"});
        bad.put("faultCurrent", new String[] {"1200 A", "type the number in kA"});
        bad.put("megohm", new String[] {"1,000", "may be thousands or decimals"});
        bad.put("rating", new String[] {"16,5", "is not a whole number, must be 1 to 125 A"});
        bad.put("zs", new String[] {"0,7,9", "is not a number, must be written like 2.5 or 2,5, in Ω"});
        bad.put("size", new String[] {"10", "10 mm² does not go into the terminals of a fused connection unit"});
        bad.put("method", new String[] {"D2", "is not laid directly in the ground"});
        bad.put("thermostat", new String[] {"0", "the heater would start too late"});
        bad.put("ipCode", new String[] {"65", "is no IP code"});
        bad.put("nextInspection", new String[] {"1.12.2029", "is not a day, must be written like 2026-11-25"});
        RequestSpecification form = form(installer, page(installer)).formParams(fine);
        bad.forEach((field, typed) -> form.formParam(field, typed[0]));
        assertThat(form.post(record).statusCode()).isEqualTo(303);

        String page = page(installer);
        bad.forEach((field, typed) -> {
            String beside = page.substring(page.indexOf("<div data-field=\"" + field + "\">"));
            assertThat(beside.substring(0, beside.indexOf("data-problem"))).as(field).contains("id=\"field-" + field + "-error\"", typed[1], "aria-invalid=\"true\"",
                    "value=\"" + typed[0] + "\"");
        });
        assertThat(page.split("aria-invalid=\"true\"", -1)).as("and nowhere else").hasSize(bad.size() + 1);
        assertThat(page).contains(bad.size() + " are to be put right");
    }

    @Test
    void onlyWhatTheSignatureDoesNotNeedSaysThatItMayBeLeftEmpty() {
        assertThat(page(installer)).doesNotContain("Height of its underside <span").contains("Its terminals take <span", "Earth electrode RA <span");

        form(installer, page(installer)).formParam("section", "SUPPLY").formParam("earthing", "TT").post(record);

        assertThat(page(installer)).as("on a TT system it is needed").doesNotContain("Earth electrode RA <span");
    }

    @Test
    void datedPartsBeyondTheUsualOnesAreFoldedUntilThereAreSome() {
        assertThat(folded(page(installer))).contains("name=\"part4\"", "name=\"part12Until\"").doesNotContain("name=\"part3\"");

        form(installer, page(installer)).formParam("section", "CONTENT").formParam("part5", "gloves").formParam("part5Until", "2027-06-30").post(record);

        assertThat(folded(page(installer))).contains("name=\"part6\"").doesNotContain("name=\"part5\"", "name=\"part4\"");
        assertThat(page(installer)).contains("value=\"gloves\"");
    }

    @Test
    void whatIsSeldomNeededIsFoldedUntilItIsThereAndGoesIntoWhatIsHandedOut() {
        Map<HandoverField, String> seldom = Map.of(HandoverField.NETWORK, "PRIVATE", HandoverField.INRUSH, "12", HandoverField.CONDUCTOR, "TINNED", HandoverField.ARMOUR_METAL, "STEEL",
                HandoverField.LOADED, "THREE", HandoverField.SPACING, "LAYER", HandoverField.IMPACT, "IK10", HandoverField.USE, "LIGHTING", HandoverField.TRIP_AT, "22");
        assertThat(java.util.stream.Stream.of(HandoverField.values()).filter(field -> field.needed() == HandoverField.Needed.SELDOM)).containsExactlyInAnyOrderElementsOf(seldom.keySet());
        assertThat(page(installer).split("<summary>Seldom needed: ", -1)).hasSize(6);
        assertThat(page(installer)).contains("<summary>Seldom needed: How they lie; Loaded conductors; Copper; Armour of</summary>");
        fill();

        Map<String, String> sent = new HashMap<>();
        seldom.forEach((field, typed) -> sent.put(field.key(), typed));
        assertThat(form(installer, page(installer)).formParams(sent).post(record).statusCode()).isEqualTo(303);

        assertThat(page(installer)).doesNotContain("Seldom needed").contains("Nothing is missing").contains("name=\"tripAt\"");
        String json = installer.request().get(record + "/record.json").asString();
        assertThat(schema().validate(json, InputFormat.JSON)).isEmpty();
        assertThat(json).contains("\"tripAt\":{\"label\":\"Residual current, rising: opened at\"", "\"what\":\"residual current, rising\"", "\"what\":\"switching on\"", "\"what\":\"impact\"");
        try (PaperPages pages = new PaperPages(paper())) {
            String text = pages.text().replaceAll("\\s+", " ");
            assertThat(text).contains("Residual current, rising", "Switching on, expected", "Overload protection, expected", "IK10", "514.13.1, at the main earthing terminal",
                    "Safety electrical connection. Do not remove.");
            assertThat(pages.letters()).allMatch(letter -> letter.left() > 15 && letter.right() < 196 && letter.bottom() < 291);
        }
    }

    /** Beside some of them stands "empty it": then they can be emptied. */
    @Test
    void choiceThatMayBeLeftEmptyCanBeEmptiedAgain() {
        form(installer, page(installer)).formParams(Map.of("spacing", "LAYER", "method", "E", "device", "RCBO", "residualType", "A", "residual", "30")).post(record);
        assertThat(choice("spacing")).contains("<option value=\"\">", "row of the tables for cables clipped direct alone; empty it");
        assertThat(choice("residualType")).as("an RCBO has one").doesNotContain("<option value=\"\">");

        form(installer, page(installer)).formParam("device", "MCB").formParam("spacing", "").post(record);

        assertThat(choice("residualType")).contains("<option value=\"\">", "MCB has no residual-current part; empty it");
        assertThat(page(installer)).contains("<summary>Seldom needed: How they lie;");
        form(installer, page(installer)).formParams(Map.of("residualType", "", "residual", "")).post(record);
        assertThat(page(installer)).doesNotContain("empty it, or choose RCBO");
    }

    private String choice(String field) {
        String beside = page(installer);
        beside = beside.substring(beside.indexOf("<div data-field=\"" + field + "\">"));
        return beside.substring(0, beside.indexOf("data-problem"));
    }

    private static String folded(String page) {
        return page.substring(page.indexOf("<summary>More dated parts"), page.indexOf("Save: Content"));
    }

    @Test
    void whatCannotBeKeptIsShownAgainAndNothingIsStored() {
        Response refused = form(installer, page(installer)).formParam("keys", "x".repeat(401)).formParam("access", "gate").post(record);

        assertThat(refused.statusCode()).isEqualTo(422);
        assertThat(refused.asString()).contains("x".repeat(401), "must have 1 to 400", "value=\"gate\"");
        assertThat(page(installer)).doesNotContain("xxxx", "value=\"gate\"");
    }

    @Test
    void twoTabletsBothSeeWhatTheOtherTyped() {
        SignedIn other = SignedIn.as(Role.INSTALLER, site);
        String old = page(other);
        form(installer, page(installer)).formParam("length", "30").post(record);

        form(other, old).formParam("length", "32").post(record);

        for (SignedIn who : new SignedIn[] {installer, other}) {
            assertThat(page(who)).contains("Typed meanwhile by " + other.name() + ", 08:00: <q>32 m</q>", "value=\"30\"", "What stands in the field is right");
        }
        form(installer, page(installer)).formParam("length", "32").formParam("decide.length", "yes").post(record);
        assertThat(page(other)).contains("value=\"32\"").doesNotContain("Typed meanwhile");
    }

    @Test
    void scriptSavesFieldByFieldAndHearsWhatStandsNow() {
        String revision = revision(page(installer));
        Response answer = installer.request().contentType("application/json").body("{\"values\":[{\"field\":\"ze\",\"typed\":\"0,35\",\"seen\":" + revision + ",\"decides\":false},"
                + "{\"field\":\"keys\",\"typed\":\"" + "x".repeat(401) + "\",\"seen\":" + revision + ",\"decides\":false}]}").post(record + "/fields");

        assertThat(answer.statusCode()).isEqualTo(200);
        assertThat(answer.jsonPath().getString("fields.ze.typed")).isEqualTo("0,35");
        assertThat(answer.jsonPath().getString("refused.keys")).contains("401 characters");
        assertThat(answer.jsonPath().getBoolean("isOpen")).isTrue();
        assertThat(answer.jsonPath().getString("sections.SUPPLY")).isEqualTo("5 are missing");
        assertThat(answer.jsonPath().getList("optional")).contains("shutdownWith", "whyLive", "terminal").doesNotContain("ze", "keys");
        assertThat(installer.request().contentType("application/json").body("{\"values\":[{\"field\":\"nothing\",\"typed\":\"1\",\"seen\":1,\"decides\":false}]}")
                .post(record + "/fields").statusCode()).isEqualTo(400);
        assertThat(installer.request().contentType("application/json").body("{").post(record + "/fields").statusCode()).isEqualTo(400);
    }

    @Test
    void eachVerdictStandsAtItsPartOfTheCircuitWithAllThatItRestsOn() {
        fill();

        String figures = installer.browser().get(record + "/figures").asString();

        assertThat(figures).contains("Compared with the tables of " + HandoverFixture.A2, "Not checked against BS 7671:2018+A4:2026", "Zs ≤ U0 · Cmin / Ia", "1.3656 Ω",
                "411.4.4, Table 41.3", "not a certificate", "Notices that are to hang there", "514.12.2, at the origin", "Next inspection due: 2029-12-01.");
        assertThat(figures.indexOf("Breaking capacity")).isLessThan(figures.indexOf("Voltage drop"));
        assertThat(figures.indexOf("Voltage drop")).isLessThan(figures.indexOf("Enclosure"));
        assertThat(figures.toLowerCase(java.util.Locale.ROOT)).doesNotContain(">pass<");
    }

    @Test
    void recordIsSignedByInstallerAndSiteAndThenOnlyRead() {
        assertThat(installer.browser().get(record + "/sign").asString()).contains("Ze is missing").doesNotContain("Sign as installer");
        fill();
        String sign = installer.browser().get(record + "/sign").asString();
        assertThat(sign).contains("Sign as installer").contains(">What was decided</label>");
        Response without = form(installer, sign).formParam("remark", "").post(record + "/sign");
        assertThat(without.statusCode()).isEqualTo(422);
        assertThat(without.asString()).contains("why there is no proof test");

        assertThat(form(installer, sign).formParam("remark", "No proof test: there is no sensor yet.").post(record + "/sign").statusCode()).isEqualTo(303);
        assertThat(form(installer, page(installer)).formParam("ze", "9").post(record).statusCode()).isEqualTo(422);
        SignedIn responsible = SignedIn.as(Role.RESPONSIBLE_PERSON, site);
        String signed = responsible.browser().get(record + "/sign").asString();
        String fingerprint = java.util.regex.Pattern.compile("name=\"fingerprint\" value=\"([0-9a-f]{64})\"").matcher(signed).results().findFirst().orElseThrow().group(1);
        assertThat(installer.browser().formParam("fingerprint", fingerprint).post(record + "/take-over").statusCode()).as("an installer is not the site").isEqualTo(403);
        assertThat(responsible.browser().formParam("fingerprint", "0".repeat(64)).post(record + "/take-over").statusCode()).isEqualTo(422);
        assertThat(responsible.browser().formParam("fingerprint", fingerprint).post(record + "/take-over").statusCode()).isEqualTo(303);

        assertThat(page(installer)).contains("is signed by both").doesNotContain("<input");
        assertThat(installer.request().get(record + "/record.json").jsonPath().getString("fields.zs.typed")).isEqualTo("0.79");
        Response next = installer.browser().post("/cabinets/" + cabinet + "/handovers");
        assertThat(next.header("Location")).doesNotEndWith(record);
        assertThat(responsible.browser().get("/cabinets/" + cabinet + "/handovers").asString()).contains("Version 2", "Version 1");
        assertThat(page(responsible)).contains("0.79 Ω", "<dd>1 circuit</dd>", "<dt>Earth electrode RA</dt><dd>not given</dd>").doesNotContain("<dd>nothing</dd>");
    }

    @Test
    void recordOfACabinetOutOfUseIsReadAndNotWritten() {
        fill();
        SignedIn responsible = signedByBoth();
        String signed = installer.request().get(record + "/record.json").asString();
        String next = installer.browser().post("/cabinets/" + cabinet + "/handovers").header("Location").replaceFirst("^https?://[^/]+", "");
        String version = page(installer);
        registration.takeOutOfUse(cabinet, register.sheet(cabinet).version(), "the quay is rebuilt", By.nobody(NOW));

        assertThat(page(responsible)).contains("Version 1", "is signed by both", "0.79 Ω", "out of use since").doesNotContain("<input");
        assertThat(responsible.request().get(record + "/record.json").asString()).isEqualTo(signed);
        try (PaperPages pages = new PaperPages(paper())) {
            assertThat(pages.text()).contains("Zs");
        }
        for (String part : new String[] {"/sign", "/figures", "/proof"}) {
            assertThat(responsible.browser().get(record + part).statusCode()).as(part).isEqualTo(200);
        }
        assertThat(responsible.browser().get("/cabinets/" + cabinet + "/handovers").asString()).contains("Version 1", "Version 2", "is out of use").doesNotContain("Open a new version");
        assertThat(responsible.browser().get("/cabinets/" + cabinet).asString()).contains("/cabinets/" + cabinet + "/handovers");
        assertThat(installer.browser().get(next).asString()).contains("was not signed by both").doesNotContain("<input");

        String why = "he cabinet is out of use, and its record is only read";
        assertThat(refusal(form(installer, version).formParam("ze", "9").post(next))).contains(why);
        assertThat(refusal(form(installer, version).formParam("remark", "none").post(next + "/sign"))).contains(why);
        assertThat(refusal(responsible.browser().formParam("fingerprint", "0".repeat(64)).post(next + "/take-over"))).contains(why);
        assertThat(refusal(installer.browser().post(next + "/proof"))).contains(why);
        assertThat(refusal(installer.browser().formParam("lasts", "PT4H").post(next + "/commissioning"))).contains(why);
        assertThat(installer.request().contentType("application/json").body("{\"values\":[]}").post(next + "/fields").jsonPath().getString("closed")).contains(why);
        assertThat(installer.browser().post("/cabinets/" + cabinet + "/handovers").statusCode()).isEqualTo(409);
    }

    @Test
    void photoOfThePositionIsMadeAnewAndNamedInWhatIsSigned() throws Exception {
        byte[] sent = PhotoTest.jpeg(300, 200);
        assertThat(page(installer)).contains("It needs signal", "at most 5 MB");

        assertThat(refusal(photo(installer, page(installer)).multiPart("photo", "photo.jpg", "<svg onload=alert(1)>".getBytes(UTF_8), "image/jpeg").post(record + "/photo")))
                .contains("Nothing was stored. This is no photo that can be read here: it must be a JPEG or a PNG.", "aria-invalid=\"true\"");
        assertThat(refusal(photo(installer, page(installer)).post(record + "/photo"))).contains("No photo was chosen");
        assertThat(photo(installer, page(installer)).multiPart("photo", "photo.jpg", sent, "image/jpeg").post(record + "/photo").statusCode()).isEqualTo(303);

        String address = java.util.regex.Pattern.compile("src=\"(" + record + "/photo\\?sha256=[0-9a-f]{64})\"").matcher(page(installer)).results().findFirst().orElseThrow().group(1);
        String sha256 = address.substring(address.indexOf('=') + 1);
        byte[] kept = jpeg(installer, address);
        assertThat(Sha256.hex(kept)).isEqualTo(sha256);
        assertThat(kept).as("made anew").isNotEqualTo(sent);
        assertThat(installer.browser().accept("image/jpeg").get(record + "/photo?sha256=" + "0".repeat(64)).statusCode()).isEqualTo(404);
        Response journal = SignedIn.as(Role.ADMINISTRATOR, site).browser().get("/journal?cabinet=" + cabinet);
        assertThat(journal.asString()).contains("put a photo into the hand-over record", sha256);

        fill();
        SignedIn responsible = signedByBoth();
        Response signed = installer.request().get(record + "/record.json");
        assertThat(signed.jsonPath().getString("fields.positionPhoto.sha256")).isEqualTo(sha256);
        assertThat(schema().validate(signed.asString(), InputFormat.JSON)).isEmpty();
        assertThat(page(responsible)).contains("src=\"" + address + "\"", "SHA-256 " + sha256, "What was signed stays as it was signed").doesNotContain("What is typed is kept");
        assertThat(jpeg(responsible, address)).isEqualTo(kept);
        try (PaperPages pages = new PaperPages(paper())) {
            assertThat(pages.text().replaceAll("\\s+", "")).contains("Photooftheposition.SHA-256:" + sha256);
            assertThat(pages.pictures()).isOne();
        }
        assertThat(refusal(photo(installer, "name=\"version\" value=\"1\"").multiPart("right", "none").post(record + "/photo"))).contains("this version is signed");
    }

    @Test
    void twoPhotosAtOnceAreBothKeptUntilSomebodyDecides() throws Exception {
        SignedIn other = SignedIn.as(Role.INSTALLER, site);
        String old = page(other);
        photo(installer, page(installer)).multiPart("photo", "one.jpg", PhotoTest.jpeg(300, 200), "image/jpeg").post(record + "/photo");
        photo(other, old).multiPart("photo", "two.jpg", PhotoTest.jpeg(200, 300), "image/jpeg").post(record + "/photo");

        String both = page(installer);
        assertThat(both).contains("sent by " + other.name(), "This photo is right");
        String second = java.util.regex.Pattern.compile("sha256=([0-9a-f]{64})").matcher(both.substring(both.indexOf("sent by " + other.name()))).results().findFirst().orElseThrow().group(1);
        assertThat(photo(installer, both).multiPart("right", second).post(record + "/photo").statusCode()).isEqualTo(303);

        assertThat(page(other)).contains("sha256=" + second).doesNotContain("This photo is right");
        assertThat(refusal(photo(other, page(other)).multiPart("right", "1".repeat(64)).post(record + "/photo"))).contains("not kept here");
        assertThat(photo(other, page(other)).multiPart("right", "none").post(record + "/photo").statusCode()).isEqualTo(303);
        assertThat(page(other)).doesNotContain("/photo?sha256=");
    }

    @Test
    void registerTakesWhatBothSignedGroupByGroupUntilNothingIsDifferent() {
        fill();
        SignedIn responsible = signedByBoth();
        String sign = record + "/sign";
        CabinetSheet before = register.sheet(cabinet);
        assertThat(installer.browser().get(sign).asString()).contains("The register says otherwise", "west end of the quay, beside the ladder", "<td>quay</td>",
                "<td>3-core 2.5 mm² SWA, 30 m</td><td>3-core</td>", "value=\"CABLE\"").doesNotContain("value=\"DEVICE\"", "value=\"BOARD_AND_WAY\"");
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, site);
        assertThat(staff.browser().get(sign).asString()).contains("The register says otherwise").doesNotContain("Take these into the register");
        assertThat(take(staff, "CABLE", before.circuit().version()).statusCode()).isEqualTo(403);

        assertThat(take(installer, "CABLE", before.circuit().version()).statusCode()).isEqualTo(303);
        assertThat(register.sheet(cabinet).circuit().cable()).isEqualTo("3-core 2.5 mm² SWA, 30 m");
        assertThat(register.sheet(cabinet).circuit().fusedUnitPlace()).as("what the record does not say stays").isEqualTo("below");
        assertThat(take(installer, "CABLE", before.circuit().version()).statusCode()).as("pressed again").isEqualTo(303);
        registration.changeCabinet(cabinet, before.version(), new CabinetFacts(before.code(), before.name(), "moved", "moved too"), By.nobody(NOW));
        Response overtaken = take(installer, "PLACE", before.version());
        assertThat(overtaken.statusCode()).isEqualTo(409);
        assertThat(overtaken.asString()).contains("the register was changed meanwhile", "<td>moved</td>");
        assertThat(take(installer, "PLACE", register.sheet(cabinet).version()).statusCode()).isEqualTo(303);

        assertThat(installer.browser().get(sign).asString()).doesNotContain("The register says otherwise");
        assertThat(register.sheet(cabinet).place()).isEqualTo("west end of the quay, beside the ladder");
        assertThat(SignedIn.as(Role.ADMINISTRATOR, site).browser().get("/journal?cabinet=" + cabinet).asString()).contains("3-core 2.5 mm² SWA, 30 m");
        assertThat(take(installer, "NOTHING", 1).statusCode()).isEqualTo(400);
        assertThat(responsible.browser().get(sign).statusCode()).isEqualTo(200);
    }

    @Test
    void wayThatFeedsAnotherCabinetInTheRegisterIsSaidBesideIt() {
        long board = register.sheet(cabinet).board().id();
        String other = UUID.randomUUID().toString().substring(0, 8).toUpperCase(java.util.Locale.ROOT);
        CabinetSheet taken = registration.addCabinet(new NewCabinet(site, other, "South " + other, "quay", NewContent.ofKind("ring buoy"), "under it", new NewCircuit(board, "5",
                DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core", 3, "below")), By.nobody(NOW));
        try {
            fill();
            form(installer, page(installer)).formParam("way", "5").post(record);
            signedByBoth();

            assertThat(installer.browser().get(record + "/sign").asString()).contains("It cannot be taken: way 5 of Board A feeds South " + other + " in the register")
                    .doesNotContain("value=\"BOARD_AND_WAY\"");
            Response refused = take(installer, "BOARD_AND_WAY", register.sheet(cabinet).circuit().version());
            assertThat(refusal(refused)).contains("way 5 of Board A feeds South " + other);
            assertThat(register.sheet(cabinet).circuit().way()).isEqualTo("4");
        } finally {
            registration.takeOutOfUse(taken.cabinetId(), taken.version(), "the test is over", By.nobody(NOW));
        }
    }

    private Response take(SignedIn who, String group, int version) {
        return who.browser().formParam("group", group).formParam("version", version).post(record + "/register");
    }

    private static RequestSpecification photo(SignedIn who, String page) {
        return who.browser().multiPart("version", revision(page)).multiPart("field", "positionPhoto");
    }

    private static byte[] jpeg(SignedIn who, String address) {
        return who.browser().accept("image/jpeg").get(address).then().statusCode(200).contentType("image/jpeg").extract().asByteArray();
    }

    private static String refusal(Response answer) {
        assertThat(answer.statusCode()).isEqualTo(422);
        return answer.asString();
    }

    /** @return who signed for the site */
    private SignedIn signedByBoth() {
        assertThat(form(installer, page(installer)).formParam("remark", "No proof test: there is no sensor yet.").post(record + "/sign").statusCode()).isEqualTo(303);
        SignedIn responsible = SignedIn.as(Role.RESPONSIBLE_PERSON, site);
        String signed = responsible.browser().get(record + "/sign").asString();
        String fingerprint = java.util.regex.Pattern.compile("name=\"fingerprint\" value=\"([0-9a-f]{64})\"").matcher(signed).results().findFirst().orElseThrow().group(1);
        assertThat(responsible.browser().formParam("fingerprint", fingerprint).post(record + "/take-over").statusCode()).isEqualTo(303);
        return responsible;
    }

    @Test
    void paperSaysWhatTheRecordSaysWithItsArithmeticAndWhatIsMissing() {
        try (PaperPages empty = new PaperPages(paper())) {
            assertThat(empty.text().replaceAll("\\s+", " ")).contains("version 1", "not given", "No proof test was made with this version.", "Installer not signed",
                    "No edition of the limits was chosen");
        }
        fill();

        try (PaperPages pages = new PaperPages(paper())) {
            String text = pages.text().replaceAll("\\s+", " ");

            assertThat(pages.title()).contains("Hand-over of ");
            assertThat(text).contains("not a certificate", "Zs 0.79 Ω", "Annex: the arithmetic", "Zs ≤ U0 · Cmin / Ia", "411.4.4, Table 41.3", "Not checked against BS 7671:2018+A4:",
                    "1 of " + pages.count());
            // At its part of the circuit, in the order of the circuit.
            assertThat(text.indexOf("Breaking capacity")).isPositive().isLessThan(text.indexOf("Voltage drop"));
            assertThat(pages.letters()).allMatch(letter -> letter.left() > 15 && letter.right() < 196 && letter.bottom() < 291);
        }
    }

    private byte[] paper() {
        return installer.browser().accept("application/pdf").get(record + "/record.pdf").then().statusCode(200).contentType("application/pdf").extract().asByteArray();
    }

    private JsonSchema schema() {
        return JsonSchemaFactory.getInstance(SpecVersion.VersionFlag.V202012).getSchema(installer.request().get("/static/handover-record.schema.json").asString());
    }

    /** Against the schema that is served, with all optional parts of it: JSON Schema 2020-12, by a validator that is not ours. */
    @Test
    void fileKeepsToTheSchemaThatIsServed() {
        JsonSchema published = schema();
        String empty = installer.request().get(record + "/record.json").asString();
        fill();
        String full = installer.request().get(record + "/record.json").asString();

        assertThat(published.validate(empty, InputFormat.JSON)).isEmpty();
        assertThat(published.validate(full, InputFormat.JSON)).isEmpty();
        assertThat(published.validate(full.replace("\"grade\":\"WITHIN\"", "\"grade\":\"PASS\""), InputFormat.JSON)).isNotEmpty();
        assertThat(published.validate(full.replace("\"lowerBound\":true", "\"lowerBound\":false"), InputFormat.JSON)).isNotEmpty();
        assertThat(full).doesNotContain("B. Marsh");
    }

    /** The file says of notices what the page says; without them it is not the format. */
    @Test
    void fileHasTheNoticesOfThePage() {
        fill();
        String file = installer.request().get(record + "/record.json").asString();
        JsonPath json = JsonPath.from(file);
        assertThat(json.getList("notices.regulation")).containsExactly("514.8.1", "514.9.1", "514.11.1", "514.12.1", "514.12.2", "514.13.1", "514.15.1");
        assertThat(json.getString("notices[0].text")).isEqualTo("Way 4: RCBO C16, 30 mA.");
        assertThat(json.getString("notices[0].place")).isEqualTo("at the device");
        assertThat(json.getMap("notices[0]")).as("it is needed here").doesNotContainKey("only");
        assertThat(json.getString("notices[6].only")).isEqualTo("where there is generation on site");
        String page = installer.browser().get(record + "/figures").asString();
        assertThat(json.<String>getList("notices.text")).allSatisfy(text -> assertThat(page).contains(text));

        JsonSchema published = schema();
        assertThat(published.validate(file, InputFormat.JSON)).isEmpty();
        assertThat(published.validate(file.replace("\"notices\":", "\"signs\":"), InputFormat.JSON)).isNotEmpty();
        assertThat(published.validate(file.replace("\"regulation\":\"514.8.1\"", "\"regulation\":\"8.1\""), InputFormat.JSON)).isNotEmpty();

        form(installer, page(installer)).formParam("section", "DEVICE").formParam("device", "MCB").post(record);
        assertThat(JsonPath.from(installer.request().get(record + "/record.json").asString()).getList("notices.regulation")).doesNotContain("514.12.2").hasSize(6);
    }

    @Test
    void whatComesDueStandsWithTheSiteAndInACalendarWhoseAddressCanBeEnded() {
        fill();
        SignedIn responsible = signedByBoth();

        assertThat(responsible.browser().get("/sites/" + site + "/dates").asString()).contains("2027-05-25", "Press the test button", "2028-04-30", "Replace in its content: pads",
                "2029-12-01", "Have its circuit inspected");
        String made = responsible.browser().formParam("do", "make").post("/sites/" + site + "/dates/calendar").asString();
        String address = java.util.regex.Pattern.compile("/dates/[A-Za-z0-9_-]{22}/calendar.ics").matcher(made).results().findFirst().orElseThrow().group();
        Response file = RestAssured.get(address);
        assertThat(file.contentType()).startsWith("text/calendar");
        assertThat(file.asString()).contains("DTSTART;VALUE=DATE:20270525", "DTSTART;VALUE=DATE:20280430", "DTSTART;VALUE=DATE:20291201");
        assertThat(installer.browser().formParam("do", "make").post("/sites/" + site + "/dates/calendar").statusCode()).isEqualTo(403);
        responsible.browser().formParam("do", "end").post("/sites/" + site + "/dates/calendar");
        assertThat(RestAssured.given().redirects().follow(false).get(address).statusCode()).isEqualTo(404);
    }

    @Test
    void cabinetIsPutIntoServiceWithAnEnd() {
        Response refused = installer.browser().formParam("lasts", "forever").post(record + "/commissioning");
        assertThat(refused.statusCode()).isEqualTo(422);

        installer.browser().formParam("lasts", "PT4H").post(record + "/commissioning");
        assertThat(installer.browser().get(record + "/proof").asString()).contains("Nobody is called for this cabinet until 12:00");
        clock.advance(Duration.ofHours(4));
        assertThat(installer.browser().get(record + "/proof").asString()).doesNotContain("Nobody is called for this cabinet until");
        assertThat(installer.browser().post(record + "/proof").statusCode()).as("nothing watches it").isEqualTo(422);
    }

    private void fill() {
        RequestSpecification form = form(installer, page(installer));
        Map<String, String> all = new HashMap<>();
        HandoverFixture.example().forEach((field, typed) -> all.put(field.key(), typed));
        assertThat(form.formParams(all).post(record).statusCode()).isEqualTo(303);
    }

    private String page(SignedIn who) {
        return who.browser().get(record).asString();
    }

    private static RequestSpecification form(SignedIn who, String page) {
        return who.browser().contentType("application/x-www-form-urlencoded; charset=UTF-8").formParam("version", revision(page));
    }

    private static String revision(String page) {
        return java.util.regex.Pattern.compile("name=\"version\" value=\"(\\d+)\"|data-revision=\"(\\d+)\"").matcher(page).results().findFirst()
                .map(found -> found.group(1) == null ? found.group(2) : found.group(1)).orElseThrow();
    }
}
