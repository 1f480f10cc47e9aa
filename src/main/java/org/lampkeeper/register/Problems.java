package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;

/** Collects what is wrong with something that is to be registered, each as one sentence: the thing, the value, the rule. */
final class Problems {

    private static final Pattern CONTROL = Pattern.compile("\\p{Cntrl}");

    private final String thing;
    private final List<String> found = new ArrayList<>();

    Problems(String thing) {
        this.thing = thing;
    }

    /** {@code longest} is the column's width: what is too long is refused here, where the message can name it. */
    Problems text(String what, String value, int longest) {
        if (value.isBlank()) {
            add(what + " is empty, must have 1 to " + longest + " characters");
        } else if (value.length() > longest) {
            add(what + " has " + value.length() + " characters, must have 1 to " + longest);
        } else if (CONTROL.matcher(value).find()) {
            add(what + " has a control character (a line break or a tab), must be one line of text");
        }
        return this;
    }

    Problems text(String what, Optional<String> value, int longest) {
        value.ifPresent(there -> text(what, there, longest));
        return this;
    }

    /** Both ends are allowed values. */
    Problems range(String what, int value, int least, int most, String unit) {
        if (value < least || value > most) {
            add(what + " " + value + " " + unit + ", must be " + least + " to " + most + " " + unit);
        }
        return this;
    }

    Problems must(boolean kept, String otherwise) {
        if (!kept) {
            add(otherwise);
        }
        return this;
    }

    private void add(String problem) {
        found.add(thing + ": " + problem);
    }

    List<String> list() {
        return List.copyOf(found);
    }
}
