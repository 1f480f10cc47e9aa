package org.lampkeeper.web;

import java.net.URI;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.FilePayload;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.testing.Axe;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;
import org.lampkeeper.watch.PhotoTest;

import static org.assertj.core.api.Assertions.assertThat;

/** Two installers with a tablet each, in one record at the same time. */
@QuarkusTest
@TestProfile(WithDemo.class)
@EnabledIfTool(Chromium.TOOL)
class TwoTabletsTest {

    private static final Instant NOW = Instant.parse("2026-11-25T08:00:00Z");

    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    Handovers handovers;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;

    private Chromium chromium;
    private long site;
    private long cabinet;
    private long record;

    @BeforeEach
    void aRecordThatIsOpen() {
        clock.stopAt(NOW);
        String own = UUID.randomUUID().toString().substring(0, 8).toUpperCase(java.util.Locale.ROOT);
        By by = By.nobody(NOW);
        site = registration.addSite(new NewSite("Quay " + own, "Quay 1", java.time.ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty()), by).id();
        long board = registration.addBoard(new NewBoard(site, "Board A", "kiosk", "key 7"), by).id();
        cabinet = registration.addCabinet(new NewCabinet(site, own, "North " + own, "quay", NewContent.ofKind("defibrillator"), "under it", new NewCircuit(board, "4",
                DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core", 3, "below")), by).cabinetId();
        record = handovers.open(cabinet, by);
        chromium = Chromium.open();
    }

    /** Other tests of this profile count the cabinets in use. */
    @AfterEach
    void itsCabinetIsNotInUseAnyMore() {
        chromium.close();
        registration.takeOutOfUse(cabinet, register.sheet(cabinet).version(), "the test is over", By.nobody(NOW));
    }

    @Test
    void neitherLosesAnythingAndOfOneFieldBothValuesAreSeen() {
        SignedIn marsh = SignedIn.as(Role.INSTALLER, site);
        SignedIn harl = SignedIn.as(Role.INSTALLER, site);
        Page one = tablet(marsh);
        Page other = tablet(harl);

        type(one, "keys", "key 7");
        type(other, "access", "gate by the kiosk");
        assertThat(other.locator("[name=keys]").inputValue()).as("what the one typed is there without loading the page again").isEqualTo("key 7");
        type(one, "ze", "0.35");
        assertThat(one.locator("[name=access]").inputValue()).isEqualTo("gate by the kiosk");
        assertThat(held(HandoverField.KEYS)).isEqualTo("key 7");
        assertThat(held(HandoverField.ACCESS)).isEqualTo("gate by the kiosk");

        other.locator("[name=length]").focus();
        type(one, "length", "30");
        type(other, "length", "32");
        assertThat(other.locator("[data-field=length] [data-problem]").textContent()).contains("Typed meanwhile by " + harl.name(), "32 m", "Stored is “30”");
        assertThat(held(HandoverField.LENGTH)).isEqualTo("30");
        assertThat(Axe.everything(other)).isEmpty();

        one.reload();
        assertThat(one.locator("[data-field=length]").textContent()).contains("Typed meanwhile by " + harl.name(), "32 m");
        assertThat(one.locator("[name=length]").inputValue()).isEqualTo("30");
        one.locator("[name=length]").fill("32");
        one.locator("[name='decide.length']").check();
        one.getByText("Save: Cable").click();
        one.waitForURL(url -> url.endsWith("#CABLE"));
        assertThat(one.locator("[name='decide.length']").count()).isZero();
        assertThat(held(HandoverField.LENGTH)).isEqualTo("32");
        assertThat(handovers.find(record).orElseThrow().undecided()).isEmpty();
    }

    @Test
    void photoIsMadeSmallerBeforeItIsSentAndShownAsItIsStored() throws Exception {
        Page page = tablet(SignedIn.as(Role.INSTALLER, site));

        page.locator("[name=photo]").setInputFiles(new FilePayload("photo.jpg", "image/jpeg", PhotoTest.jpeg(3200, 2400)));
        page.waitForCondition(() -> page.evaluate("createImageBitmap(document.querySelector('[name=photo]').files[0]).then((it) => it.width)").equals(1600));
        page.getByText("Send the photo").click();
        page.locator("img.photo").waitFor();

        page.waitForCondition(() -> page.evaluate("document.querySelector('img.photo').naturalWidth").equals(1600));
        assertThat(held(HandoverField.POSITION_PHOTO)).hasSize(64);
        assertThat(Axe.everything(page)).isEmpty();
    }

    private Page tablet(SignedIn who) {
        BrowserContext context = chromium.somebody(820, 1180, ColorScheme.LIGHT);
        context.addCookies(List.of(new Cookie(SignedIn.COOKIE, who.cookie()).setUrl(base.toString())));
        Page page = context.newPage();
        page.navigate(base.resolve("/handovers/" + record).toString());
        return page;
    }

    /** Until it is stored. */
    private static void type(Page page, String field, String typed) {
        page.waitForResponse(answer -> answer.url().endsWith("/fields") && answer.ok(), () -> page.locator("[name=" + field + "]").fill(typed));
        page.waitForCondition(() -> (boolean) page.evaluate("localStorage.length === 0"));
    }

    private String held(HandoverField field) {
        return handovers.find(record).orElseThrow().held().get(field).typed();
    }
}
