package org.lampkeeper.message;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Base64;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

class WebhookSecretTest {

    /** The example that the libraries of Standard Webhooks are tested with. */
    private static final WebhookSecret PUBLISHED = new WebhookSecret(Base64.getDecoder().decode("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"));

    private static final byte[] KEY = "a key of exactly thirty-two byte".getBytes(StandardCharsets.US_ASCII);
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
        WebhookSecret next = WebhookSecret.derived(KEY, new byte[16]);

        String both = WebhookSecret.signatures(List.of(next, PUBLISHED), ID, SENT, BODY);

        assertEquals(WebhookSecret.signatures(List.of(next), ID, SENT, BODY) + " " + SIGNATURE, both);
    }

    @Test
    void derivedOneNeedsBothKeyAndSeedAndIsNotPrinted() {
        WebhookSecret derived = WebhookSecret.derived(KEY, new byte[16]);

        assertEquals(derived.text(), WebhookSecret.derived(KEY, new byte[16]).text());
        assertNotEquals(derived.text(), WebhookSecret.derived(KEY, new byte[17]).text());
        assertNotEquals(derived.text(), WebhookSecret.derived(new byte[33], new byte[16]).text());
        assertEquals(6 + 44, derived.text().length());
        assertFalse(derived.toString().contains(derived.text().substring(6)));
    }

    @ParameterizedTest
    @CsvSource({"23,false", "24,true", "64,true", "65,false"})
    void takesKeysOf24To64Bytes(int bytes, boolean taken) {
        if (taken) {
            assertEquals("whsec_" + Base64.getEncoder().encodeToString(new byte[bytes]), new WebhookSecret(new byte[bytes]).text());
        } else {
            assertTrue(assertThrows(IllegalArgumentException.class, () -> new WebhookSecret(new byte[bytes])).getMessage().contains(bytes + " bytes"));
        }
    }

    @Test
    void refusesToSignWithoutASecretOrWithAnIdThatCouldBeReadTwoWays() {
        assertThrows(IllegalArgumentException.class, () -> WebhookSecret.signatures(List.of(), ID, SENT, BODY));
        assertThrows(
                IllegalArgumentException.class, () -> WebhookSecret.signatures(List.of(PUBLISHED), "a.b", SENT, BODY));
    }
}
