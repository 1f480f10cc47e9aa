package org.lampkeeper.web;

import java.net.URI;
import java.time.Duration;
import java.util.List;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.BoundingBox;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.WaitForSelectorState;
import com.microsoft.playwright.options.WaitUntilState;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/** What pages do in a real browser: by keyboard, live, cut off, and where the focus goes. How they look is for {@link EveryPageTest}. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class BrowserTest {

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;
    private SignedIn administrator;
    private BrowserContext context;
    private static Chromium chromium;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        administrator = SignedIn.as(Role.ADMINISTRATOR);
    }

    @BeforeAll
    static void open() {
        chromium = Chromium.open();
    }

    @AfterEach
    void closePages() {
        context.close();
    }

    @AfterAll
    static void close() {
        chromium.close();
    }

    @Test
    void takeButtonIsBigAndAboveTheFoldOfASmallPhone() {
        Page page = page(360, 640, ColorScheme.LIGHT);
        open(page, link());

        BoundingBox button = page.getByText("I take this", new Page.GetByTextOptions().setExact(true)).boundingBox();

        assertThat(button.y + button.height).isLessThan(640);
        assertThat(button.height).isGreaterThanOrEqualTo(44);
    }

    @Test
    void alarmIsTakenByKeyboardAlone() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        open(page, link());

        page.keyboard().press("Tab");
        page.keyboard().press("Tab");
        page.keyboard().press("Enter");

        page.getByText("You have this since 02:45").waitFor();
    }

    @Test
    void supplyPageTakesOverAChangeByItself() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        open(page, "/");
        page.getByText("10 of 12 cabinets have supply.").waitFor();

        fixture.allLit();

        page.getByText("All 12 cabinets have supply.").waitFor();
        assertThat(page.title()).startsWith("Supply");
    }

    @Test
    void supplyPageThatIsCutOffSaysSoAndDims() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        page.clock().install();
        page.route("**/supply/live*", route -> route.abort());
        open(page, "/");
        page.clock().runFor(Duration.ofSeconds(15).toMillis());

        page.locator("[data-stale]").waitFor(new com.microsoft.playwright.Locator.WaitForOptions().setState(WaitForSelectorState.VISIBLE));

        assertThat(page.locator("[data-stale]").textContent())
                .isEqualTo("This page has not heard from Lampkeeper since 02:45: what it shows is old.");
        assertThat(page.locator("body").getAttribute("class")).contains("is-old");
    }

    @Test
    void pageRunsUnderItsOwnContentPolicy() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        List<String> complaints = new java.util.concurrent.CopyOnWriteArrayList<>();
        page.onConsoleMessage(message -> complaints.add(message.text()));
        page.onPageError(complaints::add);

        open(page, "/");
        open(page, link());
        open(page, cabinet());
        page.locator(".plotted").waitFor();

        assertThat(complaints).isEmpty();
    }

    @Test
    void dayOfACabinetIsDrawnAsWideAsItsCard() {
        Page page = page(360, 740, ColorScheme.DARK);
        open(page, cabinet());

        BoundingBox plot = page.locator(".plotted").boundingBox();

        assertThat(plot.width).isBetween(280.0, 340.0);
        assertThat(page.locator(".plot-key .key-content").isVisible()).isTrue();
    }

    @ParameterizedTest
    @CsvSource({"1280, LIGHT", "360, DARK"})
    void summaryOfWhatIsWrongTakesTheFocusAndLeadsToTheField(int width, ColorScheme scheme) {
        Page page = page(width, 740, scheme);
        open(page, "/sites/" + fixture.site("North Stair") + "/cabinets/new");
        page.locator("#field-circuit-fuseAmpere").fill("3,5");

        page.locator("form.entry button[type=submit]").click();
        page.locator("#wrong").waitFor();

        assertThat(page.evaluate("document.activeElement.id")).isEqualTo("wrong");
        assertThat(page.locator("#field-circuit-fuseAmpere").inputValue()).isEqualTo("3,5");
        page.locator("#wrong a[href='#field-circuit-fuseAmpere']").press("Enter");
        assertThat(page.evaluate("document.activeElement.id")).isEqualTo("field-circuit-fuseAmpere");
    }

    @Test
    void enterInAFieldOfTheCallOutListSavesItAndMovesNothing() {
        Page page = page(1280, 740, ColorScheme.LIGHT);
        open(page, "/sites/" + fixture.site("North Stair") + "/call-out");
        String first = page.locator("#field-turns-0-personId").inputValue();

        page.locator("#field-turns-1-after").fill("never");
        page.locator("#field-turns-1-after").press("Enter");
        page.locator("#wrong").waitFor();

        assertThat(page.locator("#field-turns-0-personId").inputValue()).isEqualTo(first);
        assertThat(page.locator("#field-turns-1-after-error").textContent()).contains("is not a number");
    }

    /** What somebody typed may be written from right to left; what stands around it goes on from left to right. */
    @Test
    void marksThatTurnTheDirectionOfWritingTurnNothingElseAround() {
        administrator.browser().contentType("application/x-www-form-urlencoded; charset=UTF-8").formParam("version", "0")
                .formParam("done", "\u202Ereset \u05D0\u05D1\u2067once").post("/alarms/" + ALARM + "/attendance").then().statusCode(303);
        Page page = page(360, 740, ColorScheme.LIGHT);

        for (String path : List.of("/alarms/" + ALARM + "/attendance", "/alarms/" + ALARM)) {
            open(page, path);

            assertThat(page.content()).as(path).contains("\u202Ereset");
            assertThat((List<?>) page.evaluate("""
                    () => {
                      const turned = [];
                      const texts = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
                      while (texts.nextNode()) {
                        const text = texts.currentNode, words = text.data.trimEnd();
                        if (words.length < 3 || words.includes('\u202E') || text.parentElement.closest('option, textarea')) continue;
                        const at = (i) => {
                          const range = document.createRange();
                          range.setStart(text, i);
                          range.setEnd(text, i + 1);
                          return range.getBoundingClientRect();
                        };
                        const first = at(words.search(/\\S/)), last = at(words.length - 1);
                        if (first.top === last.top && first.left > last.left) turned.push(words);
                      }
                      return turned;
                    }
                    """)).as("turned around on %s", path).isEmpty();
        }
    }

    private String link() {
        return "/a/" + tokens.issue(ALARM, fixture.person("M. Teal"), NOW.plus(Duration.ofDays(3)));
    }

    private String cabinet() {
        long cabinet = fixture.cabinet(WebFixture.CABINET);
        fixture.aDayOf(cabinet);
        return "/cabinets/" + cabinet;
    }

    private void open(Page page, String path) {
        page.navigate(base.resolve(path).toString(), new Page.NavigateOptions().setWaitUntil(WaitUntilState.DOMCONTENTLOADED));
    }

    private Page page(int width, int height, ColorScheme scheme) {
        context = chromium.somebody(width, height, scheme);
        context.addCookies(List.of(new Cookie(SignedIn.COOKIE, administrator.cookie()).setUrl(base.toString())));
        return context.newPage();
    }
}
