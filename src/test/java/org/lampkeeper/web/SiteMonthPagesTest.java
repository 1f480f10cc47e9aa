package org.lampkeeper.web;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.equalTo;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** A month of a site, for whoever may see the site. */
@QuarkusTest
@TestProfile(WithDemo.class)
class SiteMonthPagesTest {

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn reader;
    private String address;

    @BeforeEach
    void aNightInNovember() {
        clock.stopAt(NOW);
        fixture.allLit();
        reader = SignedIn.as(Role.RESPONSIBLE_PERSON, fixture.site(SITE));
        address = "/sites/" + fixture.site(SITE) + "/month";
    }

    @Test
    void monthNamesItsCabinetsAndLeadsToItsNeighboursAndToPaper() {
        reader.browser().get(address).then().statusCode(200).body(containsString(SITE + ", November 2026, so far")).body(containsString(CABINET))
                .body(containsString("month?month=2026-10")).body(containsString("month.pdf?month=2026-11"));
        reader.browser().get(address + "?month=2026-10").then().statusCode(200).body(containsString(SITE + ", October 2026. Times are"));
    }

    @Test
    void monthSaysWhatToDoNextAndAnOldOneDoesNot() {
        long sensor = fixture.number("SELECT id FROM sensor WHERE cabinet_id = ?", fixture.cabinet(CABINET));
        fixture.run("UPDATE sensor_status SET battery_percent = 12, clock_odd = TRUE WHERE sensor_id = ?", sensor);
        try {
            reader.browser().get(address).then().statusCode(200).body(containsString("What to do next"))
                    .body(containsString("The battery of the sensor of " + CABINET + " has 12 % left: change it."))
                    .body(containsString("The clock of the sensor of " + CABINET + " is wrong"))
                    .body(containsString("No channel of " + reader.name() + " is proven to reach them"));
            reader.browser().get(address + "?month=2026-09").then().statusCode(200).body(not(containsString("What to do next")));
        } finally {
            fixture.run("UPDATE sensor_status SET battery_percent = NULL, clock_odd = FALSE WHERE sensor_id = ?", sensor);
        }
    }

    @Test
    void paperIsAPdfOfTheSameMonth() {
        byte[] paper = reader.browser().accept("application/pdf").get(address + ".pdf?month=2026-11").then().statusCode(200).contentType(equalTo("application/pdf"))
                .header("Content-Disposition", equalTo("inline; filename=\"month-" + fixture.site(SITE) + "-2026-11.pdf\"")).extract().asByteArray();

        try (PaperPages pages = new PaperPages(paper)) {
            assertThat(pages.text()).contains(SITE + ", November 2026", CABINET);
        }
    }
}
