package org.lampkeeper.web;

import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Map;

import jakarta.inject.Inject;

import com.deque.html.axecore.playwright.AxeBuilder;
import com.microsoft.playwright.Browser;
import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.BrowserType;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.Playwright;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.assertj.core.api.SoftAssertions;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledIf;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.NOW;

/** The forms in a real browser: narrow and wide, by day and by night, and where the focus goes. Pictures go to target/pictures. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIf("isChromiumHere")
class PlantBrowserTest {

    private static final Path CHROMIUM = Path.of(System.getenv().getOrDefault("CHROMIUM", "/usr/bin/chromium"));

    // WCAG 2.2 AA with all that it builds on.
    private static final List<String> RULES = List.of("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice");

    @Inject
    WebFixture fixture;
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
    @CsvSource({"1280, LIGHT", "768, DARK", "360, DARK"})
    void everyPageIsAccessibleAndNoWiderThanItsScreen(int width, ColorScheme scheme) {
        Page page = page(width, scheme);
        SoftAssertions softly = new SoftAssertions();
        for (Map.Entry<String, String> each : pages().entrySet()) {
            page.navigate(base.resolve(each.getValue()).toString());
            page.locator("h1").waitFor();
            check(page, each.getKey(), width, scheme, softly);
        }
        softly.assertAll();
    }

    @ParameterizedTest
    @CsvSource({"1280, LIGHT", "360, DARK"})
    void summaryOfWhatIsWrongTakesTheFocusAndLeadsToTheField(int width, ColorScheme scheme) {
        Page page = page(width, scheme);
        page.navigate(base.resolve("/sites/" + fixture.site("North Stair") + "/cabinets/new").toString());
        page.locator("#field-circuit-fuseAmpere").fill("3,5");

        page.locator("form.entry button[type=submit]").click();
        page.locator("#wrong").waitFor();

        assertThat(page.evaluate("document.activeElement.id")).isEqualTo("wrong");
        assertThat(page.locator("#field-circuit-fuseAmpere").inputValue()).isEqualTo("3,5");
        SoftAssertions softly = new SoftAssertions();
        check(page, "cabinet-wrong", width, scheme, softly);
        softly.assertAll();
        page.locator("#wrong a[href='#field-circuit-fuseAmpere']").press("Enter");
        assertThat(page.evaluate("document.activeElement.id")).isEqualTo("field-circuit-fuseAmpere");
    }

    @Test
    void enterInAFieldOfTheCallOutListSavesItAndMovesNothing() {
        Page page = page(1280, ColorScheme.LIGHT);
        page.navigate(base.resolve("/sites/" + fixture.site("North Stair") + "/call-out").toString());
        String first = page.locator("#field-turns-0-personId").inputValue();

        page.locator("#field-turns-1-after").fill("never");
        page.locator("#field-turns-1-after").press("Enter");
        page.locator("#wrong").waitFor();

        assertThat(page.locator("#field-turns-0-personId").inputValue()).isEqualTo(first);
        assertThat(page.locator("#field-turns-1-after-error").textContent()).contains("is not a number");
    }

    private Map<String, String> pages() {
        long site = fixture.site("North Stair");
        long cabinet = fixture.cabinet("North Stair 2");
        long board = fixture.number("SELECT board_id FROM circuit WHERE cabinet_id = ?", cabinet);
        return Map.ofEntries(Map.entry("sites", "/sites"), Map.entry("site", "/sites/" + site), Map.entry("site-new", "/sites/new"),
                Map.entry("board-edit", "/boards/" + board + "/edit"), Map.entry("board-remove", "/boards/" + board + "/remove"),
                Map.entry("cabinet-new", "/sites/" + site + "/cabinets/new"), Map.entry("cabinet-edit", "/cabinets/" + cabinet + "/edit"),
                Map.entry("circuit", "/cabinets/" + cabinet + "/circuit"), Map.entry("content", "/cabinets/" + cabinet + "/content"),
                Map.entry("out-of-use", "/cabinets/" + cabinet + "/out-of-use"), Map.entry("sensor", "/cabinets/" + cabinet + "/sensor"),
                Map.entry("retire", "/sensors/north-stair-2/retire"), Map.entry("call-out", "/sites/" + site + "/call-out"),
                Map.entry("operator", "/sites/0/call-out"), Map.entry("work", "/sites/" + site + "/work"));
    }

    private static void check(Page page, String name, int width, ColorScheme scheme, SoftAssertions softly) {
        page.screenshot(new Page.ScreenshotOptions().setFullPage(true)
                .setPath(Path.of("target", "pictures", name + "-" + width + "-" + scheme.name().toLowerCase(Locale.ROOT) + ".png")));
        softly.assertThat(page.evaluate("document.documentElement.scrollWidth <= innerWidth")).as(name + ": no sideways scrolling").isEqualTo(true);
        new AxeBuilder(page).withTags(RULES).analyze().getViolations().forEach(rule -> softly.assertThat(rule.getNodes())
                .as(name + ": " + rule.getId() + ": " + rule.getHelp()).isEmpty());
    }

    private Page page(int width, ColorScheme scheme) {
        BrowserContext context = browser.newContext(new Browser.NewContextOptions().setViewportSize(width, 740).setColorScheme(scheme)
                .setTimezoneId("Europe/London"));
        context.addCookies(List.of(new Cookie(SignedIn.COOKIE, administrator.cookie()).setUrl(base.toString())));
        return context.newPage();
    }
}
