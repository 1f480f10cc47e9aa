package org.lampkeeper.web.csv;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.UUID;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;

/** Files in and out through the pages; runs on both databases. */
abstract class ImportContract {

    private static final String HOSTILE = "=cmd|' /C calc'!A0;\"<script>,";

    @Inject
    MovedClock clock;
    @Inject
    Register register;
    @Inject
    Sensors sensors;

    private final String own = UUID.randomUUID().toString().substring(0, 7).toUpperCase(Locale.ROOT);
    private SignedIn administrator;

    @BeforeEach
    void situation() {
        clock.stopAt(Instant.parse("2026-11-25T02:45:00Z"));
        administrator = SignedIn.as(Role.ADMINISTRATOR);
    }

    @Test
    void installationIsTakenFromThreeFilesAndComesOutTheSame() {
        String sites = "name;address;zone;access;intake;electricianName;electricianPhone\r\n"
                + "Quay " + own + ";a;Europe/London;" + quoted(HOSTILE) + ";i;B. Quill;'+44 7700 900103\r\n"
                + "Slip " + own + ";a;Europe/Vienna;x;i;;\r\n";
        page(send("sites", sites)).body(containsString("can be taken; nothing of it is stored yet")).body(containsString("2 rows new"));
        assertThat(site("Quay " + own)).isNull();
        taken(send("sites", sites));
        assertThat(site("Quay " + own).access()).isEqualTo(HOSTILE);
        assertThat(site("Quay " + own).electrician().orElseThrow().phone()).contains("+44 7700 900103");

        String cabinets = String.join(",", CsvKind.CABINETS.columns()) + "\n"
                + "A" + own + ",Quay %1$s,One %1$s,p,l,defibrillator,yes,\"2,5\",50,2028-03-31 pads; 2029-01-31 battery,,Board A,kiosk,key 7,1,RCBO,C,16,30,\"2,5 mm²\",3,below\n"
                + "B" + own + ",Slip %1$s,Two %1$s,'-x,l,eyewash,no,,,,Quay %1$s,Board A,,,2,MCB,B,6,,cable,3,below\n";
        taken(send("cabinets", cabinets.formatted(own)));
        String devices = "deviceId,cabinet,baseName\nd1-%1$s,A%1$s,urn:dev:ow:1%1$s:\nd2-%1$s,B%1$s,urn:dev:ow:2%1$s:\n".formatted(own);
        String run = taken(send("sensors", devices));

        page(run).body(containsString("The secrets of 2 new sensors"));
        String secrets = administrator.browser().formParam("run", run.replaceAll("\\D", "")).post("/import/secrets").then().statusCode(200)
                .header("Content-Disposition", containsString("attachment")).extract().asString();
        Matcher line = Pattern.compile("d1-" + own + ",([0-9a-f]{32}),").matcher(secrets);
        assertThat(line.find()).as(secrets).isTrue();
        assertThat(sensors.accepts("d1-" + own, line.group(1))).isTrue();
        page(run).body(not(containsString("The secrets of")));
        administrator.browser().formParam("run", run.replaceAll("\\D", "")).post("/import/secrets").then().statusCode(404);

        SignedIn there = SignedIn.as(Role.ADMINISTRATOR, site("Quay " + own).id(), site("Slip " + own).id());
        for (CsvKind kind : CsvKind.values()) {
            String out = export(there, kind, "");
            assertThat(out.lines().count()).isEqualTo(3);
            assertThat(out).startsWith("\uFEFF" + kind.columns().get(0)).doesNotContainPattern("(?m)(^|[,;])[=+@]");
            String again = send(there, kind.words(), out);
            page(there, again).body(containsString("changes nothing")).body(containsString("2 as registered already"));
            page(there, send(there, kind.words(), export(there, kind, "semicolon"))).body(containsString("changes nothing"));
            assertThat(export(there, kind, "")).isEqualTo(out);
        }
        String changed = export(there, CsvKind.CABINETS, "").replace(",kiosk,", ",shed,").replace(",16,30,", ",20,30,").replace("eyewash",
                "telephone");
        assertThat(changed).contains("shed", ",20,30,", "telephone");
        String change = taken(there, send(there, "cabinets", changed));
        page(there, change).body(containsString("2 rows changed"));
        assertThat(export(there, CsvKind.CABINETS, "")).isEqualTo(changed);
    }

