package org.lampkeeper.web;

import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.UUID;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.restassured.response.Response;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Registration;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.NOW;

/** Who is on at a site: shifts, stand-ins, absences and the fallback, by the pages of whoever plans them. */
@QuarkusTest
class DutyPagesTest {

    @Inject
    Registration registration;
    @Inject
    DutyBook book;
    @Inject
    MovedClock clock;

    private long site;
    private SignedIn manager;
    private SignedIn staff;

    @BeforeEach
    void siteWithAManager() {
        clock.stopAt(NOW);
        site = site("Duty");
        manager = SignedIn.as(Role.DUTY_MANAGER, site);
        staff = SignedIn.as(Role.SITE_STAFF, site);
    }

    private long site(String name) {
        return registration.addSite(new NewSite(name + " " + UUID.randomUUID().toString().substring(0, 8), "1 Mole", ZoneId.of("Europe/London"), "gate code 2468", "transformer house", Optional.empty()),
                By.nobody(NOW)).id();
    }

    private Response get(SignedIn who, String address) {
        return who.browser().get("/sites/" + site + "/duty" + address);
    }

    private Response post(SignedIn who, String address, Map<String, ?> fields) {
        return who.browser().formParams(fields).post("/sites/" + site + "/duty" + address);
    }

    private static String text(Response answer) {
        assertThat(answer.statusCode()).isEqualTo(200);
        return answer.body().asString().replaceAll("<[^>]+>", " ").replaceAll("\\s+", " ");
    }

    private long shift(long person) {
        Response added = post(manager, "/shifts/new", Map.of("role", "SITE_DUTY", "personId", person, "days.MONDAY", "yes", "from", "08:00", "to", "16:00",
                "everyWeeks", "1", "validFrom", "2026-11-02"));
        assertThat(added.statusCode()).isEqualTo(303);
        return book.shifts(site).get(book.shifts(site).size() - 1).shift().id();
    }

    @Test
    void standInIsEnteredSeenAndEndedByWhoeverPlans() {
        long shift = shift(staff.personId());
        assertThat(manager.browser().formParams(Map.of("personId", manager.personId(), "from", "2026-11-30", "until", "2026-12-07"))
                .post("/sites/shifts/" + shift + "/stand-in").statusCode()).isEqualTo(303);

        assertThat(text(get(manager, ""))).contains("stands in from 2026-11-30 until 2026-12-07");
        long id = book.standIns(site).get(0).id();
        assertThat(get(staff, "").body().asString()).doesNotContain("stand-ins/end");
        assertThat(post(staff, "/stand-ins/end", Map.of("standIn", id)).statusCode()).isEqualTo(403);
        assertThat(book.standIns(site)).hasSize(1);

        assertThat(post(manager, "/stand-ins/end", Map.of("standIn", id)).statusCode()).isEqualTo(303);
        assertThat(post(manager, "/stand-ins/end", Map.of("standIn", id)).statusCode()).as("once more does no harm").isEqualTo(303);
        assertThat(text(get(manager, ""))).doesNotContain("stands in from");
        assertThat(post(manager, "/stand-ins/end", Map.of("standIn", "x")).statusCode()).isEqualTo(404);
    }

    @Test
    void standInOfAnotherSiteIsNotEndedFromHere() {
        long shift = shift(staff.personId());
        manager.browser().formParams(Map.of("personId", manager.personId(), "from", "2026-11-30", "until", "2026-12-07"))
                .post("/sites/shifts/" + shift + "/stand-in");
        long elsewhere = site("Elsewhere");
        SignedIn other = SignedIn.as(Role.DUTY_MANAGER, elsewhere);

        other.browser().formParams(Map.of("standIn", book.standIns(site).get(0).id())).post("/sites/" + elsewhere + "/duty/stand-ins/end");

        assertThat(book.standIns(site)).hasSize(1);
    }

