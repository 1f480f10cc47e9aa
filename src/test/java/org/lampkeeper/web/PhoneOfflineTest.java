package org.lampkeeper.web;

import java.io.IOException;
import java.net.URI;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.inject.Inject;

import com.google.gson.JsonObject;
import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.CDPSession;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.PlaywrightException;
import com.microsoft.playwright.options.AriaRole;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.FilePayload;
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
import org.lampkeeper.testing.PushPhone;
import org.lampkeeper.testing.Relay;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;
import org.lampkeeper.watch.PhotoTest;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.web.WebFixture.CABINET;
import static org.lampkeeper.web.WebFixture.NOW;
import static org.lampkeeper.web.WebFixture.SITE;

/** Somebody at a cabinet without a signal: a link that was never opened opens, what is tapped is kept, and arrives once. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class PhoneOfflineTest {

    private static final long LOOK = 900_900;
    private static final String COUNT = """
            (store) => new Promise((resolve, reject) => {
              const opening = indexedDB.open('lampkeeper-phone', 1);
              opening.onerror = () => reject(opening.error);
              opening.onsuccess = () => {
                const counting = opening.result.transaction(store).objectStore(store).count();
                counting.onsuccess = () => { opening.result.close(); resolve(counting.result); };
              };
            })
            """;

    private static Chromium chromium;

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;
    private SignedIn staff;
    private Relay network;
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
    void enrolledPhoneHasFetchedItsLooksAhead() {
        clock.stopAt(NOW);
        fixture.allLit();
        fixture.run("UPDATE sensor_status SET reading = 'UNKNOWN' WHERE cabinet_id = ?", fixture.cabinet(CABINET));
        for (String table : new String[] {"check_record", "check_asked", "check_due", "check_plan"}) {
            fixture.run("DELETE FROM " + table);
        }
        staff = SignedIn.as(Role.SITE_STAFF, fixture.site(SITE));
        fixture.aLook(LOOK, fixture.cabinet(CABINET), staff.personId(), tokens);
        fixture.run("INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable) VALUES (?, ?, ?, TRUE)", LOOK, staff.personId(), NOW.minusSeconds(60));
        link = "/c/" + tokens.issueForLook(LOOK, staff.personId(), NOW.plusSeconds(86_400));
        network = Relay.to(base.getPort());
        context = chromium.somebody(360, 740, ColorScheme.LIGHT);
        context.addCookies(List.of(new Cookie(PhonePagesTest.COOKIE, staff.browser().post("/people/" + staff.personId() + "/phones/this")
                .cookie(PhonePagesTest.COOKIE)).setUrl(address("/"))));
        itIs(NOW);
        page = context.newPage();
    }

    @AfterEach
    void closePages() {
        context.close();
        network.close();
    }

    @Test
    void linkThatWasNeverOpenedOpensWithoutASignalAndTheAnswerArrivesOnceAndOnTime() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        page.getByText("Is the lamp of North Stair 2 lit?").waitFor();
        assertThat(Axe.everything(page)).isEmpty();
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= 360")).isTrue();

        tap("Lit, and all looks well");
        page.getByText("Kept on this phone at 02:45, not yet sent").waitFor();
        assertThat(Axe.everything(page)).isEmpty();
        assertThat(records()).isZero();
        itIs(NOW.plus(Duration.ofHours(3)));
        signal();
        page.getByText("Recorded of North Stair 2: the lamp is lit, looked at 02:45, received at 05:45. It counts as looked in time.").waitFor();
        page.navigate(address("/phone"));
        page.waitForSelector("html[data-ready]");

        assertThat(records()).isOne();
        assertThat(kept()).isZero();
        assertThat(fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = ? AND is_counted = TRUE AND clock_wrong_by_ms IS NULL", LOOK)).isOne();
    }

    @Test
    void whatIsKeptOutlivesThePageAndIsSentByTheNextOne() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        tap("Out");
        page.getByText("call whoever is on duty").first().waitFor();
        page.getByText("Never fit a bigger fuse").waitFor();
        assertThat(Axe.everything(page)).isEmpty();
        page.close();
        signal();

        page = context.newPage();
        page.navigate(address(link));
        page.getByText("Whoever is on the call-out list is told now.").first().waitFor();

        assertThat(records()).isOne();
        assertThat(fixture.number("SELECT COUNT(*) FROM alarm WHERE kind = 'LAMP_OUT' AND live = TRUE")).isOne();
    }

    @Test
    void answerWhoseReplyGotLostCountsOnce() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        tap("Lit, and all looks well");
        page.getByText("not yet sent").first().waitFor();
        network.loseTheReplyTo("POST /phone/answers");
        signal();
        await().until(() -> network.lostReplies() > 0);
        assertThat(records()).isOne();

        // A browser may have sent it once more by itself by now, or the page does: what is said then differs, not what counts.
        page.reload();
        page.getByText("Recorded").first().waitFor();
        nothingIsKeptAnyMore();

        assertThat(records()).isOne();
    }

    @Test
    void twoPagesOfOnePhoneSendItOnce() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        Page other = context.newPage();
        other.navigate(address("/phone"));
        other.getByText("Is the lamp of North Stair 2 lit?").waitFor();
        tap("Lit, and all looks well");
        page.getByText("not yet sent").first().waitFor();
        signal();
        page.getByText("Recorded of North Stair 2").waitFor();
        other.getByText("Recorded of North Stair 2").waitFor();

        assertThat(records()).isOne();
    }

    @Test
    void signalThatGoesWhileThePageIsOpenLosesNothingThatWasTyped() {
        phoneHasASignal();
        page.navigate(address(link));
        page.waitForSelector("html[data-ready]");
        noSignal();
        page.fill("#note", "salt on the lens");
        tap("Lit, and all looks well");
        page.getByText("Kept on this phone at 02:45, not yet sent").waitFor();
        signal();
        page.getByText("Recorded at 02:45: the lamp is lit. Your note: salt on the lens.").waitFor();

        assertThat(records()).isOne();
    }

    /** It has the link alone, and nothing to keep an answer with. */
    @Test
    void phoneThatIsNotEnrolledStaysOnThePageAndSaysThatNothingIsRecorded() {
        try (BrowserContext other = chromium.somebody(360, 740, ColorScheme.LIGHT)) {
            page = other.newPage();
            page.navigate(base.resolve(link).toString());
            page.locator("#note").fill("the post is wet");
            other.setOffline(true);
            tap("Lit, and all looks well");
            page.getByText("There is no signal, and nothing is recorded.").waitFor();
            assertThat(page.locator("#note").inputValue()).isEqualTo("the post is wet");
            assertThat(records()).isZero();

            other.setOffline(false);
            tap("Lit, and all looks well");
            page.getByText("the lamp is lit. Your note: the post is wet.").waitFor();
            assertThat(records()).isOne();
        }
    }

    @Test
    void answerWithASignalGoesTheSameWayAndThePageSaysWhatToDo() {
        phoneHasASignal();
        page.navigate(address(link));
        page.waitForSelector("html[data-ready]");
        tap("Out");
        page.getByText("What to do now").waitFor();

        assertThat(records()).isOne();
        assertThat(kept()).isZero();
    }

    @Test
    void lookThatOpensLaterTodayIsOnThePhoneBefore() {
        fixture.run("UPDATE check_due SET opened_at = NULL, opens_at = ? WHERE id = ?", NOW.plusSeconds(3600), LOOK);
        fixture.run("UPDATE check_plan SET asked_role = NULL, asked_person_id = ? WHERE id = ?", staff.personId(), LOOK);
        fixture.run("DELETE FROM check_asked");
        phoneHasASignal();
        noSignal();
        itIs(NOW.plusSeconds(3700));
        page.navigate(address(link));

        page.getByText("Is the lamp of North Stair 2 lit?").waitFor();
    }

    @Test
    void photoThatWasTakenWithoutASignalFollowsItsAnswer() throws IOException {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        page.setInputFiles("#photo", new FilePayload("photo.jpg", "image/jpeg", PhotoTest.jpeg(3200, 1800)));
        tap("Damaged or missing");
        page.getByText("Kept on this phone, not yet sent, with its photo.").waitFor();
        page.close();
        signal();
        page = context.newPage();
        page.navigate(address(link));
        page.getByText("The photo is recorded with it.").waitFor();
        nothingIsKeptAnyMore();

        assertThat(records()).isOne();
        assertThat(fixture.number("SELECT COUNT(*) FROM check_photo p JOIN check_record r ON r.id = p.record_id WHERE r.due_id = ?", LOOK)).isOne();
    }

    @Test
    void phoneThatWasRevokedMeanwhileKeepsWhatWasSaidAndSaysSo() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        tap("Out");
        page.getByText("not yet sent").first().waitFor();
        fixture.run("DELETE FROM phone WHERE person_id = ?", staff.personId());
        signal();
        page.getByText("This phone is not enrolled, or not any more. What it keeps stays on it").waitFor();
        page.navigate(address("/phone"));
        page.getByText("This phone is not known here.").waitFor();
        page.getByText("Is the lamp of North Stair 2 lit? Out, at 02:45. Kept on this phone, not yet sent.").waitFor();

        assertThat(Axe.everything(page)).isEmpty();
        assertThat(records()).isZero();
        assertThat(kept()).isOne();
        assertThat(page.evaluate(COUNT, "looks")).as("its looks are nobody's business any more").isEqualTo(0);
    }

    @Test
    void lookThatWasWithdrawnMeanwhileIsSaidAndNothingIsLost() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        tap("Out");
        page.getByText("not yet sent").first().waitFor();
        fixture.run("UPDATE check_due SET withdrawn_at = ? WHERE id = ?", NOW, LOOK);
        signal();
        page.getByText("Not recorded: nobody is asked for this look any more").first().waitFor();
        assertThat(records()).isZero();
        assertThat(kept()).isOne();

        page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName("I have read that: put it away")).click();
        nothingIsKeptAnyMore();
    }

    @Test
    void lookThatSomebodyElseTookMeanwhileKeepsBoth() {
        phoneHasASignal();
        noSignal();
        page.navigate(address(link));
        tap("Lit, and all looks well");
        page.getByText("not yet sent").first().waitFor();
        fixture.run("INSERT INTO check_record (id, due_id, site_id, cabinet_id, person_id, answer, looked_at, received_at, is_counted, reading)"
                + " SELECT nextval('check_record_seq'), id, site_id, cabinet_id, CAST(? AS BIGINT), 'LIT', ?, ?, TRUE, 'UNKNOWN' FROM check_due WHERE id = ?",
                fixture.person("M. Teal"), NOW, NOW, LOOK);
        signal();
        page.getByText("Somebody else has answered this look, too; both are kept.").waitFor();

        assertThat(records()).isEqualTo(2);
    }

    @Test
    void phoneWithAWrongClockIsToldAndItsLookIsPutRight() {
        context.clock().setFixedTime(NOW.minus(Duration.ofHours(3)).toEpochMilli());
        phoneHasASignal();
        page.getByText("The clock of this phone is 3 h 0 min behind").waitFor();
        assertThat(Axe.everything(page)).isEmpty();
        noSignal();
        page.navigate(address(link));
        tap("Lit, and all looks well");
        page.getByText("Kept on this phone at 23:45, not yet sent").waitFor();
        signal();
        page.getByText("looked at 02:45. It counts as looked in time. The clock of this phone was 3 h behind").waitFor();

        assertThat(fixture.number("SELECT clock_wrong_by_ms FROM check_record WHERE due_id = ?", LOOK)).isEqualTo(Duration.ofHours(3).toMillis());
    }

    @Test
    void messageIsShownByTheWorkerAndLooksAreFetchedAheadWithIt() {
        PushPhone browser = PushPhone.make();
        context.grantPermissions(List.of("notifications"), new BrowserContext.GrantPermissionsOptions().setOrigin(address("")));
        // There is no push service in a test: what the browser's would answer.
        page.addInitScript("PushManager.prototype.getSubscription = async () => null; PushManager.prototype.subscribe = async () => ({ toJSON: () => ({"
                + " endpoint: 'https://push.example/one', keys: { p256dh: '" + browser.p256dh() + "', auth: '" + browser.auth() + "' } }) });");
        CDPSession inside = context.newCDPSession(page);
        AtomicReference<String> registration = new AtomicReference<>("");
        inside.on("ServiceWorker.workerRegistrationUpdated", event -> event.getAsJsonArray("registrations")
                .forEach(it -> registration.set(it.getAsJsonObject().get("registrationId").getAsString())));
        inside.send("ServiceWorker.enable");
        phoneHasASignal();
        assertThat(Axe.everything(page)).isEmpty();
        page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName("Send me messages on this phone")).click();
        page.getByText("A message is on its way to this phone.").waitFor();
        page.waitForCondition(() -> !registration.get().isEmpty());
        page.evaluate("""
                () => new Promise((resolve) => {
                  const opening = indexedDB.open('lampkeeper-phone', 1);
                  opening.onsuccess = () => {
                    const clearing = opening.result.transaction('looks', 'readwrite');
                    clearing.objectStore('looks').clear();
                    clearing.oncomplete = () => { opening.result.close(); resolve(true); };
                  };
                })
                """);
        JsonObject message = new JsonObject();
        message.addProperty("origin", address("/").replaceAll("/$", ""));
        message.addProperty("registrationId", registration.get());
        message.addProperty("data", "{\"title\":\"Lampkeeper: please look\",\"text\":\"Is the lamp lit?\",\"link\":\"https://elsewhere.example/x\",\"key\":\"k1\",\"stays\":true}");
        inside.send("ServiceWorker.deliverPushMessage", message);

        page.waitForCondition(() -> "Lampkeeper: please look: Is the lamp lit?".equals(page.evaluate(
                "async () => (await (await navigator.serviceWorker.ready).getNotifications()).map((it) => it.title + ': ' + it.body).join()")));
        page.waitForCondition(() -> Integer.valueOf(1).equals(page.evaluate(COUNT, "looks")));
        assertThat(fixture.number("SELECT COUNT(*) FROM push_subscription WHERE person_id = ?", staff.personId())).isOne();
    }

    /** Fetches ahead, and is taken over by the worker. */
    private void phoneHasASignal() {
        page.navigate(address("/phone"));
        page.waitForSelector("html[data-ready]");
    }

    private void noSignal() {
        network.cut();
        // Beside the network that is gone, so that the browser says so when it is back.
        context.setOffline(true);
    }

    private void signal() {
        network.mend();
        context.setOffline(false);
    }

    /** For the server and for the phone alike. */
    private void itIs(Instant now) {
        clock.stopAt(now);
        context.clock().setFixedTime(now.toEpochMilli());
    }

    private void tap(String answer) {
        page.getByRole(AriaRole.BUTTON, new Page.GetByRoleOptions().setName(answer).setExact(true)).click();
    }

    private String address(String path) {
        return "http://localhost:" + network.port() + path;
    }

    private long records() {
        return fixture.number("SELECT COUNT(*) FROM check_record WHERE due_id = ?", LOOK);
    }

    private void nothingIsKeptAnyMore() {
        page.waitForCondition(() -> {
            try {
                return kept() == 0;
            } catch (PlaywrightException leading) {
                // The page is just being opened anew: look again.
                return false;
            }
        });
    }

    private long kept() {
        return ((Number) page.evaluate(COUNT, "answers")).longValue();
    }
}
