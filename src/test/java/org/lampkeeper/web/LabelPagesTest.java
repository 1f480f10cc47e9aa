package org.lampkeeper.web;

import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import com.google.zxing.ChecksumException;
import com.google.zxing.FormatException;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.report.QrCodeTest;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.hamcrest.Matchers.startsWith;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** The label on a cabinet says where, the phone says who, and opening it records nothing. */
@QuarkusTest
@TestProfile(WithDemo.class)
class LabelPagesTest {

    private static final Pattern CODE = Pattern.compile("viewBox=\"0 0 (\\d+) \\d+\" role=\"img\" aria-label=\"Code of ([^\"]+?) for the camera[^>]*><path d=\"([^\"]+)\"");

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;

    private SignedIn installer;
    private SignedIn staff;
    private String phone;
    private String labels;

    @BeforeEach
    void cabinetsWithoutLabels() {
        clock.stopAt(NOW);
        fixture.allLit();
        for (String table : List.of("cabinet_label", "check_record", "check_asked", "check_due", "check_plan")) {
            fixture.run("DELETE FROM " + table);
        }
        installer = SignedIn.as(Role.INSTALLER, fixture.site(SITE));
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        phone = staff.browser().post("/people/" + staff.personId() + "/phones/this").cookie(PhonePagesTest.COOKIE);
        labels = "/sites/" + fixture.site(SITE) + "/labels";
    }

    @Test
    void labelsAreMadeOnceAndTheirCodesAreReadBackAsTheirAddresses() {
        installer.browser().get(labels).then().statusCode(200).body(containsString("No cabinet of North Stair has a label yet."));
        installer.browser().post(labels).then().statusCode(303);
        String first = code(CABINET);
        installer.browser().post(labels).then().statusCode(303);

        assertThat(code(CABINET)).as("it is on the wall").isEqualTo(first).matches("/at/[A-Za-z0-9_-]{22}");
        installer.browser().get(labels).then().body(containsString("Lit: the supply is there.")).body(containsString(fixture.text("SELECT code FROM cabinet WHERE name = ?", CABINET)))
                .body(containsString(fixture.text("SELECT lamp_place FROM cabinet WHERE name = ?", CABINET))).body(not(containsString("Make labels for")));
        assertThat(fixture.number("SELECT COUNT(DISTINCT code) FROM cabinet_label")).isEqualTo(fixture.number("SELECT COUNT(*) FROM cabinet_label"));
    }

    @Test
    void sheetsOfASiteArePrintedForWhoeverMaySeeIt() {
        staff.browser().get(labels + ".pdf").then().statusCode(422).body(containsString("make labels first"));
        installer.browser().post(labels);

        byte[] paper = staff.browser().get(labels + ".pdf?tell=Harbour office, 01632 960010&supply=230 V AC").then().statusCode(200).contentType("application/pdf")
                .header("Content-Disposition", startsWith("inline")).extract().asByteArray();

        try (PaperPages pages = new PaperPages(paper)) {
            assertThat(pages.text()).contains("Harbour office, 01632 960010", "230 V AC");
            assertThat(pages.code(0, 12, 12, 100, 70)).endsWith(code("North Stair 1"));
        }
    }

    @Test
    void whatALabelCannotTakeIsSaidBesideTheField() {
        installer.browser().post(labels);

        staff.browser().get(labels + ".pdf?tell=" + "x".repeat(61) + "&supply=").then().statusCode(422).body(containsString("61 characters, a label takes 60"))
                .body(containsString("Missing: as 230 V AC 50 Hz")).body(containsString("x".repeat(61)));
    }

    @Test
    void onlyWhoeverLooksAfterCabinetsMakesAndReplacesLabels() {
        staff.browser().post(labels).then().statusCode(403);
        installer.browser().post(labels).then().statusCode(303);

        String lookCode = fixture.text("SELECT look_code FROM cabinet_label WHERE cabinet_id = ?", fixture.cabinet(CABINET));
        String printed = lookCode.substring(0, 3) + " " + lookCode.substring(3);
        installer.browser().get(labels).then().body(containsString(printed));
        staff.browser().get(labels).then().statusCode(200).body(not(containsString("Replace it"))).body(not(containsString(printed)))
                .body(containsString("shown to whoever prints the labels"));
        staff.browser().post("/cabinets/" + fixture.cabinet(CABINET) + "/label").then().statusCode(403);
    }

    @Test
    void enrolledPhoneIsLedToItsLookAndNothingIsRecordedByThat() {
        installer.browser().post(labels);
        isAsked(900_900);
        String address = code(CABINET);

        String look = phone().get(address).then().statusCode(303).header("Location", containsString("/c/")).extract().header("Location");

        phone().get(look).then().statusCode(200).body(containsString("Is the lamp of North Stair 2 lit?")).body(containsString("for " + staff.name()));
        phone().head(address).then().statusCode(303);
        assertThat(fixture.number("SELECT COUNT(*) FROM check_record")).isZero();
    }

