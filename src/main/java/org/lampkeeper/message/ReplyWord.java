package org.lampkeeper.message;

import java.text.Normalizer;
import java.util.LinkedHashSet;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What a person sends back to a short message: that they take the call-out or pass it on, and which one. Pure.
 *
 * @param code of the call-out, as in the message; empty for the word alone
 */
public record ReplyWord(Verb verb, Optional<String> code) {

    /** What is done with the call-out. */
    public enum Verb {
        TAKE, PASS
    }

    /** A digit and two letters, none of which looks like another in its place, so that a thumb in a glove may type it. */
    private static final String DIGITS = "23456789";
    private static final String LETTERS = "ACDEFGHJKMNPRTUVWXY";
    private static final int CODES = DIGITS.length() * LETTERS.length() * LETTERS.length();
    /** Has no factor in common with {@link #CODES}, so that this many call-outs in a row all have other codes, and neighbours unlike ones. */
    private static final int STRIDE = 1597;

    private static final Pattern WITH_CODE = Pattern.compile(
            "(?<![\\p{L}\\p{N}])(TAKE|PASS)[^\\p{L}\\p{N}]*([2-9][^\\p{L}\\p{N}]*[A-Z][^\\p{L}\\p{N}]*[A-Z])(?![\\p{L}\\p{N}])");
    private static final Pattern ALONE = Pattern.compile("[^\\p{L}\\p{N}]*(TAKE|PASS)[^\\p{L}\\p{N}]*");
    /** "I can't TAKE7KM" takes nothing: doubt is asked about. "I can't, PASS7KM" is plain. */
    private static final Pattern DENIED = Pattern.compile("(?<![\\p{L}\\p{N}])(NO|NOT|NEVER|CANNOT|UNABLE"
            + "|(CAN|WON|DON|DOESN|DIDN|COULDN|WOULDN|SHOULDN|MUSTN|HAVEN)['’` ]?T)(?![\\p{L}\\p{N}])");

    /**
     * The one thing that is said, whatever stands around it: case, spaces, accents, other words. Empty where nothing is, where taking is
     * denied, or where two things are said, as in a machine's answer that repeats our own words. The word without a code counts only where it is all.
     */
    public static Optional<ReplyWord> in(String text) {
        String plain = Normalizer.normalize(text, Normalizer.Form.NFKD).replaceAll("\\p{M}+", "").toUpperCase(Locale.ROOT);
        Matcher alone = ALONE.matcher(plain);
        if (alone.matches()) {
            return Optional.of(new ReplyWord(Verb.valueOf(alone.group(1)), Optional.empty()));
        }
        Set<ReplyWord> said = new LinkedHashSet<>();
        for (Matcher found = WITH_CODE.matcher(plain); found.find();) {
            said.add(new ReplyWord(Verb.valueOf(found.group(1)), Optional.of(found.group(2).replaceAll("[^A-Z0-9]", ""))));
        }
        return said.size() != 1 ? Optional.empty() : said.stream().findFirst().filter(it -> it.verb() == Verb.PASS || !DENIED.matcher(plain).find());
    }

    /**
     * What a call-out is called towards one person. It tells nobody else's code, and of that person's as many call-outs in a row as there
     * are codes have no two the same.
     *
     * @param reference the person's, which nobody can guess
     */
    public static String code(String reference, long callOutId) {
        int index = (int) Math.floorMod(Math.floorMod(callOutId, (long) CODES) * STRIDE + reference.hashCode(), (long) CODES);
        int letters = index % (LETTERS.length() * LETTERS.length());
        return "" + DIGITS.charAt(index / (LETTERS.length() * LETTERS.length())) + LETTERS.charAt(letters / LETTERS.length())
                + LETTERS.charAt(letters % LETTERS.length());
    }

    /** "TAKE7KM or PASS7KM": what a person can send. */
    public static String both(String code) {
        return Verb.TAKE + code + " or " + Verb.PASS + code;
    }
}