    @Test
    void everythingThatIsWrongIsToldByRowAndColumnAndNothingIsStored() {
        register(own);
        String cabinets = String.join(",", CsvKind.CABINETS.columns()) + "\n"
                + "good" + own + ",Base " + own + ",One,p,l,k,maybe,warm,,pads,,Board A,k,a,1,FUSE,E,16.5,,c,14,f\n"
                + "C" + own + ",Nowhere,Two,p,l,k,,,,,,Board A,k,a,2,MCB,B,6,,c,3,f\n"
                + "D" + own + ",Base " + own + ",Three,p,l,k,,,,,,Board A,k,a,3,RCBO,B,6,,c,3,f\n"
                + "E" + own + ",Base " + own + ",Three,p,l,k,,,,,,Board A,other,a,3,MCB,B,6,,c,3,f\n";

        String run = send("cabinets", cabinets);

        String html = page(run).body(containsString("cannot be taken")).body(not(containsString("/import/take"))).extract().asString();
        assertThat(told(html)).contains("row 2|code|code must be 1 to 12 capital letters, digits and hyphens",
                "row 2|limitsAsked|\"maybe\", must be yes or no",
                "row 2|device|\"FUSE\", must be RCBO or MCB", "row 2|ratingAmpere|\"16.5\", must be a whole number",
                        "row 2|fuseAmpere|fuse 14 A, must be 1 to 13 A",
                "row 3|site|\"Nowhere\", no site of this name is registered; import sites first",
                "row 4|residualMilliampere|residual current is missing, an RCBO must have one",
                "row 5|name|stands in row 4 already, must stand in one row only",
                "row 5|way|stands in row 4 already, must stand in one row only",
                "row 5|boardPlace|differs from what row 2 says of the same board, must be the same or empty");
        administrator.browser().formParam("run", run.replaceAll("\\D", "")).post("/import/take").then().statusCode(303);
        await().untilAsserted(() -> page(run).body(containsString("cannot be taken")));
        assertThat(register.boardsOfSite(site("Base " + own).id())).isEmpty();
    }

    @Test
    void whatIsRefusedWhileItIsTakenTakesNothingOfTheFile() {
        register(own);
        String head = String.join(",", CsvKind.CABINETS.columns()) + "\n";
        String row = "%2$s%1$s,Base %1$s,Cabinet %2$s,p,l,k,no,,,,,Board A,k,a,%3$d,MCB,B,6,,c,3,f\n";
        taken(send("cabinets", head + row.formatted(own, "H", 1) + row.formatted(own, "I", 2)));

        // Two that change their ways with each other: right at the end of it, wrong on the way there.
        String run = send("cabinets", head + row.formatted(own, "J", 3) + row.formatted(own, "H", 2) + row.formatted(own, "I", 1));
        page(run).body(containsString("1 row new")).body(containsString("2 rows changed"));
        administrator.browser().formParam("run", run.replaceAll("\\D", "")).post("/import/take").then().statusCode(303);
        await().untilAsserted(() -> page(run).body(containsString("cannot be taken")).body(containsString("row 3"))
                .body(containsString("feeds another cabinet")));

        assertThat(register.sheetsOfSite(site("Base " + own).id())).extracting(sheet -> sheet.code()).containsExactly("H" + own, "I" + own);
    }

    @Test
    void whatIsRegisteredMeanwhileIsLookedAtAnew() {
        String run = send("sites",
                "name,address,zone,access,intake\nFirst %1$s,a,Europe/London,x,i\nSecond %1$s,a,Europe/London,x,i\n".formatted(own));
        page(run).body(containsString("2 rows new"));
        taken(send("sites", "name,address,zone,access,intake\nSecond %1$s,b,Europe/London,x,i\n".formatted(own)));

        page(run).body(containsString("1 row new")).body(containsString("1 row changed"));
    }

    @Test
    void reachHoldsForFilesAsForEverything() {
        register(own);
        register("N" + own);
        long site = site("Base " + own).id();
        SignedIn installer = SignedIn.as(Role.INSTALLER, site);

        assertThat(export(installer, CsvKind.SITES, "")).contains("Base " + own).doesNotContain("Base N" + own);
        String cabinets = String.join(",", CsvKind.CABINETS.columns()) + "\n"
                + "F" + own + ",Base N" + own + ",One,p,l,k,,,,,,Board A,k,a,1,MCB,B,6,,c,3,f\n";
        page(installer, send(installer, "cabinets", cabinets)).body(containsString("no site of this name is registered"));
        installer.browser().multiPart("kind", "sites").multiPart("file", "sites.csv", "name\n".getBytes(StandardCharsets.UTF_8),
                "text/csv").post("/import")
                .then().statusCode(403);
        SignedIn responsible = SignedIn.as(Role.RESPONSIBLE_PERSON, site);
        page(responsible, send(responsible, "sites", "name,address,zone,access,intake\nNew %s,a,Europe/London,x,i\n".formatted(own)))
                .body(containsString("you may not register sites"));
        String theirs = send("cabinets", cabinets);
        installer.browser().get(theirs).then().statusCode(404);
        installer.browser().formParam("run", theirs.replaceAll("\\D", "")).post("/import/take").then().statusCode(404);
        SignedIn.as(Role.SITE_STAFF, site).browser().get("/import").then().statusCode(403);
    }