    @Test
    void phoneWithoutALookReadsWhatIsDueWhen() {
        installer.browser().post(labels);
        String address = code(CABINET);
        phone().get(address).then().statusCode(200).body(containsString("You are asked to look at nothing of North Stair 2 just now."))
                .body(containsString("No look is planned here."));
        isAsked(900_900);
        fixture.run("UPDATE check_due SET opened_at = NULL, opens_at = ? WHERE id = 900900", NOW.plusSeconds(3600));

        phone().get(address).then().statusCode(200).body(containsString("Next: look at the lamp, from 03:45 to 04:45."));
    }

    @Test
    void whoeverStandsThereSaysWhatTheySeeWithNothingDue() {
        installer.browser().post(labels);
        String address = code(CABINET);
        phone().get(address).then().statusCode(200).body(containsString("You stand before it: what do you see?")).body(not(containsString("NOT_SEEN")));

        phone().formParam("answer", "NOT_SEEN").post(address).then().statusCode(400);
        phone().formParam("answer", "OUT").formParam("note", "x".repeat(501)).post(address).then().statusCode(422).body(containsString("x".repeat(501)))
                .body(containsString("Nothing was recorded yet"));
        stranger().formParam("answer", "OUT").post(address).then().statusCode(403);
        assertThat(fixture.number("SELECT COUNT(*) FROM check_record")).isZero();
        fixture.run("UPDATE sensor_status SET reading = 'UNKNOWN' WHERE cabinet_id = ?", fixture.cabinet(CABINET));
        String look = phone().formParam("answer", "OUT").formParam("note", "dark").post(address).then().statusCode(303).extract().header("Location");

        phone().get(look).then().statusCode(200).body(containsString("Recorded at 02:45: the lamp is out. Your note: dark.")).body(containsString("What to do now"))
                .body(containsString("Nothing was due for you: this is kept as a look of its own.")).body(not(containsString("I could not see it")));
        installer.browser().get("/sites/" + fixture.site(SITE) + "/checks").then().body(containsString("of their own accord at its label"));
        installer.browser().get("/cabinets/" + fixture.cabinet(CABINET) + "/checks?month=2026-11").then().body(containsString("of their own accord"));
        installer.browser().accept("text/csv").get("/sites/" + fixture.site(SITE) + "/checks.csv?month=2026-11").then().body(containsString(",OUT," + staff.name() + ","))
                .body(containsString(",no,label"));
    }

    @Test
    void phoneWithTwoLooksChooses() {
        installer.browser().post(labels);
        isAsked(900_900);
        isAsked(900_902);

        phone().get(code(CABINET)).then().statusCode(200).body(containsString("You are asked to look at 2 things of North Stair 2."));
    }

    @Test
    void strangerReadsWhatToDo() {
        installer.browser().post(labels);
        isAsked(900_900);

        stranger().get(code(CABINET)).then().statusCode(403).contentType(startsWith("text/html")).body(containsString("This is North Stair 2. Who are you?"))
                .body(containsString("enrols this phone once")).body(not(containsString("/c/")));
        stranger().get("/at/none").then().statusCode(404).body(containsString("This label does not count any more."));
    }

    @Test
    void replacedLabelLeadsNowhere() {
        installer.browser().post(labels);
        String before = code(CABINET);
        String other = code("North Stair 1");

        installer.browser().post("/cabinets/" + fixture.cabinet(CABINET) + "/label").then().statusCode(303);

        phone().get(before).then().statusCode(404);
        phone().get(code(CABINET)).then().statusCode(200);
        assertThat(code("North Stair 1")).isEqualTo(other);
        assertThat(fixture.number("SELECT COUNT(*) FROM journal_entry WHERE kind = 'cabinet-label-renewed' AND cabinet_id = ? AND body NOT LIKE '%"
                + before.substring(4) + "%'", fixture.cabinet(CABINET))).isPositive();
    }

    private void isAsked(long look) {
        fixture.aLook(look, fixture.cabinet(CABINET), staff.personId(), tokens);
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (?, ?, ?, TRUE)", look, staff.personId(), NOW.minusSeconds(60));
    }

    /** The address that a camera reads from the label of this cabinet. */
    private String code(String cabinet) {
        Matcher found = CODE.matcher(installer.browser().get(labels).asString());
        while (found.find()) {
            if (found.group(2).equals(cabinet)) {
                return read(Integer.parseInt(found.group(1)), found.group(3)).replaceFirst("https?://[^/]+", "");
            }
        }
        throw new AssertionError("there is no label of " + cabinet);
    }

    private static String read(int side, String path) {
        try {
            return QrCodeTest.read(side, path);
        } catch (ChecksumException | FormatException broken) {
            throw new AssertionError("no camera reads this", broken);
        }
    }

    private RequestSpecification phone() {
        return PhonePagesTest.phone(phone);
    }

    private static RequestSpecification stranger() {
        return RestAssured.given().redirects().follow(false).accept("text/html");
    }
}
