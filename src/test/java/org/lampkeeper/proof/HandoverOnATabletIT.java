package org.lampkeeper.proof;

import java.io.IOException;
import java.net.URI;
import java.nio.file.Files;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Locator;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.AriaRole;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.LoadState;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.extension.ExtendWith;

import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverField.Kind;
import org.lampkeeper.register.HandoverFixture;
import org.lampkeeper.testing.Axe;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.ServiceProcess.SensorLogin;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/**
 * A whole hand-over on a tablet: typed with the signal gone in the middle, the sensor paired, the supply taken away and given back by a real MQTT
 * client, the test taken from a real mail, signed by both.
 */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool(Chromium.TOOL)
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class HandoverOnATabletIT {

    private static final String PASSWORD = "a ferry leaves at seven";
    private static final Pattern INVITATION = Pattern.compile("Nobody can sign in yet\\..* (https?://\\S+/invitation/\\S+)");
    private static final Pattern LINK = Pattern.compile("https?://[^\\s\"<>]+/t/[A-Za-z0-9_-]+");

    private ServiceProcess service;
    private Chromium chromium;
    private final List<String> complaints = new ArrayList<>();
    private String cabinet = "";

    @BeforeAll
    void firstStart() {
        service = Surroundings.impatient(ServiceProcess.in(ServiceProcess.freshDirectory("hand-over"))).with("lampkeeper.watch.confirm", "2s")
                .mailTo(MailServer.shared().port()).start();
        chromium = Chromium.open();
    }

    @AfterAll
    void stop() {
        if (chromium != null) {
            chromium.close();
        }
        if (service != null) {
            service.close();
        }
    }

    @Test
    void cabinetIsHandedOverFromTheFirstVisitToBothSignatures() throws Exception {
        Page administrator = tablet();
        invited(administrator, firstInvitation());
        registerSiteAndCabinet(administrator);
        String installerLink = person(administrator, "B. Marsh", "b.marsh@hallowwater.example", "installer");
        String responsibleLink = person(administrator, "M. Teal", "m.teal@hallowwater.example", "responsible person");
        Page tablet = tablet();
        invited(tablet, installerLink);
        Page site = tablet();
        invited(site, responsibleLink);

        tablet.navigate(cabinet);
        press(tablet, "Its hand-over");
        press(tablet, "Open the record");
        String record = tablet.url();
        isFine(tablet);
        typeHalfOfItWithoutSignal(tablet, record);
        press(tablet, "What the figures amount to");
        assertThat(tablet.locator("h1").textContent()).contains("are within").doesNotContain("outside");
        isFine(tablet);

        proveIt(tablet);
        press(tablet, "Sign");
        isFine(tablet);
        press(tablet, "Sign as installer");
        assertThat(tablet.locator("h1").textContent()).contains("waits for the site");

        site.navigate(record + "/sign");
        isFine(site);
        press(site, "Take over for the site");
        assertThat(site.locator("h1").textContent()).contains("is signed by both");
        site.navigate(record);
        assertThat(site.locator("main input, main textarea, main select").count()).as("it is only read").isZero();
        isFine(site);
        assertThat(complaints).isEmpty();
    }

    private Page tablet() {
        BrowserContext context = chromium.somebody(820, 1180, ColorScheme.LIGHT);
        Page page = context.newPage();
        page.onPageError(complaints::add);
        return page;
    }

    private String firstInvitation() throws IOException {
        return Files.readAllLines(service.directory().resolve("service.log")).stream().map(INVITATION::matcher).filter(Matcher::find).map(found -> found.group(1))
                .findFirst().orElseThrow();
    }

    private static void invited(Page page, String link) {
        page.navigate(link);
        if (page.locator("[name=name]").count() > 0) {
            page.fill("[name=name]", "K. Harl");
            page.fill("[name=mail]", "k.harl@hallowwater.example");
        }
        page.fill("[name=password]", PASSWORD);
        press(page, "Come in");
    }

    private void registerSiteAndCabinet(Page page) {
        page.navigate(service.uri("/sites/new").toString());
        fill(page, Map.of("name", "North Stair", "address", "Quay road, Hallow Water", "zone", "Europe/London", "access", "gate code 4715", "intake", "meter cupboard"));
        press(page, "Register the site");
        String site = page.url();
        page.navigate(site + "/boards/new");
        fill(page, Map.of("name", "Board A", "place", "quay kiosk", "access", "key 7"));
        press(page, "Register the board");
        page.navigate(site + "/cabinets/new");
        fill(page, Map.of("code", "NS-1", "name", "North Stair 1", "place", "on the quay, post 1", "lampPlace", "under the cabinet", "content.kind", "defibrillator", "circuit.way", "4",
                "circuit.ratingAmpere", "16", "circuit.residualMilliampere", "30", "circuit.cable", "3-core", "circuit.fuseAmpere", "3"));
        page.fill("[name='circuit.fusedUnitPlace']", "below the cabinet");
        page.selectOption("[name='content.limits']", "NOT_ASKED");
        page.selectOption("[name='circuit.boardId']", new com.microsoft.playwright.options.SelectOption().setLabel("Board A"));
        page.selectOption("[name='circuit.device']", "RCBO");
        page.selectOption("[name='circuit.curve']", "C");
        press(page, "Register the cabinet");
        cabinet = page.url().replaceFirst("/sensor$", "");
    }

    /** Registers a person with a role at every site, and returns the link of their invitation. */
    private String person(Page page, String name, String mail, String role) {
        page.navigate(service.uri("/people/new").toString());
        fill(page, Map.of("name", name, "mail", mail));
        page.selectOption("[name=role]", new com.microsoft.playwright.options.SelectOption().setLabel(role));
        page.selectOption("[name=site]", new com.microsoft.playwright.options.SelectOption().setLabel("North Stair"));
        press(page, "Register");
        press(page, "Invite");
        press(page, "Invite " + name);
        return page.locator(".once").first().textContent();
    }

    /** The first half is typed and sent; the second while there is no signal, and the page is closed; it is sent when there is. */
    private void typeHalfOfItWithoutSignal(Page tablet, String record) {
        Map<HandoverField, String> example = HandoverFixture.example();
        List<HandoverField> fields = new ArrayList<>(example.keySet());
        fields.subList(0, fields.size() / 2).forEach(field -> type(tablet, field, example.get(field)));
        type(tablet, HandoverField.LENGTH, "30 ft");
        Locator problem = tablet.locator("[data-field=length] [data-problem]");
        problem.getByText("“ft” stands behind the number").waitFor();
        isFine(tablet);

        tablet.context().setOffline(true);
        fields.subList(fields.size() / 2, fields.size()).forEach(field -> type(tablet, field, example.get(field)));
        type(tablet, HandoverField.LENGTH, example.get(HandoverField.LENGTH));
        tablet.getByText("kept on this tablet and not sent yet: there is no signal").waitFor();
        tablet.navigate("about:blank");
        tablet.context().setOffline(false);
        tablet.navigate(record);
        tablet.waitForCondition(() -> tablet.locator("[data-headline]").textContent().startsWith("Nothing is missing"));
        assertThat(tablet.locator("[data-kept]").isHidden()).isTrue();
        tablet.reload();
        example.forEach((field, typed) -> assertThat(tablet.locator("[name='" + field.key() + "']").inputValue()).as("%s", field).isEqualTo(typed));
    }

    private void proveIt(Page tablet) throws Exception {
        press(tablet, "Sensor and proof test");
        String proof = tablet.url();
        press(tablet, "Pair its sensor");
        isFine(tablet);
        press(tablet, "Register it without a code");
        fill(tablet, Map.of("deviceId", "north-stair-1", "baseName", "urn:dev:org:32473-north-stair-1:"));
        press(tablet, "Register the sensor");
        String command = tablet.locator("main").textContent();
        Matcher secret = Pattern.compile("-P (\\S+)").matcher(command);
        assertThat(secret.find()).isTrue();
        SensorLogin sensor = new SensorLogin("north-stair-1", secret.group(1), "urn:dev:org:32473-north-stair-1:");
        Matcher broker = Pattern.compile("(tcp|ssl)://[0-9.:a-z]+").matcher(command);
        assertThat(broker.find()).isTrue();
        try (SensorClient client = new SensorClient(URI.create(broker.group()), sensor)) {
            client.says(true);
            tablet.navigate(proof);
            tablet.getByText(Pattern.compile("north-stair-1 was heard last .*: supply\\.")).waitFor();
            isFine(tablet);
            press(tablet, "Begin a proof test now");
            assertThat(tablet.locator("h1").textContent()).contains("Take the supply of North Stair 1 away");

            client.says(false);
            tablet.getByText("The message left").waitFor();
            Page phone = chromium.somebody(360, 740, ColorScheme.DARK).newPage();
            phone.navigate(linkOfTheTest());
            assertThat(phone.locator("h1").textContent()).startsWith("TEST: the supply of North Stair 1 was taken away on purpose");
            isFine(phone);
            press(phone, "I have it");
            phone.getByText("Recorded: you have it.").waitFor();
            tablet.getByText("The message was taken").waitFor();

            client.says(true);
            tablet.getByText("Proven: a loss of North Stair 1 reaches the person on duty.").waitFor();
            isFine(tablet);
        }
    }

    /** To whoever of the site is on duty: nobody but those three has a role there. */
    private static String linkOfTheTest() {
        List<String> found = new ArrayList<>();
        await("mail of the test").atMost(Surroundings.patience()).until(() -> {
            for (String address : List.of("k.harl@hallowwater.example", "b.marsh@hallowwater.example", "m.teal@hallowwater.example")) {
                for (var mail : MailServer.shared().receivedBy(address)) {
                    if (mail.getSubject().startsWith("TEST, no alarm: North Stair 1")) {
                        Matcher link = LINK.matcher(Mail.of(mail).text());
                        if (link.find()) {
                            found.add(link.group());
                        }
                    }
                }
            }
            return !found.isEmpty();
        });
        return found.get(0);
    }

    private static void type(Page page, HandoverField field, String typed) {
        String place = "[name='" + field.key() + "']";
        if (field.shape().kind() == Kind.CHOICE || field.shape().kind() == Kind.EDITION) {
            page.selectOption(place, typed);
        } else {
            page.fill(place, typed);
        }
    }

    private static void fill(Page page, Map<String, String> values) {
        values.forEach((name, value) -> page.fill("[name='" + name + "']", value));
    }

    private static void press(Page page, String name) {
        Locator button = page.locator("main").getByRole(AriaRole.BUTTON, new Locator.GetByRoleOptions().setName(name).setExact(true));
        Locator link = page.locator("main").getByRole(AriaRole.LINK, new Locator.GetByRoleOptions().setName(name).setExact(true));
        button.or(link).first().click();
        page.waitForLoadState(LoadState.LOAD);
    }

    private static void isFine(Page page) {
        assertThat(Axe.everything(page)).as(page.url()).isEmpty();
        assertThat((boolean) page.evaluate("document.documentElement.scrollWidth <= innerWidth")).as("%s fits its screen", page.url()).isTrue();
    }
}
