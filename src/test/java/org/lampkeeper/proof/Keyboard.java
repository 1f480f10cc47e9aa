package org.lampkeeper.proof;

import java.time.LocalDateTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;

import com.google.gson.JsonElement;
import com.google.gson.JsonObject;
import com.microsoft.playwright.CDPSession;
import com.microsoft.playwright.Page;

import org.lampkeeper.testing.Chromium;

/**
 * Somebody who has no mouse. Whatever they use they reach by the Tab key, find by the name that a screen reader would say, and see by its
 * focus ring; a page that does not let them fails the test. Nothing is clicked, and nothing is filled in by script.
 *
 * <p>What is wrong with a control that is passed on the way (no ring, no name, out of sight) is collected, for
 * {@link #complaints()}.
 */
final class Keyboard {

    // From one control to the next one that is wanted; a date alone takes four. Ours: whoever has to press longer gives up.
    private static final int FARTHEST = 45;
    private static final String MAY_BE_EMPTY = " (may be left empty)";
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("MMdd", Locale.US);
    private static final DateTimeFormatter YEAR = DateTimeFormatter.ofPattern("uuuu", Locale.US);
    private static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("hhmma", Locale.US);

    /** What can be seen of the control that has the focus: what is wrong with it, in words; nothing where all is well. */
    private static final String FAULTS = """
            () => {
              const it = document.activeElement;
              if (!it || it === document.body) return [];
              const style = getComputedStyle(it);
              const faults = [];
              const rgba = (text) => (text.match(/[\\d.]+/g) || []).map(Number);
              const light = ([r, g, b]) => [r, g, b].map((c) => c / 255).map((c) => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
                .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
              const behind = (node) => {
                for (let at = node; at; at = at.parentElement) {
                  const colour = rgba(getComputedStyle(at).backgroundColor);
                  if (colour.length === 3 || colour[3] === 1) return colour;
                }
                return [255, 255, 255];
              };
              if (style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2) {
                faults.push('no focus ring');
              } else {
                const [one, two] = [light(rgba(style.outlineColor)), light(behind(it.parentElement))].sort((a, b) => b - a);
                if ((one + 0.05) / (two + 0.05) < 3) faults.push('a focus ring that can hardly be seen');
              }
              const box = it.getClientRects()[0] || it.getBoundingClientRect();
              const x = box.left + box.width / 2, y = Math.max(Math.min(box.top + box.height / 2, innerHeight - 3), 3);
              const top = document.elementFromPoint(x, y);
              if (box.bottom < 3 || box.top > innerHeight - 3 || !top || !(it.contains(top) || top.contains(it) || [...(it.labels || [])].some((l) => l.contains(top)))) {
                faults.push('out of sight at ' + Math.round(x) + ',' + Math.round(y));
              }
              return faults;
            }
            """;

    private final Page page;
    private final CDPSession browser;
    private final Set<String> complaints = new LinkedHashSet<>();
    private final Set<String> lookedAt = new HashSet<>();
    private int loads;

    Keyboard(Page page) {
        this.page = page;
        this.browser = page.context().newCDPSession(page);
        // Without it the browser works the names of the whole page out anew for each question.
        browser.send("Accessibility.enable");
        page.onDOMContentLoaded(loaded -> loads++);
    }

    /** How many pages have been loaded so far. */
    int loads() {
        return loads;
    }

    /** What was wrong with what was passed, and with the pages; each once. */
    Set<String> complaints() {
        return Set.copyOf(complaints);
    }

    /** Types an address into the browser, or follows a link from somewhere else. */
    Keyboard goTo(String address) {
        page.navigate(address, new Page.NavigateOptions().setWaitUntil(com.microsoft.playwright.options.WaitUntilState.DOMCONTENTLOADED));
        lookAround();
        return this;
    }

    /** Tabs to a control of this name. @throws AssertionError when it cannot be reached */
    Keyboard tabTo(String name) {
        return walkTo(name, "Tab");
    }

