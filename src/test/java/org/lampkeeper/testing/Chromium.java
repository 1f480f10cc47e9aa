package org.lampkeeper.testing;

import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

import com.microsoft.playwright.Browser;
import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.BrowserType;
import com.microsoft.playwright.Playwright;
import com.microsoft.playwright.options.ColorScheme;

/** The browser that is installed on this machine ({@code CHROMIUM} names another), without a window. Used by the thread that opened it. */
public final class Chromium implements AutoCloseable {

    /** As {@link EnabledIfTool} asks for it. */
    public static final String TOOL = "chromium";

    private final Playwright playwright;
    private final Browser browser;

    private Chromium(Playwright playwright, Browser browser) {
        this.playwright = playwright;
        this.browser = browser;
    }

    public static Chromium open() {
        Path program = ToolPresent.find(TOOL).orElseThrow(() -> new IllegalStateException(TOOL + " is not installed"));
        Playwright playwright = Playwright.create(new Playwright.CreateOptions().setEnv(Map.of("PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD", "1")));
        // What a field for a day looks like follows the browser's language, not the page's; Debian's browser comes with this one alone.
        Map<String, String> environment = new HashMap<>(System.getenv());
        environment.put("LANGUAGE", "en_US");
        return new Chromium(playwright, playwright.chromium().launch(new BrowserType.LaunchOptions().setExecutablePath(program)
                .setEnv(environment).setArgs(List.of("--no-sandbox", "--disable-gpu", "--lang=en-US"))));
    }

    /** Somebody at a screen of their own: with no cookie of anybody else's. */
    public BrowserContext somebody(int width, int height, ColorScheme scheme) {
        return browser.newContext(new Browser.NewContextOptions().setViewportSize(width, height).setColorScheme(scheme)
                .setTimezoneId("Europe/London"));
    }

    @Override
    public void close() {
        browser.close();
        playwright.close();
    }
}
