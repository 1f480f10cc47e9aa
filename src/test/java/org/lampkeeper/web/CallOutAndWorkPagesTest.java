package org.lampkeeper.web;

import java.time.Duration;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.ValidatableResponse;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.Registration;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.PlantFormsTest.errorOf;
import static org.lampkeeper.web.PlantFormsTest.valueOf;
import static org.lampkeeper.web.WebFixture.NOW;

@QuarkusTest
@TestProfile(WithDemo.class)
class CallOutAndWorkPagesTest {

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;
    @Inject
    CallOutLists lists;
    @Inject
    Registration registration;

    private SignedIn administrator;
    private long site;
    private long teal;
    private long osk;
    private CallOutList before;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.allLit();
        administrator = SignedIn.as(Role.ADMINISTRATOR);
        site = fixture.site("North Stair");
        teal = fixture.person("M. Teal");
        osk = fixture.person("R. Osk");
        before = lists.sheet(site).list();
        registration.setCallOutList(site, new CallOutList(List.of(new Turn(teal, Duration.ZERO), new Turn(osk, Duration.ofSeconds(150))),
                Duration.ofMinutes(30)), By.nobody(NOW));
    }

    @AfterEach
    void asItWas() {
        registration.setCallOutList(site, before, By.nobody(NOW));
        fixture.run("DELETE FROM suppression");
    }

    @Test
    void listIsDrawnInItsOrderWithItsTimes() {
        page("/sites/" + site + "/call-out").body(containsString("M. Teal is told first about North Stair; one turn follows."))
                .body(containsString("at once")).body(containsString("2.5 min")).body(containsString("from the first again"));
    }

    @Test
    void movingAndAddingStoresNothingUntilItIsSaved() {
        Map<String, String> form = form("down.0");
        String moved = post("/sites/" + site + "/call-out", form).statusCode(200).body(containsString("Not saved yet")).extract().asString();
        assertThat(valueOf(moved, "turns.0.personId")).isEqualTo(Long.toString(osk));
        assertThat(valueOf(moved, "turns.0.after")).isEqualTo("2,5");
        assertThat(lists.sheet(site).list().turns().get(0).personId()).hasValue(teal);

        form.put("do", "add");
        String added = post("/sites/" + site + "/call-out", form).statusCode(200).extract().asString();
        assertThat(valueOf(added, "rows")).isEqualTo("3");
        form.put("do", "remove.0");
        String removed = post("/sites/" + site + "/call-out", form).statusCode(200).extract().asString();
        assertThat(valueOf(removed, "rows")).isEqualTo("1");
        assertThat(valueOf(removed, "turns.0.personId")).isEqualTo(Long.toString(osk));
        assertThat(lists.sheet(site).list().turns()).hasSize(2);
    }

    @Test
    void turnMayNameARole() {
        Map<String, String> form = form("save");
        form.put("turns.0.personId", "duty-DUTY_MANAGER");
        form.put("lastResort", "yes");

        post("/sites/" + site + "/call-out", form).statusCode(303);

        assertThat(lists.ofSite(site).turns().get(0)).isEqualTo(new Turn(new Whom.OnDutyFor(DutyRole.DUTY_MANAGER), Duration.ZERO));
        assertThat(lists.ofSite(site).lastResort()).isTrue();
        page("/sites/" + site + "/call-out").body(containsString("The duty manager")).body(containsString("then everybody of the site"));
        form.put("turns.0.personId", "duty-NOBODY");
        post("/sites/" + site + "/call-out", form).statusCode(422).body(containsString("othing is chosen"));
    }

    @Test
    void savedListIsWhoIsTold() {
        Map<String, String> form = form("save");
        form.put("turns.0.personId", Long.toString(osk));
        form.put("turns.0.after", "0");
        form.put("turns.1.personId", Long.toString(teal));
        form.put("turns.1.after", "7.5");

        post("/sites/" + site + "/call-out", form).statusCode(303);

        assertThat(lists.ofSite(site)).isEqualTo(new CallOutList(List.of(new Turn(osk, Duration.ZERO), new Turn(teal, Duration.ofSeconds(450))),
                Duration.ofMinutes(30), 2, false));
        post("/sites/" + site + "/call-out", form).statusCode(409).body(containsString("Changed by " + administrator.name()));
    }

    @ParameterizedTest
    @CsvSource({"turns.1.after, soon, is not a number", "turns.1.after, -1, must be 0 to 1440 min", "turns.1.after, 1441, must be 0 to 1440 min",
            "turns.1.after, '', Is empty", "turns.0.personId, 999999, Nothing is chosen", "repeatAfter, 0, must be 1 to 1440 min"})
    void whatIsWrongWithAListStandsBesideItsField(String field, String typed, String problem) {
        Map<String, String> form = form("save");
        form.put(field, typed);

        String html = post("/sites/" + site + "/call-out", form).statusCode(422).extract().asString();

        assertThat(errorOf(html, field)).contains(problem);
        assertThat(lists.sheet(site).list().turns()).hasSize(2);
    }

    @Test
    void operatorsListIsOnlyForWhoeverOperates() {
        page("/sites/0/call-out").body(containsString("Lampkeeper itself"));
        SignedIn.as(Role.DUTY_MANAGER).browser().get("/sites/0/call-out").then().statusCode(404);
        SignedIn.as(Role.SITE_STAFF, site).browser().get("/sites/" + site + "/call-out").then().statusCode(200)
                .body(not(containsString("Save the list")));
        SignedIn.as(Role.SITE_STAFF, site).browser().formParams(form("save")).post("/sites/" + site + "/call-out").then().statusCode(403);
        SignedIn.as(Role.DUTY_MANAGER, fixture.site("Cray Point")).browser().get("/sites/" + site + "/call-out").then().statusCode(404);
    }

    @Test
    void workIsAnnouncedOnTheClocksOfTheSiteListedAndEndedEarly() {
        Map<String, String> form = work();

        post("/sites/" + site + "/work", form).statusCode(303);

        page("/sites/" + site + "/work").body(containsString("Alarms at North Stair are held back until 06:00: work on the supply."))
                .body(containsString("new board")).body(containsString("under way")).body(containsString(administrator.name()));
        page("/sites/" + site).body(containsString("held back until 06:00"));
        long work = fixture.number("SELECT MAX(id) FROM suppression WHERE site_id = ?", site);
        SignedIn.as(Role.SITE_STAFF, site).browser().post("/work/" + work + "/end").then().statusCode(403);
        SignedIn.as(Role.DUTY_MANAGER, fixture.site("Cray Point")).browser().post("/work/" + work + "/end").then().statusCode(404);
        post("/work/" + work + "/end", Map.of()).statusCode(303);
        post("/work/" + work + "/end", Map.of()).statusCode(303);
        page("/sites/" + site + "/work").body(containsString("No work is announced at North Stair: every alarm counts."))
                .body(containsString("ended early at 02:45"));
    }

    @ParameterizedTest
    @CsvSource({"from, 2026-11-24T10:00, The beginning is over", "until, 2026-11-25T02:00, The end is over", "until, 2026-12-25T06:00, longer than 14 days",
            "until, never, is not a day and a time", "from, '', Is empty", "reason, '', Is empty", "where, board-1, Nothing is chosen",
            "kind, NAP, Nothing is chosen"})
    void whatIsWrongWithAnnouncedWorkStandsBesideItsField(String field, String typed, String problem) {
        Map<String, String> form = work();
        form.put(field, typed);

        String html = post("/sites/" + site + "/work", form).statusCode(422).extract().asString();

        assertThat(errorOf(html, field)).contains(problem);
        assertThat(valueOf(html, "until")).isEqualTo(form.get("until"));
        assertThat(fixture.number("SELECT COUNT(*) FROM suppression WHERE site_id = ?", site)).isZero();
    }

    private static Map<String, String> work() {
        return new HashMap<>(Map.of("kind", "ANNOUNCED_WORK", "where", "site", "from", "2026-11-25T02:45", "until", "2026-11-25T06:00", "reason",
                "new board"));
    }

    private Map<String, String> form(String pressed) {
        Map<String, String> form = new HashMap<>(Map.of("rows", "2", "turns.0.personId", Long.toString(teal), "turns.0.after", "0",
                "turns.1.personId", Long.toString(osk), "turns.1.after", "2,5", "repeatAfter", "30", "rounds", "2",
                "do", pressed));
        form.put("version", Integer.toString(lists.sheet(site).version()));
        return form;
    }

    private ValidatableResponse post(String path, Map<String, String> form) {
        return administrator.browser().contentType("application/x-www-form-urlencoded; charset=UTF-8").formParams(form).post(path).then();
    }

    private ValidatableResponse page(String path) {
        return administrator.browser().get(path).then().statusCode(200);
    }
}
