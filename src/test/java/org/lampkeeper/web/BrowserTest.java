package org.lampkeeper.web;

import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;

import jakarta.inject.Inject;

import com.deque.html.axecore.playwright.AxeBuilder;
import com.microsoft.playwright.Browser;
import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.BrowserType;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.Playwright;
import com.microsoft.playwright.options.BoundingBox;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.WaitForSelectorState;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledIf;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/** The pages in a real browser: narrow and wide, by day and by night, by keyboard, and cut off. Pictures go to target/pictures. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIf("isChromiumHere")
class BrowserTest {

    private static final Path CHROMIUM = Path.of(System.getenv().getOrDefault("CHROMIUM", "/usr/bin/chromium"));

    // WCAG 2.2 AA with all that it builds on.
    private static final List<String> RULES = List.of("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice");

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;
    private SignedIn administrator;
    private static Playwright playwright;
    private static Browser browser;

    static boolean isChromiumHere() {
        return Files.isExecutable(CHROMIUM);
    }

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        administrator = SignedIn.as(Role.ADMINISTRATOR);
    }

    @BeforeAll
    static void open() {
        playwright = Playwright.create(new Playwright.CreateOptions().setEnv(Map.of("PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD", "1")));
        browser = playwright.chromium().launch(
                new BrowserType.LaunchOptions().setExecutablePath(CHROMIUM).setArgs(List.of("--no-sandbox", "--disable-gpu")));
    }

    @AfterEach
    void closePages() {
        browser.contexts().forEach(BrowserContext::close);
    }

    @AfterAll
    static void close() {
        browser.close();
        playwright.close();
    }

    @ParameterizedTest
    @CsvSource({"supply, 1280, LIGHT", "supply, 360, DARK", "alarm, 1280, LIGHT",
            "alarm, 360, DARK", "alarms, 360, DARK", "messages, 1280, LIGHT", "messages, 360, DARK", "gone, 360, LIGHT",
            "cabinet, 1280, LIGHT", "cabinet, 360, DARK", "attendance, 360, LIGHT", "attendance, 1280, DARK", "shelve, 360, LIGHT",
            "journal, 360, LIGHT", "journal, 1280, DARK", "operation, 360, DARK", "operation, 1280, LIGHT",
            "sign-in, 360, LIGHT", "sign-in, 1280, DARK", "me, 360, DARK", "me, 1280, LIGHT", "people, 360, LIGHT", "people, 1280, DARK",
            "person, 360, DARK", "person, 1280, LIGHT", "invite, 360, LIGHT", "new-person, 360, DARK", "new-person, 768, LIGHT"})
    void pageIsAccessibleAndNoWiderThanItsScreen(String name, int width, ColorScheme scheme) {
        Page page = page(width, 740, scheme);
        page.navigate(address(name));
        page.locator("h1").waitFor();

        page.screenshot(new Page.ScreenshotOptions().setFullPage(true)
                .setPath(Path.of("target", "pictures", name + "-" + width + "-" + scheme.name().toLowerCase() + ".png")));

        assertThat(page.evaluate("document.documentElement.scrollWidth <= innerWidth")).as("no sideways scrolling").isEqualTo(true);
        assertThat(new AxeBuilder(page).withTags(RULES).analyze().getViolations())
                .allSatisfy(rule -> assertThat(rule.getNodes()).as(rule.getId() + ": " + rule.getHelp()).isEmpty());
    }

    @Test
    void takeButtonIsBigAndAboveTheFoldOfASmallPhone() {
        Page page = page(360, 640, ColorScheme.LIGHT);
        page.navigate(address("alarm"));

        BoundingBox button = page.getByText("I take this", new Page.GetByTextOptions().setExact(true)).boundingBox();

        assertThat(button.y + button.height).isLessThan(640);
        assertThat(button.height).isGreaterThanOrEqualTo(44);
    }

    @Test
    void alarmIsTakenByKeyboardAlone() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        page.navigate(address("alarm"));

        page.keyboard().press("Tab");
        page.keyboard().press("Tab");
        page.keyboard().press("Enter");

        page.getByText("You have this since 02:45").waitFor();
    }

    @Test
    void supplyPageTakesOverAChangeByItself() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        page.navigate(address("supply"));
        page.getByText("10 of 12 cabinets have supply.").waitFor();

        fixture.allLit();

        page.getByText("All 12 cabinets have supply.").waitFor();
        assertThat(page.title()).startsWith("Supply");
    }

    @Test
    void supplyPageThatIsCutOffSaysSoAndDims() {
        BrowserContext context = context(1280, 740, ColorScheme.LIGHT);
        Page page = context.newPage();
        page.clock().install();
        page.route("**/supply/live*", route -> route.abort());
        page.navigate(address("supply"));
        page.clock().runFor(Duration.ofSeconds(15).toMillis());

        page.locator("[data-stale]").waitFor(new com.microsoft.playwright.Locator.WaitForOptions().setState(WaitForSelectorState.VISIBLE));

        assertThat(page.locator("[data-stale]").textContent())
                .isEqualTo("This page has not heard from Lampkeeper since 02:45: what it shows is old.");
        page.screenshot(new Page.ScreenshotOptions().setPath(Path.of("target", "pictures", "supply-cut-off.png")));
        assertThat(page.locator("body").getAttribute("class")).contains("is-old");
    }

    @Test
    void pageRunsUnderItsOwnContentPolicy() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        List<String> complaints = new java.util.concurrent.CopyOnWriteArrayList<>();
        page.onConsoleMessage(message -> complaints.add(message.text()));
        page.onPageError(complaints::add);

        page.navigate(address("supply"));
        page.navigate(address("alarm"));
        page.navigate(address("cabinet"));
        page.locator(".plot canvas").waitFor();

        assertThat(complaints).isEmpty();
    }

    @Test
    void dayOfACabinetIsDrawnAsWideAsItsCard() {
        Page page = page(360, 740, ColorScheme.DARK);
        page.navigate(address("cabinet"));

        BoundingBox plot = page.locator(".plot canvas").boundingBox();

        assertThat(plot.width).isBetween(280.0, 340.0);
        assertThat(page.locator("[data-legend]").isVisible()).isTrue();
    }

    /** North Stair 2, with a quarter of an hour that is missing in the middle of the day. */
    private long cabinetWithADay() {
        long cabinet = fixture.cabinet("North Stair 2");
        fixture.run("DELETE FROM sensor_quarter");
        for (int quarter = 1; quarter < 96; quarter++) {
            Instant at = NOW.minus(Duration.ofMinutes(15L * quarter));
            if (quarter < 40 || quarter > 44) {
                fixture.run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c)"
                        + " SELECT id, ?, ?, 'HEALTHY', ?, ? FROM sensor WHERE cabinet_id = ?", Quarters.of(at), at, 9.4 - Math.sin(quarter / 15.0),
                        -2.0 - quarter / 20.0, cabinet);
            }
        }
        return cabinet;
    }

    private String address(String name) {
        String token = tokens.issue(ALARM, fixture.person("M. Teal"), name.equals("gone") ? NOW : NOW.plus(Duration.ofDays(3)));
        return base.resolve(switch (name) {
            case "supply" -> "/";
            case "alarms" -> "/alarms";
            case "messages", "journal", "operation" -> "/" + name;
            case "attendance", "shelve" -> "/alarms/" + ALARM + "/" + name;
            case "cabinet" -> "/cabinets/" + cabinetWithADay();
            // Whoever is signed in would be led on.
            case "sign-in" -> "/sign-in?unsent=true";
            case "me" -> "/me";
            case "people" -> "/people";
            case "person" -> "/people/" + fixture.person("M. Teal");
            case "invite" -> "/people/" + fixture.person("M. Teal") + "/invite";
            case "new-person" -> "/people/new";
            default -> "/a/" + token;
        }).toString();
    }

    private Page page(int width, int height, ColorScheme scheme) {
        return context(width, height, scheme).newPage();
    }

    private BrowserContext context(int width, int height, ColorScheme scheme) {
        BrowserContext context = browser.newContext(new Browser.NewContextOptions().setViewportSize(width, height).setColorScheme(scheme)
                .setTimezoneId("Europe/London"));
        context.addCookies(List.of(new Cookie(SignedIn.COOKIE, administrator.cookie()).setUrl(base.toString())));
        return context;
    }
}
