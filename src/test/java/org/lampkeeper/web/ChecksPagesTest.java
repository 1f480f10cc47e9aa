package org.lampkeeper.web;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** Who still has to look today, the sheet of the month, and the same as a file. */
@QuarkusTest
@TestProfile(WithDemo.class)
class ChecksPagesTest {

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;

    private SignedIn staff;
    private String link;
    private String checks;

    @BeforeEach
    void lookThatIsOpen() {
        clock.stopAt(NOW);
        fixture.allLit();
        for (String table : new String[] {"check_record", "check_asked", "check_due", "check_plan"}) {
            fixture.run("DELETE FROM " + table);
        }
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        link = fixture.aLook(900_900, fixture.cabinet(CABINET), fixture.person("M. Teal"), tokens);
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (900900, ?, ?, TRUE)", fixture.person("M. Teal"),
                NOW.minusSeconds(3600));
        checks = "/sites/" + fixture.site(SITE) + "/checks";
    }

    @Test
    void todaySaysWhoWasAskedAndWhatComesNext() {
        staff.browser().get(checks).then().statusCode(200).body(containsString("Nobody has said yet what is with North Stair 2."))
                .body(containsString("open until 04:45")).body(containsString("Asked at 01:45: M. Teal. Asked again at 03:15."))
                .body(containsString("No look has come to its end yet."));

        staff.browser().formParam("answer", "LIT").formParam("note", "").post(link).then().statusCode(303);

        staff.browser().get(checks).then().body(containsString("All that was to be looked at today at North Stair was."))
                .body(containsString("done: lit M. Teal at 02:45")).body(containsString("1 of 1 look was taken on time."));
    }

    @Test
    void monthIsDrawnLikeAPaperSheetAndIsAFileToo() {
        staff.browser().formParam("answer", "OUT").formParam("note", "=smells burnt").post(link).then().statusCode(303);
        staff.browser().formParam("answer", "LIT").formParam("note", "").post(link).then().statusCode(303);

        String sheet = "/cabinets/" + fixture.cabinet(CABINET) + "/checks";
        staff.browser().get(sheet).then().statusCode(200).body(containsString("North Stair 2, November 2026")).body(containsString("Wed 25"))
                .body(containsString("out, tapped wrong, <strong>MT</strong>, 02:45: =smells burnt")).body(containsString("lit, <strong>MT</strong>, 02:45"));
        staff.browser().get(sheet + "?month=2026-10").then().statusCode(200).body(containsString("October 2026")).body(not(containsString("MT")));
        staff.browser().get(sheet + "?month=never").then().statusCode(200).body(containsString("November 2026"));
        String file = staff.request().get(checks + ".csv?month=2026-11").then().statusCode(200).contentType("text/csv").extract().asString();
        assertThat(file).contains("day,cabinet,code,looks_at", "2026-11-25,North Stair 2,", ",OUT,M. Teal,", ",yes,yes,", "'=smells burnt");
    }

    @Test
    void whoeverWasAskedFindsTheirLooksOnAPageOfTheirOwn() {
        staff.browser().get("/me/looks").then().statusCode(200).body(containsString("You are asked to look at nothing just now."));
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (900900, ?, ?, TRUE)", staff.personId(), NOW.minusSeconds(60));

        String page = staff.browser().get("/me/looks").then().statusCode(200).body(containsString("You are asked to look at one thing.")).extract().asString();
        String own = page.replaceAll("(?s).*href=\"(/c/[^\"]+)\".*", "$1");

        staff.browser().get(own).then().statusCode(200).body(containsString("Is the lamp of North Stair 2 lit?"));
    }

    @Test
    void looksOfAnotherSiteAreNotThere() {
        SignedIn elsewhere = SignedIn.as(Role.ADMINISTRATOR, fixture.site("Cray Point"));

        elsewhere.browser().get(checks).then().statusCode(404);
        elsewhere.browser().get("/cabinets/" + fixture.cabinet(CABINET) + "/checks").then().statusCode(404);
        elsewhere.request().get(checks + ".csv").then().statusCode(404);
    }
}
