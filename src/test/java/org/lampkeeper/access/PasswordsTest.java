package org.lampkeeper.access;

import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;

class PasswordsTest {

    private static final String MAIL = "m.teal.of.the.landing@hallowwater.example";

    private final Passwords passwords = new Passwords();

    @ParameterizedTest
    @CsvSource({"11, false", "12, true", "128, true", "129, false"}) // OWASP ASVS 4.0.3, 2.1.1 and 2.1.2, in characters, not bytes
    void lengthCountsInCharacters(int length, boolean isTaken) {
        String password = "🚤æ bgrv ol tQ7 knaap".repeat(10).codePoints().limit(length).collect(StringBuilder::new, StringBuilder::appendCodePoint,
                StringBuilder::append).toString();

        assertThat(passwords.problem(password, MAIL).isEmpty()).isEqualTo(isTaken);
    }

    @ParameterizedTest
    @ValueSource(strings = {"passwordpassword", "PasswordPassword", "qwertyuiop123", "aaaaaaaaaaaaaaa", "ababababababab",
            "m.teal.of.the.landing@hallowwater.example", "hallowwater2026", "lampkeeper123", "p4ssw0rd12345", "asdfghjkl;'1"})
    void whatIsTriedFirstIsRefused(String password) {
        assertThat(passwords.problem(password, MAIL, "Margery Teal")).hasValueSatisfying(why -> assertThat(why).contains("tried first"));
    }

    // Randall Munroe's example of four random words (xkcd 936), which the guesser's own paper takes up too.
    @ParameterizedTest
    @ValueSource(strings = {"correct horse battery staple quay", "vessel turnip oblique", "Kf9#tw2!qLzR"})
    void wordsThatHaveNothingToDoWithEachOtherAreTaken(String password) {
        assertThat(passwords.problem(password, MAIL, "Margery Teal")).isEmpty();
    }

    @Test
    void onlyThePasswordItselfIsRight() {
        String hash = passwords.hash("a lamp on the quay");

        assertThat(hash).startsWith("$argon2id$v=19$m=19456,t=2,p=1$").hasSizeLessThan(200);
        assertThat(passwords.isRight("a lamp on the quay", Optional.of(hash))).isTrue();
        assertThat(passwords.isRight("a lamp on the quai", Optional.of(hash))).isFalse();
        assertThat(passwords.isRight("", Optional.of(hash))).isFalse();
    }

    @Test
    void samePasswordIsStoredDifferentlyEachTime() {
        assertThat(passwords.hash("a lamp on the quay")).isNotEqualTo(passwords.hash("a lamp on the quay"));
    }

    @Test
    void nothingIsCutOffALongPassword() {
        String first = "x".repeat(100) + " one of two";
        String second = "x".repeat(100) + " two of two";

        assertThat(passwords.isRight(second, Optional.of(passwords.hash(first)))).isFalse();
    }

    @Test
    void sameCharactersFromAnotherKeyboardAreTheSamePassword() {
        String composed = "caf\u00e9 on the quay";
        String decomposed = "cafe\u0301 on the quay";

        assertThat(passwords.isRight(decomposed, Optional.of(passwords.hash(composed)))).isTrue();
    }

    @Test
    void nobodyIsRightWithoutAStoredPassword() {
        assertThat(passwords.isRight("a lamp on the quay", Optional.empty())).isFalse();
    }
}
