package org.lampkeeper.web;

import java.net.URI;
import java.util.List;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.AriaRole;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.Axe;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** Somebody at a cabinet without a signal: a link that was never opened opens, what is tapped is kept, and arrives once. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class PhoneOfflineTest {

    private static final long LOOK = 900_900;

    private static Chromium chromium;

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;
    private BrowserContext context;
    private Page page;
    private String link;

    @BeforeAll
    static void open() {
        chromium = Chromium.open();
    }

    @AfterAll
    static void close() {
        chromium.close();
    }

    @BeforeEach
    void enrolledPhoneHasFetchedItsLookAhead() {
        clock.stopAt(NOW);
        fixture.allLit();
        for (String table : new String[] {"check_record", "check_asked", "check_due", "check_plan"}) {
            fixture.run("DELETE FROM " + table);
        }
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        fixture.aLook(LOOK, fixture.cabinet(CABINET), staff.personId(), tokens);
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (?, ?, ?, TRUE)", LOOK, staff.personId(), NOW.minusSeconds(60));
        link = "/c/" + tokens.issueForLook(LOOK, staff.personId(), NOW.plusSeconds(86_400));
        String secret = staff.browser().post("/people/" + staff.personId() + "/phones/this").cookie(PhonePagesTest.COOKIE);
        context = chromium.somebody(360, 740, ColorScheme.LIGHT);
        context.addCookies(List.of(new Cookie(PhonePagesTest.COOKIE, secret).setUrl(base.toString())));
        // As the server's, so that neither is wrong.
        context.clock().setFixedTime(NOW.toEpochMilli());
        page = context.newPage();
        page.navigate(base.resolve("/phone").toString());
        page.waitForSelector("html[data-ready]");
    }

    @AfterEach
    void closePages() {
        context.close();
    }

    @Test
    void linkThatWasNeverOpenedOpensWithoutASignalAndTheAnswerArrivesOnce() {
        context.setOffline(true);
        page.navigate(base.resolve(link).toString());
        page.getByText("Is the lamp of North Stair 2 lit?").waitFor();
        assertThat(Axe.everything(page)).isEmpty();
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= 360")).isTrue();

        page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName("Lit, and all looks well")).click();
        page.getByText("not yet sent").waitFor();
        assertThat(records()).isZero();

        context.setOffline(false);
        page.getByText("Sent, and recorded: lit, and all looks well").waitFor();
        page.navigate(base.resolve("/phone").toString());
        page.waitForSelector("html[data-ready]");

        assertThat(records()).isOne();
        assertThat(fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = ? AND is_counted = TRUE AND clock_wrong_by_ms IS NULL", LOOK)).isOne();
    }

    @Test
    void whatIsKeptOutlivesThePageAndIsSentByTheNextOne() {
        context.setOffline(true);
        page.navigate(base.resolve(link).toString());
        page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName("Out").setExact(true)).click();
        page.getByText("call whoever is on duty").first().waitFor();
        page.close();
        context.setOffline(false);

        page = context.newPage();
        page.navigate(base.resolve(link).toString());
        page.getByText("Sent, and recorded: out").waitFor();

        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE kind IN ('LAMP_OUT', 'SENSOR_AND_LAMP_DIFFER') AND live = TRUE")).isOne();
    }

    private long records() {
        return fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = ?", LOOK);
    }
}
