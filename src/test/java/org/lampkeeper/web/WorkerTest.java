package org.lampkeeper.web;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;

import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.ColorScheme;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.testing.Chromium;
import org.lampkeeper.testing.EnabledIfTool;

import static org.assertj.core.api.Assertions.assertThat;

/** What the worker of a phone does when a message is tapped, and when the push service ends what messages come by: told to it by a page that plays the browser. */
@EnabledIfTool(Chromium.TOOL)
class WorkerTest {

    private static final Path WORKER = Path.of("src/main/resources/META-INF/resources/worker.js");

    /** Hears as the browser's worker does, and writes down what is done; nobody's tap is needed for a window here. */
    private static final String PLAYED = """
            async ([code, name, event, open, isAllowed]) => {
              const did = [];
              const heard = {};
              const subscription = (of) => ({ toJSON: () => ({ endpoint: of, keys: { p256dh: 'p', auth: 'a' } }) });
              const self = {
                location: { origin: 'https://lamps.example' },
                addEventListener: (what, listener) => { heard[what] = listener; },
                registration: { pushManager: { subscribe: async (options) => {
                  if (!isAllowed) throw new Error('not allowed');
                  did.push(`subscribe ${options.applicationServerKey}`);
                  return subscription('anew');
                } } },
                clients: {
                  matchAll: async () => open.map((url) => ({ url, focus: async () => did.push(`focus ${url}`) })),
                  openWindow: async (to) => did.push(`open ${to}`),
                },
              };
              const fetch = async (to, { method, body }) => did.push(`${method} ${to} ${body}`);
              new Function('self', 'fetch', code)(self, fetch);
              let until = Promise.resolve();
              const given = event.newSubscription ? { newSubscription: subscription(event.newSubscription) } : event;
              if (given.notification) given.notification.close = () => did.push('close');
              heard[name]({ ...given, waitUntil: (it) => { until = it; } });
              await until;
              return did.join(', ');
            }
            """;

    private static Chromium chromium;
    private static Page page;

    @BeforeAll
    static void open() {
        chromium = Chromium.open();
        page = chromium.somebody(360, 740, ColorScheme.LIGHT).newPage();
    }

    @AfterAll
    static void close() {
        chromium.close();
    }

    @ParameterizedTest
    @CsvSource({
            "/c/abc, '', 'close, open https://lamps.example/c/abc'",
            "/c/abc, https://lamps.example/c/abc, 'close, focus https://lamps.example/c/abc'",
            "/c/abc, https://lamps.example/phone, 'close, open https://lamps.example/c/abc'",
            "https://elsewhere.example/x, '', 'close, open https://lamps.example/phone'",
            "javascript:alert(1), '', 'close, open https://lamps.example/phone'"})
    void messageThatIsTappedLeadsToItsLookAndToNothingThatIsNotOurs(String link, String open, String done) throws IOException {
        assertThat(told("notificationclick", Map.of("notification", Map.of("data", Map.of("link", link))), open.isEmpty() ? List.of() : List.of(open), true)).isEqualTo(done);
    }

    @Test
    void subscriptionThatThePushServiceEndsIsMadeAnewAndToldToTheServer() throws IOException {
        String body = "{\"endpoint\":\"%s\",\"keys\":{\"p256dh\":\"p\",\"auth\":\"a\"}}";

        assertThat(told("pushsubscriptionchange", Map.of("oldSubscription", Map.of("options", Map.of("applicationServerKey", "key"))), List.of(), true))
                .isEqualTo("subscribe key, POST /phone/push " + body.formatted("anew"));
        assertThat(told("pushsubscriptionchange", Map.of("newSubscription", "given"), List.of(), true)).isEqualTo("POST /phone/push " + body.formatted("given"));
    }

    @Test
    void whatCannotBeMadeAnewIsLeftToThePageOfThePhone() throws IOException {
        assertThat(told("pushsubscriptionchange", Map.of("oldSubscription", Map.of("options", Map.of())), List.of(), false)).isEmpty();
        assertThat(told("pushsubscriptionchange", Map.of(), List.of(), true)).isEmpty();
    }

    private static String told(String name, Map<String, Object> event, List<String> open, boolean isAllowed) throws IOException {
        return (String) page.evaluate(PLAYED, List.of(Files.readString(WORKER), name, event, open, isAllowed));
    }
}
