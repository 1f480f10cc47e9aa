package org.lampkeeper.web;

import java.util.Map;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** Plans of looks, by the pages: for many cabinets at once, in words that a site manager uses. */
@QuarkusTest
@TestProfile(WithDemo.class)
class CheckPlanPagesTest {

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn manager;
    private SignedIn staff;
    private String plans;

    @BeforeEach
    void siteWithoutAPlan() {
        clock.stopAt(NOW);
        fixture.allLit();
        fixture.run("DELETE FROM check_record");
        fixture.run("DELETE FROM check_asked");
        fixture.run("DELETE FROM check_due");
        fixture.run("DELETE FROM check_plan");
        fixture.run("DELETE FROM site_closed_day");
        fixture.run("DELETE FROM site_holidays");
        manager = SignedIn.as(Role.DUTY_MANAGER, fixture.site(SITE));
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        plans = "/sites/" + fixture.site(SITE) + "/checks/plans";
    }

    @Test
    void planIsGivenToManyCabinetsAtOnce() {
        staff.browser().get(plans).then().statusCode(200).body(containsString("Nobody is asked to look at the lamps at North Stair."))
                .body(not(containsString("Add a plan")));
        manager.browser().get(plans + "/new").then().statusCode(200).body(containsString("value=\"09:00\""));

        filled(Map.of("pace", "WEEKS", "every", "2", "days.MONDAY", "yes", "days.THURSDAY", "yes")).formParam("cabinets." + fixture.cabinet("North Stair 1"), "yes")
                .formParam("cabinets." + fixture.cabinet("North Stair 2"), "yes").post(plans + "/new").then().statusCode(303).header("Location", containsString(plans));

        assertThat(fixture.number("SELECT COUNT(*) FROM check_plan WHERE rule = 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TH'")).isEqualTo(2);
        manager.browser().get(plans).then().statusCode(200).body(containsString("Nobody is asked to look at Stair telephone."))
                .body(containsString("every 2 weeks on Mon and Thu, 09:00 to 11:30")).body(containsString("next on 26 Nov 09:00"))
                .body(containsString("whoever is on as site duty is asked; on closed days there is none"));
    }

    @Test
    void whatIsWrongStandsBesideItsFieldAndNothingIsStored() {
        filled(Map.of("opens", "nine", "every", "2", "asked", "", "graceMinutes", "999")).post(plans + "/new").then().statusCode(422)
                .body(containsString("must be written like 09:00")).body(containsString("Is for weeks and months")).body(containsString("Nobody is chosen"))
                .body(containsString("0 to 720")).body(containsString("value=\"nine\""));
        filled(Map.of()).post(plans + "/new").then().statusCode(422).body(containsString("No cabinet is chosen"));
        filled(Map.of("whenClosed", "SOMEBODY_ELSE")).post(plans + "/new").then().statusCode(422).body(containsString("choose who is asked then"));

        assertThat(fixture.number("SELECT COUNT(*) FROM check_plan")).isZero();
    }

    @Test
    void planIsChangedOnceAndEnded() {
        fixture.aPlanOfLooks(900_900, fixture.cabinet("North Stair 1"));
        fixture.run("UPDATE check_plan SET rule = 'FREQ=MONTHLY;BYDAY=1FR' WHERE id = 900900");
        String plan = "/sites/checks/plans/900900";

        manager.browser().get(plan + "/edit").then().statusCode(200).body(containsString("as it is: FREQ=MONTHLY;BYDAY=1FR"));
        filled(Map.of("version", "0", "pace", "AS_IT_IS", "closes", "10:15")).post(plan + "/edit").then().statusCode(303);
        filled(Map.of("version", "0", "pace", "EVERY_DAY")).post(plan + "/edit").then().statusCode(409).body(containsString("10:15"));
        assertThat(fixture.text("SELECT rule FROM check_plan WHERE id = 900900")).isEqualTo("FREQ=MONTHLY;BYDAY=1FR");

        manager.browser().get(plan + "/end").then().statusCode(200).body(containsString("Is North Stair 1 not to be looked at by this plan any more?"));
        manager.browser().post(plan + "/end").then().statusCode(303);
        manager.browser().get(plan + "/edit").then().statusCode(404);
        manager.browser().get(plans).then().body(not(containsString("10:15")));
    }

    @Test
    void closedDaysAndPublicHolidaysAreOfTheSite() {
        String checks = plans.replace("/plans", "");

        manager.browser().formParam("day", "2026-12-05").formParam("name", "stocktaking").post(checks + "/closed-days/new").then().statusCode(303);
        manager.browser().formParam("day", "").formParam("name", "").post(checks + "/closed-days/new").then().statusCode(422);
        manager.browser().formParam("calendar", "gb_sct").post(checks + "/holidays").then().statusCode(303);
        manager.browser().formParam("calendar", "nowhere").post(checks + "/holidays").then().statusCode(422).body(containsString("value=\"nowhere\""));
        manager.browser().get(plans).then().body(containsString("2026-12-05, stocktaking")).body(containsString("Scotland"));
        manager.browser().formParam("day", "2026-12-05").post(checks + "/closed-days/remove").then().statusCode(303);

        manager.browser().get(plans).then().body(not(containsString("stocktaking")));
    }

    @Test
    void whoeverMayNotChangeWhoIsToldChangesNoPlan() {
        fixture.aPlanOfLooks(900_900, fixture.cabinet("North Stair 1"));
        Response refused = staff.browser().post("/sites/checks/plans/900900/end");

        assertThat(refused.statusCode()).isEqualTo(403);
        SignedIn.as(Role.ADMINISTRATOR, fixture.site("Cray Point")).browser().get("/sites/checks/plans/900900/edit").then().statusCode(404);
    }

    private RequestSpecification filled(Map<String, String> otherwise) {
        Map<String, String> fields = new java.util.HashMap<>(Map.of("kind", "LAMP", "pace", "EVERY_DAY", "every", "1", "first", "2026-11-25", "opens", "09:00",
                "closes", "11:30", "graceMinutes", "30", "whenClosed", "SKIP", "asked", "SITE_DUTY"));
        fields.put("askedWhenClosed", "nobody");
        fields.putAll(otherwise);
        return manager.browser().formParams(fields);
    }
}
