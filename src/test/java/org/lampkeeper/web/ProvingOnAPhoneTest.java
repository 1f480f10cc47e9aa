package org.lampkeeper.web;

import java.net.URI;
import java.util.List;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Locator;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.AriaRole;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.WaitUntilState;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.NOW;

/** Somebody shows on their phone that Lampkeeper reaches them: by one button, the link in the message, and one press. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class ProvingOnAPhoneTest {

    private static Chromium chromium;

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;
    private BrowserContext context;
    private Page page;
    private SignedIn staff;

    @BeforeAll
    static void open() {
        chromium = Chromium.open();
    }

    @AfterAll
    static void close() {
        chromium.close();
    }

    @BeforeEach
    void somebodyWithAnUnprovenChannel() {
        clock.stopAt(NOW);
        fixture.allLit();
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(WebFixture.SITE));
        fixture.channel(staff.personId());
        context = chromium.somebody(360, 640, ColorScheme.LIGHT);
        context.addCookies(List.of(new Cookie(SignedIn.COOKIE, staff.cookie()).setUrl(base.toString())));
        page = context.newPage();
    }

    @AfterEach
    void closePages() {
        context.close();
    }

    @Test
    void channelIsProvenByOneButtonAndOnePress() {
        go("/me");
        page.getByRole(AriaRole.LINK, new Page.GetByRoleOptions().setName("Your channels")).click();
        page.getByText("unproven", new Page.GetByTextOptions().setExact(true)).waitFor();
        assertThat(page.locator("h1").textContent()).contains("no channel is proven");

        button("Send you a proof").click();
        page.getByText("The proof is on its way.").waitFor();
        assertThat(page.locator(".channels").textContent()).contains("A proof was sent at 02:45 and is not answered yet.").contains("unproven");

        go(fixture.linkTo(staff.personId()));
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= 360")).isTrue();
        assertThat(fixture.number("SELECT COUNT(*) FROM person_channel WHERE person_id = ? AND proven_at IS NOT NULL", staff.personId())).isZero();
        button("It arrived").click();
        page.getByText("Recorded: mail reaches you.").waitFor();
        assertThat(button("It arrived").count()).isZero();

        go("/me/channels");
        assertThat(page.locator(".channels").textContent()).contains("proven on 25 Nov").doesNotContain("not answered yet");
        assertThat(page.locator("h1").textContent()).isEqualTo("An alarm goes to you by mail.");
    }

    @Test
    void nightIsAskedAboutAndItsAnswerIsShown() {
        go("/me/channels");
        button("Prove it tonight").click();
        page.getByText("A proof is sent at 03:00.").waitFor();
        button("Not tonight").click();
        page.getByText("Nothing is sent in the night.").waitFor();

        go(fixture.proofLink(staff.personId(), true));
        assertThat(page.locator("h1").textContent()).isEqualTo("Did it ring through your phone’s night setting?");
        button("Yes, it rang").click();
        page.getByText("Recorded: mail reaches you, and it rings at night.").waitFor();
        button("I saw it only later").click();
        page.getByText("whether it rings at night is not known").waitFor();
        button("No, it did not ring").click();
        page.getByText("it does not ring at night.").waitFor();

        go("/me/channels");
        assertThat(page.locator(".channels").textContent()).contains("proven on 25 Nov; rings at night: no, 25 Nov");
    }

    private Locator button(String words) {
        return page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName(words));
    }

    private void go(String path) {
        page.navigate(base.resolve(path).toString(), new Page.NavigateOptions().setWaitUntil(WaitUntilState.DOMCONTENTLOADED));
    }
}
