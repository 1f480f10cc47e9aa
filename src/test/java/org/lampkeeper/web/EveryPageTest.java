package org.lampkeeper.web;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.Consumer;
import java.util.stream.Stream;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.FilePayload;
import com.microsoft.playwright.options.WaitUntilState;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.assertj.core.api.SoftAssertions;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.ShortLinks;
import org.lampkeeper.register.By;
import org.lampkeeper.register.Labels;
import org.lampkeeper.testing.Axe;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;
import org.lampkeeper.watch.PhotoTest;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/**
 * Every page that the application's classes have, and what forms and refusals answer with, in a real browser: axe finds nothing, by day and
 * by night, nothing is wider than a screen of 360, 768 or 1,280 px, and what is pressed is big enough. A new page is among them by itself.
 */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class EveryPageTest {

    // The house's own measure, that of WCAG 2.2, 2.5.5; as there, a link within a line of text is exempt.
    private static final String TOO_SMALL = """
            () => [...document.querySelectorAll('main a, main button, main input:not([type=hidden]), main select, main textarea, main summary, header a, header button')]
              .filter((it) => it.checkVisibility() && !it.classList.contains('unseen') && !(it.tagName === 'A' && getComputedStyle(it).display === 'inline'))
              .filter((it) => Math.max(it.getBoundingClientRect().height, it.labels?.[0]?.getBoundingClientRect().height * it.matches('[type=radio],[type=checkbox]') || 0) < 43.9)
              .map((it) => it.outerHTML + ' is ' + it.getBoundingClientRect().height + ' px high')
            """;
    /** A term and what is said of it stand beside or below each other, never across two rows. */
    private static final String APART = "[...document.querySelectorAll('dt')].filter(term => term.nextElementSibling.getBoundingClientRect().left"
            + " < term.getBoundingClientRect().left).map(term => term.textContent)";
    private static final List<Address> PAGES = Address.ALL.stream().filter(Address::isPage).filter(address -> !address.path().startsWith("/api"))
            // A redirection to somebody else's pages.
            .filter(address -> !address.path().equals("/sign-in/provider"))
            // The same page's second way in, as a stream.
            .filter(address -> !address.path().equals("/supply/live")).toList();

    private static final Map<String, Consumer<EveryPageTest>> SITUATIONS = new TreeMap<>(Map.ofEntries(
            situation("403", it -> it.as(SignedIn.as(Role.SITE_STAFF, it.id("site"))).get("/sites/{site}/edit")),
            situation("404", it -> it.get("/sites/999999999")),
            situation("409 of a form", it -> it.post("/boards/{board}/edit", "name", "Board A", "place", "elsewhere", "access", "key 7", "version", "999")),
            situation("422 of a form", it -> it.post("/sites/{site}/cabinets/new", "circuit.fuseAmpere", "3,5", "content.lowest", "cold")),
            situation("422 of a call-out list", it -> it.post("/sites/{site}/call-out", "rows", "2", "turns.0.after", "never")),
            situation("a call-out list with a row more", it -> it.post("/sites/{site}/call-out", "do", "add", "rows", "0")),
            situation("422 of announced work", it -> it.post("/sites/{site}/work")),
            situation("422 of an attendance record", it -> it.post("/alarms/{alarm}/attendance", "version", "0", "fuseFittedAmpere", "99")),
            situation("a record that is not complete", it -> it.post("/alarms/{alarm}/attendance", "version", "0", "done", "looked at it")),
            situation("422 of shelving", it -> it.post("/alarms/{alarm}/shelve")),
            situation("422 of a person", it -> it.post("/people/{person}/edit", "mail", "nowhere", "version", "0")),
            situation("422 of a password", it -> it.post("/me/password", "current", "wrong", "fresh", "short")),
            situation("a token that is shown once", it -> it.post("/me/tokens", "name", "a program", "may", "read", "where", "all")),
            situation("a secret that is shown once", it -> it.post("/sensors/{sensor}/secret")),
            situation("422 of a webhook", it -> it.post("/webhooks/new", "url", "ftp://quay.example/")),
            situation("a webhook that was tested", it -> it.get("/webhooks/{webhook}?said=tested")),
            situation("a webhook's secret that is shown once", it -> it.post("/webhooks/{webhook}/secret")),
            situation("an invitation that is shown once", it -> it.post("/people/{person}/invite")),
            situation("what is asked of the first list of a site", it -> it.get("/sites/0/call-out")),
            situation("duty with somebody away", it -> {
                SignedIn staff = SignedIn.as(Role.SITE_STAFF, it.id("site"));
                it.as(staff).post("/sites/{site}/duty/absences/new", "personId", "" + staff.personId(), "from", "2026-11-25T08:00", "until", "2026-11-27T18:00");
                it.get("/sites/{site}/duty");
            }),
            situation("422 of a fallback", it -> it.post("/sites/{site}/duty/fallback?role=DUTY_MANAGER", "people.0", "1", "version", "0")),
            situation("no head of the journal", it -> it.post("/journal/verify", "number", "x", "hash", "y")),
            situation("a day that is none", it -> it.get("/journal?day=yesterday")),
            situation("a filter that finds nothing", it -> it.get("/?q=nowhere")),
            situation("an alarm that is held back", it -> it.get("/alarms/" + WebFixture.SILENCE_ALARM)),
            situation("an import of nothing", it -> it.send("sites", "")),
            situation("an import with faults", it -> it.send("sites", "name,address\nQuay,\n")),
            situation("an import that can be taken", it -> it.send("sites", "name,address,zone,access,intake\nQuay " + System.nanoTime()
                    + ",Quay road,Europe/London,gate code 4715,meter cupboard\n")),
            situation("a link that is over", it -> it.asNobody().get("/a/" + it.tokens.issue(ALARM, it.fixture.person("M. Teal"), NOW))),
            situation("an alarm that was taken by its link", it -> it.asNobody().post("/a/" + it.token() + "/take")),
            situation("a proof at night", it -> it.asNobody().get(it.fixture.proofLink(it.fixture.person("M. Teal"), true))),
            situation("a proof that is over", it -> {
                String link = it.fixture.proofLink(it.fixture.person("M. Teal"), false);
                it.clock.advance(Duration.ofDays(8));
                it.asNobody().get(link);
            }),
            situation("labels to print", it -> {
                it.label();
                it.get("/sites/{site}/labels");
            }),
            situation("a link that enrols a phone", it -> it.post("/people/{person}/phones/invite")),
            situation("an enrolled phone", it -> it.asNobody().post("/enrol/" + it.phoneInvitation())),
            situation("a lamp that was seen out", it -> it.asNobody().post(it.look(), "answer", "OUT", "note", "")),
            situation("a test button that is to be pressed", it -> {
                String look = it.look();
                it.fixture.run("UPDATE check_due SET kind = 'TEST_BUTTON' WHERE id = 900901");
                it.asNobody().get(look);
            }),
            situation("422 of a look's note", it -> it.asNobody().post(it.look(), "answer", "LIT", "note", "x".repeat(501))),
            situation("422 of how a cabinet keeps warm", it -> it.post("/cabinets/{cabinet}/warmth", "setPoint", "warm", "heaterWatt", "9000")),
            situation("temperatures of a season", it -> it.get("/cabinets/{cabinet}/temperatures?span=season")),
            situation("422 of a plan of looks", it -> it.post("/sites/{site}/checks/plans/new", "opens", "nine")),
            situation("422 of a channel", it -> it.post("/people/{person}/channels/new", "kind", "MAIL", "address", "nowhere")),
            situation("a channel that is kept", it -> it.post("/people/{person}/channels/{channel}/remove")),
            situation("a record that is only read", it -> it.as(SignedIn.as(Role.SITE_STAFF, it.id("site"))).get("/handovers/{handover}")),
            situation("422 of a hand-over", it -> it.post("/handovers/{handover}", "version", "3", "keys", "x".repeat(401))),
            situation("422 of signing", it -> it.post("/handovers/{handover}/sign", "version", "3", "remark", "")),
            situation("figures of a whole record", it -> {
                it.fixture.wholeRecord(it.id("handover"));
                it.get("/handovers/{handover}/figures");
            }),
            situation("a record of an unusual circuit", it -> {
                it.fixture.wholeRecord(it.id("handover"));
                it.post("/handovers/{handover}", "version", "200", "loaded", "THREE", "spacing", "LAYER", "impactCode", "IK07", "tripAt", "40", "inrush", "100");
                it.get("/handovers/{handover}");
            }),
            situation("figures of an unusual circuit", it -> {
                it.fixture.wholeRecord(it.id("handover"));
                it.post("/handovers/{handover}", "version", "200", "loaded", "THREE", "spacing", "LAYER", "impactCode", "IK07", "tripAt", "40", "inrush", "100");
                it.get("/handovers/{handover}/figures");
            }),
            situation("a record that can be signed", it -> {
                it.fixture.wholeRecord(it.id("handover"));
                it.get("/handovers/{handover}/sign");
            }),
            situation("a record that waits for the site", it -> {
                it.fixture.wholeRecord(it.id("handover"));
                it.post("/handovers/{handover}/sign", "version", "200", "remark", "no proof test yet");
                it.get("/handovers/{handover}/sign");
            }),
            situation("a record that the register differs from", it -> {
                it.fixture.signedRecord(it.id("handover"));
                it.get("/handovers/{handover}/sign");
            }),
            situation("a record with two photos", it -> {
                it.fixture.wholeRecord(it.id("handover"));
                it.fixture.photosOf(it.id("handover"), photo(300, 200), photo(1600, 900));
                it.get("/handovers/{handover}");
            }),
            situation("a signed record with a photo", it -> {
                it.fixture.signedRecord(it.id("handover"));
                it.fixture.photosOf(it.id("handover"), photo(1600, 900), photo(300, 200));
                it.get("/handovers/{handover}");
            }),
            situation("422 of a code", it -> it.post("/cabinets/{cabinet}/sensor/code", "code", "123")),
            situation("a proof test that runs", it -> it.post("/handovers/{handover}/proof")),
            situation("an address of dates that is shown once", it -> it.post("/sites/{site}/dates/calendar", "do", "make")),
            situation("a wrong password", it -> it.asNobody().post("/sign-in", "mail", "nobody@hallowwater.example", "password", "a guess")),
            situation("an invitation that is not taken yet", it -> it.asNobody().post("/invitation/" + it.invitation(), "password", "short")),
            situation("an invitation that there is not", it -> it.asNobody().get("/invitation/none"))));

    private static Chromium chromium;
    private static BrowserContext context;
    private static Page page;
    private static int loads;

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    ShortLinks shortLinks;
    @Inject
    Accounts accounts;
    @Inject
    Phones phones;
    @Inject
    Labels labels;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;

    private Map<String, String> things;

    private static byte[] photo(int width, int height) {
        try {
            return PhotoTest.jpeg(width, height);
        } catch (IOException inMemory) {
            throw new UncheckedIOException(inMemory);
        }
    }

    private static Map.Entry<String, Consumer<EveryPageTest>> situation(String name, Consumer<EveryPageTest> how) {
        return Map.entry(name, how);
    }

    static Stream<String> pages() {
        return Stream.concat(PAGES.stream().map(Address::plainPath), SITUATIONS.keySet().stream());
    }

    @BeforeAll
    static void open() {
        chromium = Chromium.open();
        context = chromium.somebody(360, 740, ColorScheme.LIGHT);
        page = context.newPage();
        page.onDOMContentLoaded(loaded -> loads++);
    }

    @AfterAll
    static void close() {
        chromium.close();
    }

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        fixture.aDayOf(fixture.cabinet(WebFixture.CABINET));
        things = fixture.oneOfEach();
        page.setViewportSize(360, 740);
        page.emulateMedia(new Page.EmulateMediaOptions().setColorScheme(ColorScheme.LIGHT));
    }

    @ParameterizedTest
    @MethodSource("pages")
    void pageIsAccessibleAndFitsItsScreenByDayAndByNight(String name) {
        as(SignedIn.as(Role.ADMINISTRATOR));
        SITUATIONS.getOrDefault(name, it -> it.openItself(name)).accept(this);
        assertThat(page.locator("h1").count()).as("%s is a page, with one headline: %s", name, page.content()).isEqualTo(1);

        SoftAssertions softly = new SoftAssertions();
        softly.assertThat(Axe.everything(page)).as("at 360 px, by day").isEmpty();
        softly.assertThat((List<?>) page.evaluate(TOO_SMALL)).as("at 360 px").isEmpty();
        softly.assertThat(isTooWide()).as("wider than 360 px").isFalse();
        page.setViewportSize(768, 740);
        softly.assertThat(isTooWide()).as("wider than 768 px").isFalse();
        page.setViewportSize(1280, 740);
        page.emulateMedia(new Page.EmulateMediaOptions().setColorScheme(ColorScheme.DARK));
        softly.assertThat(isTooWide()).as("wider than 1,280 px").isFalse();
        softly.assertThat((List<?>) page.evaluate(APART)).as("terms whose words stand left of them, at 1,280 px").isEmpty();
        softly.assertThat(Axe.looks(page)).as("at 1,280 px, by night").isEmpty();
        softly.assertAll();
    }

    private boolean isTooWide() {
        return Boolean.TRUE.equals(page.evaluate("document.documentElement.scrollWidth > innerWidth"));
    }

    private EveryPageTest as(SignedIn who) {
        context.clearCookies();
        context.addCookies(List.of(new Cookie(SignedIn.COOKIE, who.cookie()).setUrl(base.toString())));
        return this;
    }

    private EveryPageTest asNobody() {
        context.clearCookies();
        return this;
    }

    private long id(String thing) {
        return Long.parseLong(things.get(thing));
    }

    private String token() {
        return tokens.issue(ALARM, fixture.person("M. Teal"), NOW.plus(Duration.ofDays(3)));
    }

    private String look() {
        return fixture.aLook(900_901, fixture.cabinet(WebFixture.CABINET), fixture.person("M. Teal"), tokens);
    }

    private String label() {
        labels.makeMissing(id("site"), By.nobody(NOW));
        return labels.ofSite(id("site")).get(id("cabinet"));
    }

    private String phoneInvitation() {
        Caller administrator = new Caller(1, "Tester", "nobody", Reach.of(List.of(Grant.everywhere(Role.ADMINISTRATOR))));
        return phones.invite(SignedIn.as(Role.SITE_STAFF, id("site")).personId(), administrator).token();
    }

    private String invitation() {
        Caller administrator = new Caller(1, "Tester", "nobody", Reach.of(List.of(Grant.everywhere(Role.ADMINISTRATOR))));
        return accounts.invite(SignedIn.as(Role.SITE_STAFF, id("site")).personId(), administrator).token();
    }

    /** A page that is simply asked for, by somebody who has business there. */
    private void openItself(String path) {
        if (path.startsWith("/a/")) {
            asNobody().get("/a/" + token());
        } else if (path.startsWith("/s/")) {
            asNobody().get("/s/" + shortLinks.issue(ALARM, fixture.person("M. Teal"), NOW.plus(Duration.ofDays(3))));
            assertThat(page.url()).as("leads on to the page of the alarm").contains("/a/");
            return;
        } else if (path.startsWith("/p/")) {
            asNobody().get(fixture.proofLink(fixture.person("M. Teal"), false));
        } else if (path.startsWith("/t/")) {
            asNobody().get(fixture.testLink(id("handover"), fixture.person("M. Teal"), tokens));
        } else if (path.startsWith("/c/")) {
            asNobody().get(look());
        } else if (path.startsWith("/at/")) {
            asNobody().get("/at/" + label());
        } else if (path.startsWith("/enrol/")) {
            asNobody().get("/enrol/" + phoneInvitation());
        } else if (path.startsWith("/invitation/")) {
            asNobody().get("/invitation/" + invitation());
        } else if (path.equals("/sign-in")) {
            asNobody().get(path);
        } else {
            get(path);
        }
        assertThat(page.url()).as("it is that page, not one that is led to").contains(path.replaceFirst("\\{.*", ""));
    }

    private void get(String path) {
        int before = loads;
        page.navigate(address(path), new Page.NavigateOptions().setWaitUntil(WaitUntilState.DOMCONTENTLOADED));
        page.waitForCondition(() -> loads > before);
    }

    /** As a form of ours would send it. {@code namesAndValues}: one after the other. */
    private void post(String path, String... namesAndValues) {
        // Of the same origin, and without scripts of its own that would still be at work.
        get("/q/health/live");
        leaveBy(() -> page.evaluate("""
                ([to, sent]) => {
                  const form = document.createElement('form');
                  form.method = 'post';
                  form.action = to;
                  for (let i = 0; i < sent.length; i += 2) {
                    const field = document.createElement('input');
                    field.name = sent[i];
                    field.value = sent[i + 1];
                    form.append(field);
                  }
                  document.body.append(form);
                  form.submit();
                }
                """, List.of(address(path), List.of(namesAndValues))));
    }

    /** A file, as it is chosen on the page for importing. */
    private void send(String kind, String csv) {
        get("/import");
        page.check("#kind-" + kind);
        if (!csv.isEmpty()) {
            page.setInputFiles("#file", new FilePayload("quays.csv", "text/csv", csv.getBytes(StandardCharsets.UTF_8)));
        }
        leaveBy(() -> page.evaluate("document.querySelector('form[enctype]').submit()"));
    }

    private void leaveBy(Runnable press) {
        int before = loads;
        press.run();
        page.waitForCondition(() -> loads > before);
    }

    private String address(String path) {
        String filled = path;
        for (Map.Entry<String, String> each : things.entrySet()) {
            filled = filled.replace("{" + each.getKey() + "}", each.getValue());
        }
        return base.resolve(filled).toString();
    }
}