    /** The same, backwards. */
    Keyboard backTo(String name) {
        return walkTo(name, "Shift+Tab");
    }

    /** Past the top of the page, by the link that is there for it. */
    Keyboard skip() {
        tabTo("Skip to the page");
        page.keyboard().press("Enter");
        return this;
    }

    /** Tabs to a button or a link and presses Enter; returns when the page that follows is there. */
    Keyboard press(String name) {
        tabTo(name);
        return enter();
    }

    /** Enter, where the focus is; returns when the page that follows is there. */
    Keyboard enter() {
        int before = loads;
        page.keyboard().press("Enter");
        page.waitForCondition(() -> loads > before);
        lookAround();
        return this;
    }

    /** Replaces what stands in a field. */
    Keyboard type(String name, String text) {
        tabTo(name);
        page.keyboard().press("Control+A");
        page.keyboard().type(text);
        return this;
    }

    /** Walks through a list with the arrow keys until it shows what begins so. */
    Keyboard choose(String name, String wanted) {
        tabTo(name);
        List<String> seen = new ArrayList<>();
        page.keyboard().press("Home");
        while (!chosen().startsWith(wanted)) {
            if (seen.contains(chosen())) {
                throw new AssertionError("'" + name + "' has no '" + wanted + "', only " + seen);
            }
            seen.add(chosen());
            page.keyboard().press("ArrowDown");
        }
        return this;
    }

    /** Sets a tick that is not set. */
    Keyboard tick(String name) {
        tabTo(name);
        page.keyboard().press("Space");
        return this;
    }

    /** A day and a time, part after part, as the field asks for them in the language of {@link Chromium}. */
    Keyboard type(String name, LocalDateTime at) {
        tabTo(name);
        page.keyboard().type(DAY.format(at));
        page.keyboard().type(YEAR.format(at));
        page.keyboard().press("ArrowRight");
        page.keyboard().type(TIME.format(at));
        return this;
    }

    String headline() {
        return page.locator("h1").textContent();
    }

    Page page() {
        return page;
    }

    private Keyboard walkTo(String name, String key) {
        List<String> passed = new ArrayList<>();
        for (int pressed = 0; pressed < FARTHEST; pressed++) {
            page.keyboard().press(key);
            String here = nameOfFocused();
            passed.add(here);
            look(here);
            if (here.equals(name) || here.equals(name + MAY_BE_EMPTY)) {
                return this;
            }
        }
        throw new AssertionError("'" + name + "' cannot be reached with " + FARTHEST + " times " + key + " on " + page.url() + " (" + headline()
                + "), passed were " + passed);
    }

    private void look(String name) {
        String where = page.url().replaceAll("^https?://[^/]+", "").replaceAll("\\d+", "#") + ": '" + name + "' ";
        if (!lookedAt.add(where)) {
            return;
        }
        if (name.isBlank()) {
            complaints.add(where + "has no name: " + page.evaluate("document.activeElement.outerHTML"));
        }
        ((List<?>) page.evaluate(FAULTS)).forEach(fault -> complaints.add(where + "has " + fault));
    }

    private void lookAround() {
        if (!Boolean.TRUE.equals(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))) {
            complaints.add(page.url() + " is wider than the screen");
        }
    }

    private String chosen() {
        return (String) page.evaluate("document.activeElement.selectedOptions[0].label");
    }

    /** What a screen reader would call it; empty where it would not know. */
    private String nameOfFocused() {
        JsonObject focused = new JsonObject();
        focused.addProperty("expression", "document.activeElement");
        JsonObject ask = new JsonObject();
        ask.add("objectId", browser.send("Runtime.evaluate", focused).getAsJsonObject("result").get("objectId"));
        ask.addProperty("fetchRelatives", false);
        JsonElement node = browser.send("Accessibility.getPartialAXTree", ask).getAsJsonArray("nodes").get(0);
        JsonObject name = node.getAsJsonObject().getAsJsonObject("name");
        return name == null || name.get("value") == null ? "" : name.get("value").getAsString().strip();
    }
}