    @Test
    void everybodyEndsTheirOwnAbsenceAndWhoeverPlansThatOfTheirPeople() {
        Map<String, ?> away = Map.of("personId", staff.personId(), "from", "2026-11-30T08:00", "until", "2026-12-04T18:00");
        assertThat(post(staff, "/absences/new", away).statusCode()).isEqualTo(303);
        assertThat(text(get(staff, ""))).contains("is away from 30 Nov 08:00 until 4 Dec 18:00");
        long id = book.absences(Set.of(staff.personId())).get(0).id();
        SignedIn colleague = SignedIn.as(Role.SITE_STAFF, site);
        SignedIn stranger = SignedIn.as(Role.DUTY_MANAGER, site("Elsewhere"));

        assertThat(post(colleague, "/absences/end", Map.of("absence", id)).statusCode()).isEqualTo(403);
        assertThat(post(stranger, "/absences/end", Map.of("absence", id)).statusCode()).isEqualTo(404);
        assertThat(book.absence(id)).isPresent();

        assertThat(post(staff, "/absences/end", Map.of("absence", id)).statusCode()).isEqualTo(303);
        assertThat(book.absence(id)).isEmpty();
        assertThat(text(get(staff, ""))).doesNotContain("is away from");

        post(staff, "/absences/new", away);
        long again = book.absences(Set.of(staff.personId())).get(0).id();
        assertThat(post(manager, "/absences/end", Map.of("absence", again)).statusCode()).isEqualTo(303);
        assertThat(book.absence(again)).isEmpty();
    }

    @Test
    void absenceOfSomebodyElsesPeopleIsNotEnded() {
        post(staff, "/absences/new", Map.of("personId", staff.personId(), "from", "2026-11-30T08:00", "until", "2026-12-04T18:00"));
        long id = book.absences(Set.of(staff.personId())).get(0).id();
        long elsewhere = site("Elsewhere");
        SignedIn other = SignedIn.as(Role.DUTY_MANAGER, elsewhere);

        assertThat(other.browser().formParams(Map.of("absence", id)).post("/sites/" + elsewhere + "/duty/absences/end").statusCode()).isEqualTo(403);

        assertThat(book.absence(id)).isPresent();
    }

    @Test
    void fallbackIsSetInOrderAndSaysWhoIsToldWhereItIsNot() {
        assertThat(text(get(manager, ""))).contains("When no shift is filled")
                // The operator's list counts for a site without one, and other tests may have left one.
                .containsPattern("Electrician not set: (told would be|whoever has a role here)");

        String version = version(get(manager, "/fallback?role=ELECTRICIAN"));
        assertThat(post(manager, "/fallback?role=ELECTRICIAN", Map.of("version", version, "people.0", manager.personId(), "people.1", "0", "people.2",
                staff.personId())).statusCode()).isEqualTo(303);

        assertThat(book.ownFallback(site, DutyRole.ELECTRICIAN)).containsExactly(manager.personId(), staff.personId());
        assertThat(get(manager, "/fallback?role=ELECTRICIAN").body().asString()).contains("name=\"people.2\"");
        assertThat(get(staff, "/fallback?role=ELECTRICIAN").statusCode()).isEqualTo(403);
        assertThat(get(manager, "/fallback?role=CAPTAIN").statusCode()).isEqualTo(404);
    }

    @Test
    void fallbackThatNamesSomebodyTwiceOrSomebodyUnknownIsRefusedBesideTheField() {
        String version = version(get(manager, "/fallback?role=SITE_DUTY"));

        Response twice = post(manager, "/fallback?role=SITE_DUTY", Map.of("version", version, "people.0", staff.personId(), "people.1", staff.personId(),
                "people.2", "0"));
        assertThat(twice.statusCode()).isEqualTo(422);
        assertThat(twice.body().asString()).contains("s named twice, must be somebody else or nobody");
        assertThat(post(manager, "/fallback?role=SITE_DUTY", Map.of("version", version, "people.0", "999999", "people.1", "0", "people.2", "0")).statusCode())
                .isEqualTo(422);
        assertThat(book.ownFallback(site, DutyRole.SITE_DUTY)).isEmpty();
    }

    @Test
    void twoWhoSetTheFallbackSeeEachOther() {
        String version = version(get(manager, "/fallback?role=SITE_DUTY"));
        post(manager, "/fallback?role=SITE_DUTY", Map.of("version", version, "people.0", staff.personId(), "people.1", "0", "people.2", "0"));

        Response second = post(manager, "/fallback?role=SITE_DUTY", Map.of("version", version, "people.0", manager.personId(), "people.1", "0", "people.2", "0"));

        assertThat(second.statusCode()).isEqualTo(409);
        assertThat(book.ownFallback(site, DutyRole.SITE_DUTY)).isEqualTo(List.of(staff.personId()));
        assertThat(post(manager, "/fallback?role=SITE_DUTY", Map.of("version", version(second), "people.0", manager.personId(), "people.1", "0",
                "people.2", "0")).statusCode()).isEqualTo(303);
        assertThat(book.ownFallback(site, DutyRole.SITE_DUTY)).isEqualTo(List.of(manager.personId()));
    }

    private static String version(Response form) {
        return form.body().htmlPath().getString("**.find { it.@name == 'version' }.@value");
    }
}
