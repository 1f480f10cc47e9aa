package org.lampkeeper.access;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.text.Normalizer;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import com.password4j.Argon2Function;
import com.password4j.Password;
import com.password4j.types.Argon2;

/** Which passwords are taken, and how they are kept: any characters, no rules of composition, a slow hash with a salt of its own. */
@ApplicationScoped
class Passwords {

    /** OWASP ASVS 4.0.3, 2.1.1 and 2.1.2: at least 12 characters, 64 or more allowed, over 128 refused. */
    static final int SHORTEST = 12;
    static final int LONGEST = 128;

    // OWASP Password Storage Cheat Sheet: Argon2id, 19 MiB, two rounds, one lane. Salt and output: RFC 9106, section 3.1.
    private static final Argon2Function SLOW = Argon2Function.getInstance(19_456, 2, 1, 32, Argon2.ID);
    private static final int SALT_BYTES = 16;

    /** Of no password: what an unknown person's try is compared with, so that it takes as long as any other. */
    private static final String NOBODYS = "$argon2id$v=19$m=19456,t=2,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";

    private final Set<String> common = read("/access/common-passwords.txt");

    /** Why {@code password} is not taken; empty when it is. {@code mail}: its owner's address, which is too easy to guess. */
    Optional<String> problem(String password, String mail) {
        String meant = meant(password);
        int length = meant.codePointCount(0, meant.length());
        if (length < SHORTEST) {
            return Optional.of("has " + length + (length == 1 ? " character" : " characters") + ", must have at least " + SHORTEST
                    + ". Three or four words in a row are easy to remember.");
        }
        if (length > LONGEST) {
            return Optional.of("has " + length + " characters, must have at most " + LONGEST);
        }
        String plain = meant.toLowerCase(Locale.ROOT);
        boolean isOneCharacter = plain.codePoints().distinct().count() < 3;
        if (isOneCharacter || common.contains(plain) || plain.equals(mail.strip().toLowerCase(Locale.ROOT))) {
            return Optional.of("is one of the first that somebody would try. Take another.");
        }
        return Optional.empty();
    }

    String hash(String password) {
        return Password.hash(meant(password)).addRandomSalt(SALT_BYTES).with(SLOW).getResult();
    }

    /** Takes as long without a stored hash as with one, and is false then. */
    boolean isRight(String password, Optional<String> hash) {
        // What could never have been taken costs no long hashing; its length tells nothing about anybody.
        if (password.length() > 4 * LONGEST) {
            return false;
        }
        String stored = hash.orElse(NOBODYS);
        boolean fits = Password.check(meant(password), stored).with(Argon2Function.getInstanceFromHash(stored));
        return fits && hash.isPresent();
    }

    /** NIST SP 800-63B, 5.1.1.2: the same characters typed on another keyboard are the same password. */
    private static String meant(String password) {
        return Normalizer.normalize(password, Normalizer.Form.NFKC);
    }

    private static Set<String> read(String resource) {
        try (InputStream list = Passwords.class.getResourceAsStream(resource)) {
            if (list == null) {
                throw new IllegalStateException(resource + " is missing from the program");
            }
            return new String(list.readAllBytes(), StandardCharsets.UTF_8).lines().map(String::strip)
                    .filter(line -> !line.isEmpty() && !line.startsWith("#")).collect(Collectors.toUnmodifiableSet());
        } catch (IOException broken) {
            throw new UncheckedIOException("the list of common passwords cannot be read from the program", broken);
        }
    }
}
