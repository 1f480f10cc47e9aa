package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;

/** Collects what is wrong with something that is to be registered: what, the value, the rule. */
final class Problems {

    private static final Pattern CONTROL = Pattern.compile("\\p{Cntrl}");

    // Unicode's explicit embeddings, overrides and isolates: they would turn round the text that follows, in a mail or on a page, too.
    private static final Pattern DIRECTION = Pattern.compile("[\\u202A-\\u202E\\u2066-\\u2069]");

    private final List<Problem> found = new ArrayList<>();

    /** {@code longest} is the column's width: what is too long is refused here, where the message can name it. */
    Problems text(String field, String what, String value, int longest) {
        if (value.isBlank()) {
            add(field, what + " is empty, must have 1 to " + longest + " characters");
        } else if (value.length() > longest) {
            add(field, what + " has " + value.length() + " characters, must have 1 to " + longest);
        } else if (CONTROL.matcher(value).find()) {
            add(field, what + " has a control character (a line break or a tab), must be one line of text");
        } else if (DIRECTION.matcher(value).find()) {
            add(field, what + " has an invisible character that turns the direction of writing, must be without; type it anew");
        } else if (!isWellFormed(value)) {
            add(field, what + " has half a character in it, must be text; type it anew");
        }
        return this;
    }

    Problems text(String field, String what, Optional<String> value, int longest) {
        value.ifPresent(there -> text(field, what, there, longest));
        return this;
    }

    /** Both ends are allowed values. */
    Problems range(String field, String what, int value, int least, int most, String unit) {
        if (value < least || value > most) {
            add(field, what + " " + value + " " + unit + ", must be " + least + " to " + most + " " + unit);
        }
        return this;
    }

    Problems must(String field, boolean kept, String otherwise) {
        if (!kept) {
            add(field, otherwise);
        }
        return this;
    }

    Problems list(List<Problem> more) {
        found.addAll(more);
        return this;
    }

    Problems within(String component, List<Problem> inner) {
        inner.forEach(problem -> found.add(problem.within(component)));
        return this;
    }

    List<Problem> list() {
        return List.copyOf(found);
    }

    private void add(String field, String text) {
        found.add(new Problem(field, text));
    }

    /** An unpaired surrogate has no UTF-8 form: the databases would each make something else of it. */
    private static boolean isWellFormed(String value) {
        return value.codePoints().noneMatch(point -> point >= Character.MIN_SURROGATE && point <= Character.MAX_SURROGATE);
    }
}
