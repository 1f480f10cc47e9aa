package org.lampkeeper.proof;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.time.LocalDateTime;
import java.time.ZoneId;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.ColorScheme;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.ServiceProcess;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/**
 * From the first start of an installation to the first alarm that was seen to, by people who have a keyboard and nothing else: on a small
 * telephone's screen, a tablet's and a desk's, by day and by night. All six share the installation; each registers a site of its own.
 */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool({"mosquitto_pub", Chromium.TOOL})
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class FirstDayIT {

    private static final String ADMINISTRATOR = "k.harl@hallowwater.example";
    private static final String PASSWORD = "a ferry leaves at seven";
    private static final Pattern INVITATION = Pattern.compile("Nobody can sign in yet\\..* (https?://\\S+/invitation/\\S+)");
    private static final ZoneId ZONE = ZoneId.of("Europe/London");
    // WCAG 2.2 wants reflow at 320 px; a screen this high is a small telephone's.
    private static final int HEIGHT = 740;

    private ServiceProcess service;
    private Chromium chromium;

    @BeforeAll
    void firstStart() {
        service = Surroundings.impatient(ServiceProcess.in(ServiceProcess.freshDirectory("first-day"))).with("lampkeeper.watch.confirm", "1s")
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

    @ParameterizedTest
    @CsvSource({"360, LIGHT", "360, DARK", "768, LIGHT", "768, DARK", "1280, LIGHT", "1280, DARK"})
    void newInstallationSeesToItsFirstAlarm(int width, ColorScheme scheme) throws Exception {
        Names names = new Names("Landing " + width + (scheme == ColorScheme.DARK ? " by night" : ""), "l" + width + scheme.name().charAt(0));
        Keyboard administrator = sit(width, scheme);
        comeIn(administrator);
        registerSite(administrator, names);
        String command = registerCabinetAndSensor(administrator, names);
        String invitation = registerPerson(administrator, names);
        sayWhoIsTold(administrator, names);

        Keyboard manager = sit(width, scheme);
        manager.goTo(invitation).type("A new password", PASSWORD).press("Come in");
        assertThat(manager.headline()).contains("Nothing has been heard yet");
        int loads = manager.loads();
        run(command);
        manager.page().locator(".way.is-lit").waitFor();
        assertThat(manager.headline()).contains("has supply");
        run(command.replace("\"vb\":true", "\"vb\":false"));
        manager.page().locator(".way.is-lost").waitFor();
        assertThat(manager.loads()).as("the page has changed by itself").isEqualTo(loads);

        Keyboard phone = sit(width, scheme);
        phone.goTo(linkInTheMail(names).toString());
        assertThat(phone.headline()).contains(names.cabinet(), "no supply");
        phone.press("I take this");
        assertThat(phone.page().locator(".pressed").textContent()).contains("you take this");
        attend(phone, names);

        run(command);
        manager.page().locator(".way.is-lit").waitFor();
        assertThat(manager.loads()).isEqualTo(loads);
        manager.press("Alarms");
        Page alarms = manager.page();
        assertThat(alarms.locator("section", new Page.LocatorOptions().setHasText("Past")).textContent()).contains(names.cabinet());
        assertThat(alarms.locator("section").count()).as("neither an open alarm nor one without a record").isEqualTo(1);

        assertThat(List.of(administrator.complaints(), manager.complaints(), phone.complaints())).allSatisfy(wrong -> assertThat(wrong).isEmpty());
        List.of(administrator, manager, phone).forEach(each -> each.page().context().close());
    }

    /** What the people of one run call their things. */
    private record Names(String site, String word) {

        String cabinet() {
            return site + " cabinet";
        }

        String device() {
            return word + "-1";
        }

        String person() {
            return "M. Teal of " + site;
        }

        String mail() {
            return word.toLowerCase(java.util.Locale.ROOT) + ".teal@hallowwater.example";
        }
    }

    private Keyboard sit(int width, ColorScheme scheme) {
        BrowserContext context = chromium.somebody(width, HEIGHT, scheme);
        return new Keyboard(context.newPage());
    }

    /** The first takes the one invitation that the first start printed; whoever comes later signs in. */
    private void comeIn(Keyboard keyboard) throws IOException {
        List<String> printed = Files.readAllLines(service.directory().resolve("service.log")).stream().map(INVITATION::matcher)
                .filter(Matcher::find).map(found -> found.group(1)).toList();
        assertThat(printed).as("the invitation is printed once").hasSize(1);
        keyboard.goTo(printed.get(0));
        if (keyboard.headline().startsWith("You are the first")) {
            keyboard.type("Your name", "K. Harl").type("Mail address", ADMINISTRATOR).type("A new password", PASSWORD).press("Come in");
        } else {
            assertThat(keyboard.headline()).isEqualTo("This invitation cannot be used any more.");
            signIn(keyboard.press("Lampkeeper"), ADMINISTRATOR);
        }
        assertThat(keyboard.page().url()).isEqualTo(service.uri("/").toString());
    }

    private static void signIn(Keyboard keyboard, String mail) {
        // The mail field has the focus already: back to what is before it, and on to it.
        keyboard.page().keyboard().press("Shift+Tab");
        keyboard.type("Mail address", mail).type("Password", PASSWORD).press("Sign in");
    }

    private static void registerSite(Keyboard keyboard, Names names) {
        // An empty installation says itself where to begin.
        keyboard.skip().press(keyboard.headline().startsWith("No cabinet") ? "Go to the sites" : "All sites").skip().press("Register a site");
        keyboard.skip().type("Name", names.site()).type("Address", "Quay road, Hallow Water").type("Time zone", ZONE.getId())
                .type("How to get in", "Vehicle gate code 4715").type("Place of the intake", "meter cupboard, key 7")
                .type("Name", "B. Marsh").type("Telephone", "01632 960144").press("Register the site");
        assertThat(keyboard.headline()).isEqualTo(names.site() + " has no cabinet yet.");
        keyboard.skip().press("Register the first board");
        keyboard.skip().type("Name", "Board A").type("Place", "quay kiosk").type("Key or code", "key 7").press("Register the board");
    }

    /** Returns the command that is shown, this once. */
    private static String registerCabinetAndSensor(Keyboard keyboard, Names names) {
        keyboard.skip().press("Register the first cabinet");
        keyboard.skip().type("Code", names.word().toUpperCase(java.util.Locale.ROOT)).type("Name", names.cabinet())
                .type("Place", "on the quay, post 1").type("Place of the lamp", "under the cabinet, left")
                .type("What it holds", "defibrillator").choose("Storage temperatures that its maker gives", "only a lowest").type("Lowest", "0")
                .choose("Board", "Board A").type("Way", "4").choose("Protective device", "RCBO").choose("Curve", "C")
                .type("Rating of the device", "16").type("Residual current", "30").type("Cable", "3-core 2.5 mm² SWA, 38 m")
                .type("Fuse at the cabinet", "3").type("Place of the fused unit", "below the cabinet").press("Register the cabinet");
        assertThat(keyboard.headline()).startsWith("Nothing watches " + names.cabinet());
        keyboard.skip().type("Device id", names.device()).type("Base name", "urn:dev:org:32473-" + names.device() + ":")
                .press("Register the sensor");
        assertThat(keyboard.headline()).contains("shown this once");
        keyboard.skip().tabTo("The secret").tabTo("The command");
        String command = keyboard.page().locator("*:focus").textContent();
        keyboard.press("To " + names.cabinet());
        assertThat(keyboard.headline()).contains(names.cabinet());
        return command;
    }

    /** Returns the link of the invitation. */
    private static String registerPerson(Keyboard keyboard, Names names) {
        keyboard.press("People").skip().press("Register a person");
        keyboard.skip().type("Name", names.person()).type("Mail address", names.mail()).type("Telephone", "07700 900101")
                .choose("Role", "duty manager").choose("Where it holds", names.site()).press("Register");
        keyboard.skip().press("Invite").skip().press("Invite " + names.person());
        String link = keyboard.page().locator(".once").textContent();
        keyboard.skip().press("Back to " + names.person());
        return link;
    }

    private static void sayWhoIsTold(Keyboard keyboard, Names names) {
        keyboard.skip().press("The call-out list of " + names.site()).skip().press("Add a turn");
        keyboard.skip().choose("Who, 1", names.person()).type("After the alarm", "0").type("Begin again", "30").press("Save the list");
        assertThat(keyboard.headline()).startsWith(names.person() + " is told first");
    }

    private static URI linkInTheMail(Names names) {
        return await("mail to " + names.mail()).atMost(Surroundings.patience()).until(() -> MailServer.shared().receivedBy(names.mail()).stream()
                .map(Mail::of).filter(mail -> mail.callsOut(names.mail(), names.cabinet())).toList(), calls -> !calls.isEmpty())
                .get(0).link().orElseThrow();
    }

    /** Whoever has taken it says what was done; that is written by somebody who signs in. */
    private static void attend(Keyboard phone, Names names) {
        phone.press("Say what was done");
        signIn(phone, names.mail());
        assertThat(phone.headline()).isEqualTo("What was done about it?");
        phone.skip().type("Arrived", LocalDateTime.now(ZONE)).choose("Cause", "Somebody had switched it off")
                .type("What was done", "Switched on again; nothing was wet, damaged or hot.").choose("The content was", "inspected and left")
                .tick("Those who rely on it have been told").choose("Fit for use again", "fit for use").press("Save");
        assertThat(phone.page().locator(".pressed").textContent()).isEqualTo("Recorded: everything is said.");
    }

    /** What the page showed, in a shell, as somebody would run it who copies it from there. */
    private static void run(String command) throws IOException, InterruptedException {
        Process shell = new ProcessBuilder("sh", "-c", command).redirectErrorStream(true).start();
        String said = new String(shell.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(shell.waitFor(60, TimeUnit.SECONDS)).isTrue();
        assertThat(shell.exitValue()).as("%s: %s", command, said).isZero();
    }
}
