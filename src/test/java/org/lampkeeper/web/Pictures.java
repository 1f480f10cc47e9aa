package org.lampkeeper.web;

import java.awt.image.BufferedImage;
import java.awt.image.DataBuffer;
import java.awt.image.IndexColorModel;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.net.URI;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.stream.IntStream;

import javax.imageio.ImageIO;

import jakarta.inject.Inject;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.SelectOption;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.lampkeeper.web.WebFixture.ALARM;
import static org.lampkeeper.web.WebFixture.NOW;

/** Takes the pictures of {@code docs/pictures}: {@code mvn -B test -Ppictures}. No test, so its name is none; what tests look at is the same. */
@QuarkusTest
@TestProfile(WithDemo.class)
class Pictures {

    private static final Path PICTURES = Path.of("docs", "pictures");
    private static Chromium chromium;
    // One for all pictures: on the page for signing in each person of the demo has a button.
    private static SignedIn administrator;

    @Inject
    WebFixture fixture;
    @Inject
    LinkTokens tokens;
    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;

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
        fixture.aNight();
        if (administrator == null) {
            administrator = SignedIn.as(Role.ADMINISTRATOR);
            fixture.run("UPDATE person SET name = 'K. Harl' WHERE id = ?", administrator.personId());
        }
    }

    /** {@code height} 0: as high as the page is. */
    @ParameterizedTest
    @CsvSource({
        "supply,     1280, LIGHT, 0", "supply,     360, DARK,  1400",
        "cabinet,    1280, DARK,  1000", "cabinet,    360, LIGHT, 1500",
        "alarm,      1280, LIGHT, 0", "alarm,      360, LIGHT, 1500", "alarm,    360, DARK,  1500",
        "warmth,     1280, LIGHT, 1000", "warmth,     360, DARK,  1300",
        "attendance, 360,  LIGHT, 1600", "form,       1280, LIGHT, 1000", "form,     360, DARK, 1300",
        "look,       360,  LIGHT, 0", "look-out,   360,  DARK,  0", "looks,      360,  LIGHT, 0", "sheet,      360,  LIGHT, 0", "sheet,    1280, LIGHT, 0",
        "duty,       360,  LIGHT, 0", "channels,   360,  DARK,  0",
        "hand-over,  360,  LIGHT, 1500", "hand-over-figures, 1280, LIGHT, 1400", "hand-over-sign, 1280, DARK, 0", "hand-over-proof, 360, LIGHT, 0",
        "journal,    1280, LIGHT, 1000", "operation,  1280, DARK, 0", "sign-in,  360, LIGHT, 0"})
    void take(String name, int width, ColorScheme scheme, int height) throws IOException {
        try (BrowserContext context = chromium.somebody(width, height == 0 ? 740 : height, scheme)) {
            if (!name.equals("sign-in")) {
                context.addCookies(List.of(new Cookie(SignedIn.COOKIE, administrator.cookie()).setUrl(base.toString())));
            }
            Page page = context.newPage();
            page.navigate(base.resolve(address(name)).toString());
            if (name.equals("form")) {
                fillInWithMistakes(page);
            } else if (name.equals("look-out")) {
                page.locator("button[value=OUT]").click();
                page.locator("p.pressed:not([hidden])").waitFor();
            }
            keep(page.screenshot(new Page.ScreenshotOptions().setFullPage(height == 0)),
                    PICTURES.resolve(name + "-" + width + "-" + scheme.name().toLowerCase(Locale.ROOT) + ".png"));
        }
    }

    private static void fillInWithMistakes(Page page) {
        Map.of("code", "north 3", "name", "North Stair 3", "place", "foot of the stair", "lampPlace", "under the cabinet, left", "content-kind",
                "defibrillator", "circuit-way", "6", "circuit-ratingAmpere", "16", "circuit-cable", "3-core 2.5 mm² SWA, 12 m", "circuit-fuseAmpere",
                "3,5", "circuit-fusedUnitPlace", "below the cabinet").forEach((field, text) -> page.locator("#field-" + field).fill(text));
        Map.of("content-limits", "NOT_ASKED", "circuit-device", "RCBO", "circuit-curve", "C")
                .forEach((field, value) -> page.locator("#field-" + field).selectOption(value));
        page.locator("#field-circuit-boardId").selectOption(new SelectOption().setLabel("Board A"));
        page.locator("form.entry button[type=submit]").click();
        page.locator("#wrong").waitFor();
    }

    /** With the 256 colours that it has most of, which nobody tells from all of them, and in half the bytes. */
    private static void keep(byte[] png, Path file) throws IOException {
        BufferedImage taken = ImageIO.read(new ByteArrayInputStream(png));
        Map<Integer, Integer> counts = new HashMap<>();
        for (int pixel : taken.getRGB(0, 0, taken.getWidth(), taken.getHeight(), null, 0, taken.getWidth())) {
            counts.merge(pixel & 0xFFFFFF, 1, Integer::sum);
        }
        int[] palette = counts.entrySet().stream().sorted(Map.Entry.<Integer, Integer>comparingByValue().reversed()).limit(256)
                .mapToInt(Map.Entry::getKey).toArray();
        Map<Integer, Integer> nearest = new HashMap<>();
        IndexColorModel colours = new IndexColorModel(8, palette.length, palette, 0, false, -1, DataBuffer.TYPE_BYTE);
        BufferedImage kept = new BufferedImage(taken.getWidth(), taken.getHeight(), BufferedImage.TYPE_BYTE_INDEXED, colours);
        for (int y = 0; y < taken.getHeight(); y++) {
            for (int x = 0; x < taken.getWidth(); x++) {
                int index = nearest.computeIfAbsent(taken.getRGB(x, y) & 0xFFFFFF, colour -> IntStream.range(0, palette.length).boxed()
                        .min(Comparator.comparingInt(each -> apart(palette[each], colour))).orElseThrow());
                kept.getRaster().setSample(x, y, 0, index);
            }
        }
        ImageIO.write(kept, "png", file.toFile());
    }

    private static int apart(int one, int other) {
        int apart = 0;
        for (int shift = 0; shift <= 16; shift += 8) {
            int difference = (one >> shift & 0xFF) - (other >> shift & 0xFF);
            apart += difference * difference;
        }
        return apart;
    }

    private String address(String name) {
        return switch (name) {
            case "supply" -> "/";
            case "look", "look-out" -> fixture.aLook(900800, fixture.cabinet(WebFixture.CABINET), fixture.person("M. Teal"), tokens);
            case "looks" -> {
                fixture.aLook(900800, fixture.cabinet(WebFixture.CABINET), fixture.person("M. Teal"), tokens);
                yield "/sites/" + fixture.site(WebFixture.SITE) + "/checks";
            }
            case "sheet" -> {
                fixture.aMonthOfLooks(900800, fixture.cabinet(WebFixture.CABINET), fixture.person("M. Teal"), fixture.person("A. Wren"));
                yield "/cabinets/" + fixture.cabinet(WebFixture.CABINET) + "/checks";
            }
            case "hand-over" -> {
                String record = "/handovers/" + fixture.oneOfEach().get("handover");
                fixture.wholeRecord(900900);
                fixture.run("UPDATE handover_value SET typed = '30 ft' WHERE handover_id = 900900 AND field = 'length'");
                fixture.run("INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at) VALUES (900900, 190, 'ze', '0.40', TRUE, ?)", NOW);
                yield record;
            }
            case "hand-over-figures" -> {
                String record = "/handovers/" + fixture.oneOfEach().get("handover");
                fixture.wholeRecord(900900);
                fixture.run("UPDATE handover_value SET typed = '1.5' WHERE handover_id = 900900 AND field = 'zs'");
                yield record + "/figures";
            }
            case "hand-over-sign" -> {
                String record = "/handovers/" + fixture.oneOfEach().get("handover");
                fixture.signedRecord(900900);
                yield record + "/sign";
            }
            case "hand-over-proof" -> {
                String record = "/handovers/" + fixture.oneOfEach().get("handover");
                fixture.testLink(900900, fixture.person("M. Teal"), tokens);
                yield record + "/proof";
            }
            case "duty" -> "/sites/" + fixture.site("Withy Slip") + "/duty";
            case "channels" -> "/people/" + fixture.person("M. Teal") + "/channels";
            case "alarm" -> "/a/" + tokens.issue(ALARM, fixture.person("M. Teal"), NOW.plus(Duration.ofDays(3)));
            case "attendance" -> "/alarms/" + WebFixture.SILENCE_ALARM + "/attendance";
            case "cabinet" -> "/cabinets/" + fixture.cabinet(WebFixture.CABINET);
            case "warmth" -> "/cabinets/" + fixture.cabinet(WebFixture.CABINET) + "/temperatures";
            case "form" -> "/sites/" + fixture.site(WebFixture.SITE) + "/cabinets/new";
            default -> "/" + name;
        };
    }
}
