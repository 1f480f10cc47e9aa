package org.lampkeeper.message;

import java.security.SecureRandom;
import java.time.Instant;
import java.util.Base64;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

class WebhookSecretTest {

    /** The example that the libraries of Standard Webhooks are tested with. */
    private static final WebhookSecret PUBLISHED = WebhookSecret.of("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw");

    private static final String ID = "msg_p5jXN8AQM9LWM0D4loKWxJek";
    private static final Instant SENT = Instant.ofEpochSecond(1614265330);
    private static final String BODY = "{\"test\": 2432232314}";
    private static final String SIGNATURE = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=";

    @Test
    void signsThePublishedExample() {
        assertEquals(SIGNATURE, WebhookSecret.signatures(List.of(PUBLISHED), ID, SENT, BODY));
    }

    @Test
    void signsWithEverySecretWhileTheyChange() {
        WebhookSecret next = WebhookSecret.fresh(new SecureRandom());

        String both = WebhookSecret.signatures(List.of(next, PUBLISHED), ID, SENT, BODY);

        assertEquals(WebhookSecret.signatures(List.of(next), ID, SENT, BODY) + " " + SIGNATURE, both);
    }

    @Test
    void aFreshOneIsReadBackFromItsText() {
        WebhookSecret fresh = WebhookSecret.fresh(new SecureRandom());

        assertEquals(fresh.text(), WebhookSecret.of(fresh.text()).text());
        assertFalse(fresh.text().equals(WebhookSecret.fresh(new SecureRandom()).text()));
        assertFalse(fresh.toString().contains(fresh.text().substring(6)));
    }

    @ParameterizedTest
    @CsvSource({"23,false", "24,true", "64,true", "65,false"})
    void takesKeysOf24To64Bytes(int bytes, boolean taken) {
        String text = "whsec_" + Base64.getEncoder().encodeToString(new byte[bytes]);

        if (taken) {
            assertEquals(text, WebhookSecret.of(text).text());
        } else {
            assertTrue(assertThrows(IllegalArgumentException.class, () -> WebhookSecret.of(text))
                    .getMessage()
                    .contains(bytes + " bytes"));
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "whsec_no base64 at all, I fear"})
    void refusesWhatIsNoSecretWithoutRepeatingIt(String text) {
        String message = assertThrows(IllegalArgumentException.class, () -> WebhookSecret.of(text))
                .getMessage();

        assertTrue(text.isEmpty() || !message.contains(text), message);
    }

    @Test
    void refusesToSignWithoutASecretOrWithAnIdThatCouldBeReadTwoWays() {
        assertThrows(IllegalArgumentException.class, () -> WebhookSecret.signatures(List.of(), ID, SENT, BODY));
        assertThrows(
                IllegalArgumentException.class, () -> WebhookSecret.signatures(List.of(PUBLISHED), "a.b", SENT, BODY));
    }
}
