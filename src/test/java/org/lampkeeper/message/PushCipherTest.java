package org.lampkeeper.message;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.interfaces.ECPrivateKey;
import java.security.interfaces.ECPublicKey;
import java.util.Base64;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** Against RFC 8291, section 5 and appendix A. */
class PushCipherTest {

    private static final String BROWSER = "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94";
    private static final String BROWSER_PUBLIC = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4";
    private static final String SENDER = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw";
    private static final String SENDER_PUBLIC = "BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8";
    private static final String AUTH = "BTBZMqHH6r4Tts7J_aSIgg";
    private static final String SALT = "DGv6ra1nlYgDCS1FRnbzlw";
    private static final String TEXT = "When I grow up, I want to be a watermelon";
    private static final String BODY = "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN";

    @Test
    void messageOfTheStandardIsEncryptedByteForByte() {
        byte[] body = PushCipher.encrypted(TEXT.getBytes(StandardCharsets.US_ASCII), Point256.publicKey(bytes(BROWSER_PUBLIC)), bytes(AUTH),
                Point256.privateKey(bytes(SENDER)), Point256.publicKey(bytes(SENDER_PUBLIC)), bytes(SALT));

        assertThat(Base64.getUrlEncoder().withoutPadding().encodeToString(body)).isEqualTo(BODY);
        assertThat(body).hasSize(144);
    }

    @Test
    void messageOfTheStandardIsRead() throws GeneralSecurityException {
        assertThat(new String(PushCipher.decrypted(bytes(BODY), Point256.privateKey(bytes(BROWSER)), Point256.publicKey(bytes(BROWSER_PUBLIC)), bytes(AUTH)),
                StandardCharsets.US_ASCII)).isEqualTo(TEXT);
    }

    @ParameterizedTest
    @CsvSource({BROWSER + ", " + BROWSER_PUBLIC, SENDER + ", " + SENDER_PUBLIC})
    void publicKeyFollowsFromThePrivateOne(String own, String open) {
        ECPublicKey found = Point256.publicKeyOf(Point256.privateKey(bytes(own)));

        assertThat(Point256.bytes(found)).isEqualTo(bytes(open));
    }

    @Property(tries = 20)
    void anyRandomBytesAreAKeyThatReadsWhatIsMeantForIt(@ForAll @Size(32) byte[] random, @ForAll @Size(max = PushCipher.MOST_BYTES) byte[] text,
            @ForAll @Size(16) byte[] auth) throws GeneralSecurityException {
        ECPrivateKey own = Point256.privateKeyFrom(random);
        ECPublicKey open = Point256.publicKeyOf(own);
        byte[] body = PushCipher.encrypted(text, Point256.publicKey(Point256.bytes(open)), auth);

        assertThat(PushCipher.decrypted(body, own, open, auth)).isEqualTo(text);
        assertThat(body.length).isLessThanOrEqualTo(4096);
    }

    @Test
    void twoMessagesWithTheSameTextHaveNothingInCommon() {
        ECPublicKey browser = Point256.publicKey(bytes(BROWSER_PUBLIC));

        assertThat(PushCipher.encrypted(new byte[40], browser, bytes(AUTH))).isNotEqualTo(PushCipher.encrypted(new byte[40], browser, bytes(AUTH)));
    }

    @Test
    void messageThatAServiceNeedNotTakeIsNotMade() {
        ECPublicKey browser = Point256.publicKey(bytes(BROWSER_PUBLIC));

        assertThat(PushCipher.encrypted(new byte[3993], browser, bytes(AUTH))).hasSize(4096);
        assertThatThrownBy(() -> PushCipher.encrypted(new byte[3994], browser, bytes(AUTH))).hasMessageContaining("must be at most 3993");
    }

    /** A point beside the curve would tell whoever chose it about our key. */
    @Test
    void keyThatIsNoPointOfTheCurveIsRefused() {
        byte[] beside = bytes(BROWSER_PUBLIC);
        beside[64] ^= 1;

        assertThatThrownBy(() -> Point256.publicKey(beside)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("no point of the curve");
        assertThatThrownBy(() -> Point256.publicKey(new byte[65])).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Point256.publicKey(new byte[33])).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("33 bytes");
    }

    private static byte[] bytes(String base64) {
        return Base64.getUrlDecoder().decode(base64);
    }
}