    @Test
    void manyRowsAreTakenAndLeftAsTheyAreTheSecondTime() {
        register(own);
        StringBuilder file = new StringBuilder(String.join(",", CsvKind.CABINETS.columns())).append('\n');
        int rows = 250;
        for (int i = 0; i < rows; i++) {
            file.append("G%1$s-%2$d,Base %1$s,Cabinet %2$d,p,l,k,no,,,,,Board %3$d,k,a,%4$d,MCB,B,6,,c,3,f\n".formatted(own, i, i / 20,
                    i % 20));
        }
        String run = taken(send("cabinets", file.toString()));

        page(run).body(containsString(rows + " rows new"));
        assertThat(register.sheetsOfSite(site("Base " + own).id())).hasSize(rows);
        page(send("cabinets", file.toString())).body(containsString(rows + " as registered already"));
    }

    @Test
    void fileThatIsNoneIsAskedForAgain() {
        administrator.browser().multiPart("kind", "sites").post("/import").then().statusCode(422).body(containsString("choose a file"));
        administrator.browser().multiPart("kind", "gulls").multiPart("file", "x.csv", new byte[] {1}, "text/csv").post("/import").then()
                .statusCode(422)
                .body(containsString("Say what the file holds"));
        administrator.browser().multiPart("kind", "sites").multiPart("file", "x.csv", new byte[] {(byte) 0xe9, 10}, "text/csv")
                .post("/import").then()
                .statusCode(422).body(containsString("UTF-8"));
        administrator.browser().multiPart("kind", "sites").multiPart("file", "x.csv", new byte[CsvFile.MOST_BYTES + 1], "text/csv")
                .post("/import").then()
                .statusCode(413).body(containsString("split it"));
        administrator.browser().get("/import").then().statusCode(200).body(containsString("Which file is to be taken"));
    }

    private void register(String name) {
        taken(send("sites", "name,address,zone,access,intake\nBase %s,a,Europe/London,x,i\n".formatted(name)));
    }

    private SiteSheet site(String name) {
        return register.sites().stream().filter(site -> site.name().equals(name)).findFirst().orElse(null);
    }

    private String send(String kind, String text) {
        return send(administrator, kind, text);
    }

    private static String send(SignedIn sender, String kind, String text) {
        String location = sender.browser().multiPart("kind", kind).multiPart("file", "file.csv", text.getBytes(StandardCharsets.UTF_8),
                "text/csv")
                .post("/import").then().statusCode(303).extract().header("Location");
        return location.substring(location.indexOf("/import"));
    }

    private String taken(String run) {
        return taken(administrator, run);
    }

    private static String taken(SignedIn sender, String run) {
        page(sender, run).body(containsString("/import/take"));
        sender.browser().formParam("run", run.replaceAll("\\D", "")).post("/import/take").then().statusCode(303);
        sender.browser().formParam("run", run.replaceAll("\\D", "")).post("/import/take").then().statusCode(303);
        await().atMost(java.time.Duration.ofSeconds(150)).untilAsserted(() -> page(sender, run).body(containsString("is taken.")));
        return run;
    }

    private ValidatableResponse page(String run) {
        return page(administrator, run);
    }

    private static ValidatableResponse page(SignedIn reader, String run) {
        return reader.browser().get(run).then().statusCode(200);
    }

    private static String export(SignedIn reader, CsvKind kind, String separator) {
        return new String(reader.request().queryParam("separator", separator).get("/export/" + kind.words() + ".csv").then().statusCode(200)
                .header("Content-Disposition", containsString("attachment")).extract().asByteArray(), StandardCharsets.UTF_8);
    }

    private static String quoted(String text) {
        return "\"" + text.replace("\"", "\"\"") + "\"";
    }

    private static List<String> told(String html) {
        List<String> lines = new ArrayList<>();
        Pattern.compile("<tr><th scope=\"row\">(.*?)</th><td>(.*?)</td><td>(.*?)</td></tr>").matcher(html).results()
                .forEach(row -> lines.add((row.group(1) + "|" + row.group(2) + "|" + row.group(3)).replace("&quot;", "\"")
                        .replace("&#39;", "'")));
        return lines;
    }
}
