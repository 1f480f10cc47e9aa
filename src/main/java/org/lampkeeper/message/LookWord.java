package org.lampkeeper.message;

import java.text.Normalizer;
import java.util.LinkedHashSet;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What a person sends back to a short message that asked them to look: what they saw, and of which look. Pure. The codes are those of
 * {@link ReplyWord#code}, of another number.
 *
 * @param code of the look, as in the message; empty for the word alone
 */
public record LookWord(Verb verb, Optional<String> code) {

    /** What they saw. */
    public enum Verb {
        LIT, OUT, UNSEEN, DAMAGED
    }

    private static final String VERBS = "(LIT|OUT|UNSEEN|DAMAGED)";
    private static final Pattern WITH_CODE = Pattern.compile(
            "(?<![\\p{L}\\p{N}])" + VERBS + "[^\\p{L}\\p{N}]*([2-9][^\\p{L}\\p{N}]*[A-Z][^\\p{L}\\p{N}]*[A-Z])(?![\\p{L}\\p{N}])");
    private static final Pattern ALONE = Pattern.compile("[^\\p{L}\\p{N}]*" + VERBS + "[^\\p{L}\\p{N}]*");
    /** "It is not LIT7KM" is no lamp that is lit: doubt is asked about. That it is out is heard even so. */
    private static final Pattern DENIED = Pattern.compile("(?<![\\p{L}\\p{N}])(NO|NOT|NEVER|CANNOT|UNABLE|ISN['’` ]?T|WASN['’` ]?T)(?![\\p{L}\\p{N}])");

    /**
     * The one thing that is said, whatever stands around it, as of {@link ReplyWord#in}. Empty where nothing is, where that the lamp is lit is
     * denied, or where two things are said. The word without a code counts only where it is all.
     */
    public static Optional<LookWord> in(String text) {
        String plain = Normalizer.normalize(text, Normalizer.Form.NFKD).replaceAll("\\p{M}+", "").toUpperCase(Locale.ROOT);
        Matcher alone = ALONE.matcher(plain);
        if (alone.matches()) {
            return Optional.of(new LookWord(Verb.valueOf(alone.group(1)), Optional.empty()));
        }
        Set<LookWord> said = new LinkedHashSet<>();
        for (Matcher found = WITH_CODE.matcher(plain); found.find();) {
            said.add(new LookWord(Verb.valueOf(found.group(1)), Optional.of(found.group(2).replaceAll("[^A-Z0-9]", ""))));
        }
        return said.size() != 1 ? Optional.empty() : said.stream().findFirst().filter(it -> it.verb() != Verb.LIT || !DENIED.matcher(plain).find());
    }

    /** "LIT7KM or OUT7KM": what a person can send. */
    public static String both(String code) {
        return Verb.LIT + code + " or " + Verb.OUT + code;
    }
}
