package org.lampkeeper.web;

import java.net.URI;
import java.time.Duration;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Locator;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.AriaRole;
import com.microsoft.playwright.options.BoundingBox;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.WaitUntilState;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.Axe;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/** What somebody does who was woken by a message: on a phone, in gloves, from the link in it. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class TakingOnAPhoneTest {

    /** Ours: a fingertip in a glove; WCAG 2.2 asks for 24 px, our pages elsewhere for 44. */
    private static final double GLOVE = 48;

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

    @BeforeAll
    static void open() {
        chromium = Chromium.open();
    }

    @AfterAll
    static void close() {
        chromium.close();
    }

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        context = chromium.somebody(360, 640, ColorScheme.DARK);
        page = context.newPage();
    }

    @AfterEach
    void closePages() {
        context.close();
    }

    @Test
    void takenWithTheTimeOfArrivalAndThere() {
        openAs("M. Teal");
        assertThat(page.locator("body").textContent()).contains("Take it, there at …");
        page.getByRole(AriaRole.BUTTON).all().forEach(TakingOnAPhoneTest::fitsAGlove);
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= 360")).isTrue();

        button("in 20 min").click();
        page.getByText("You have this since 02:45. You are there at 03:05.").waitFor();
        assertThat(page.getByText("Recorded: you take this.").isVisible()).isTrue();

        clock.stopAt(NOW.plus(Duration.ofMinutes(12)));
        button("I am there").click();
        page.getByText("Recorded: you are there.").waitFor();
        assertThat(page.locator(".standing").textContent()).contains("Somebody is there.");
        assertThat(button("I am there").count()).isZero();
        assertThat(fixture.number("SELECT COUNT(*) FROM attendance_entry WHERE alarm_id = ? AND arrived_at IS NOT NULL", ALARM)).isOne();
        isFine();
    }

    @Test
    void whoeverWasToldBeforeReadsWhoTakesItAndWhenTheyAreThere() {
        openAs("M. Teal");
        button("I can’t: tell the next now").click();
        page.getByText("Recorded: you cannot come. The next one has been told.").waitFor();
        isFine();

        Sent called = lastTo("R. Osk");
        assertThat(called.subject()).startsWith("North Stair 2 has no supply since 02:41");
        assertThat(called.body()).contains("Told before you, and nobody has taken it: M. Teal.");
        open(called);
        isFine();
        button("in 30 min").click();
        page.getByText("You have this since 02:45. You are there at 03:15.").waitFor();
        isFine();

        Sent taken = lastTo("M. Teal");
        assertThat(taken.subject()).startsWith("R. Osk has taken it at 02:45, there at 03:15: North Stair 2 has no supply since 02:41");
        assertThat(taken.body()).contains("You need not do anything.");
        open(taken);
        assertThat(page.locator(".standing").textContent()).contains("R. Osk has this since 02:45. There at 03:15.");
        assertThat(page.locator(".relay").textContent()).contains("M. Teal cannot come").contains("R. Osk is going to be there at 03:15")
                .contains("“" + taken.subject() + "”");
        isFine();
    }

    @Test
    void passedOnToTheNext() {
        openAs("M. Teal");

        button("I can’t: tell the next now").click();
        page.getByText("Recorded: you cannot come. The next one has been told.").waitFor();

        assertThat(page.locator(".relay .told:not(.ahead)").last().textContent()).contains("R. Osk");
        assertThat(page.locator(".relay .ahead").textContent()).contains("next: ");
    }

    @Test
    void handedOnToAnotherWhoTakesIt() {
        openAs("M. Teal");
        button("I take this").click();
        page.locator("#hand-on").selectOption(new com.microsoft.playwright.options.SelectOption().setLabel("R. Osk"));
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= 360")).isTrue();
        button("Ask to take it over").click();
        page.getByText("Recorded: R. Osk is asked to take it over. Until they do, it is yours.").waitFor();
        assertThat(page.locator(".relay .ahead").textContent()).contains("it stays where it is, unless R. Osk takes it over");
        isFine();

        Sent asked = lastTo("R. Osk");
        assertThat(asked.subject()).startsWith("M. Teal asks you to take it over: North Stair 2 has no supply since 02:41");
        assertThat(asked.body()).contains("M. Teal has it until you do. Please answer until 03:00.");
        open(asked);
        isFine();
        assertThat(page.locator(".standing").textContent()).contains("M. Teal has this since 02:45.").contains("R. Osk is asked to take it over until 03:00");
        button("I take this").click();
        page.getByText("You have this since 02:45.").waitFor();

        Sent taken = lastTo("M. Teal");
        assertThat(taken.subject()).startsWith("R. Osk has taken it at 02:45: North Stair 2 has no supply");
        open(taken);
        assertThat(page.locator(".standing").textContent()).contains("R. Osk has this since 02:45.");
        assertThat(button("I take this").count()).isZero();
    }

    @Test
    void whoeverIsAskedAndCannotLeavesItWhereItWas() {
        openAs("M. Teal");
        button("I take this").click();
        page.locator("#hand-on").selectOption(new com.microsoft.playwright.options.SelectOption().setLabel("R. Osk"));
        button("Ask to take it over").click();
        page.getByText("Recorded: R. Osk is asked to take it over.").waitFor();

        open(lastTo("R. Osk"));
        button("I can’t: tell the next now").click();
        page.getByText("M. Teal has this since 02:45.").first().waitFor();

        Sent still = lastTo("M. Teal");
        assertThat(still.subject()).startsWith("R. Osk cannot take it over; you still have it.");
        open(still);
        assertThat(page.locator(".standing").textContent()).contains("You have this since 02:45.");
        isFine();
    }

    @Test
    void givenBackByWhoeverHadIt() {
        openAs("M. Teal");
        button("in 10 min").click();
        page.getByText("You are there at 02:55.").waitFor();

        button("I can’t after all: tell the next now").click();

        page.getByText("Nobody has taken this yet").waitFor();
        assertThat(page.locator(".relay").textContent()).contains("M. Teal cannot do it after all");
        assertThat(button("I take this").count()).isOne();
        assertThat(lastTo("R. Osk").subject()).startsWith("North Stair 2 has no supply since 02:41");
        isFine();
    }

    /** A message as it stands in the outbox. */
    private record Sent(String subject, String body) {
    }

    /** Of what was written since: the situation's own have numbers of their own. */
    private Sent lastTo(String person) {
        String newest = " FROM outgoing_message WHERE id = (SELECT MAX(id) FROM outgoing_message WHERE person_id = ? AND id < 900000)";
        return new Sent(fixture.text("SELECT subject" + newest, fixture.person(person)), fixture.text("SELECT body" + newest, fixture.person(person)));
    }

    /** By the link in it, as its reader does. */
    private void open(Sent message) {
        Matcher link = Pattern.compile("https?://[^/\\s]+(/a/[A-Za-z0-9_-]+)").matcher(message.body());
        assertThat(link.find()).as("there is a link in %s", message.body()).isTrue();
        page.navigate(base.resolve(link.group(1)).toString(), new Page.NavigateOptions().setWaitUntil(WaitUntilState.DOMCONTENTLOADED));
    }

    private void isFine() {
        assertThat(Axe.everything(page)).isEmpty();
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= 360")).isTrue();
    }

    private static void fitsAGlove(Locator button) {
        if (button.isVisible()) {
            BoundingBox box = button.boundingBox();
            assertThat(Math.min(box.height, box.width)).as(button.textContent()).isGreaterThanOrEqualTo(GLOVE);
        }
    }

    private Locator button(String words) {
        return page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName(words));
    }

    private void openAs(String person) {
        String path = "/a/" + tokens.issue(ALARM, fixture.person(person), NOW.plus(Duration.ofDays(3)));
        page.navigate(base.resolve(path).toString(), new Page.NavigateOptions().setWaitUntil(WaitUntilState.DOMCONTENTLOADED));
    }
}
