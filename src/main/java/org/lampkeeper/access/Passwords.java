package org.lampkeeper.access;

import java.text.Normalizer;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import com.nulabinc.zxcvbn.Zxcvbn;
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

    // Ours: a score of 3 of 4, at least 10^8 guesses, "safely unguessable" where each guess is slowed down (Wheeler, "zxcvbn: Low-Budget
    // Password Strength Estimation", USENIX Security 2016), as it is here.
    private static final int HARD_ENOUGH = 3;
    // The estimate takes long for long text, and what is hard to guess by its beginning is so as a whole.
    private static final int LOOKED_AT = 64;

    private final Zxcvbn guesser = new Zxcvbn();

    /** Why {@code password} is not taken; empty when it is. {@code own}: name and mail address of its owner, which others know. */
    Optional<String> problem(String password, String... own) {
        String meant = meant(password);
        int length = meant.codePointCount(0, meant.length());
        if (length < SHORTEST) {
            return Optional.of("has " + length + (length == 1 ? " character" : " characters") + ", must have at least " + SHORTEST
                    + ". Three or four words in a row are easy to remember.");
        }
        if (length > LONGEST) {
            return Optional.of("has " + length + " characters, must have at most " + LONGEST);
        }
        String looked = meant.substring(0, meant.offsetByCodePoints(0, Math.min(length, LOOKED_AT)));
        if (guesser.measure(looked, known(own)).getScore() < HARD_ENOUGH) {
            return Optional.of("is too easy to guess: common words, names, dates, repeats and keys in a row are tried first. Three or four words "
                    + "that have nothing to do with each other are hard to guess and easy to remember.");
        }
        return Optional.empty();
    }

    private static List<String> known(String... own) {
        List<String> known = new ArrayList<>(List.of("lampkeeper"));
        for (String text : own) {
            String plain = text.strip().toLowerCase(Locale.ROOT);
            known.add(plain);
            known.addAll(Arrays.stream(plain.split("[^\\p{L}\\p{N}]+")).filter(part -> part.length() > 2).toList());
        }
        return known;
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
}
