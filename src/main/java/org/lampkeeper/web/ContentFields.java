package org.lampkeeper.web;

import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.Problem;
import org.lampkeeper.web.Input.Choice;

/** The fields of a content, on their own page and within a new cabinet's: there {@code prefix} is {@code "content."}. */
final class ContentFields {

    /** Ours: rows for dated parts beyond those that are there already. */
    private static final int BLANK_ROWS = 3;
    private static final int MOST_ROWS = 12;

    private ContentFields() {
    }

    /** What the maker says of storage temperatures: "none" and "not looked up" are answers of their own, and none is given for anybody. */
    enum Limits {
        BOTH("a lowest and a highest", true, true),
        LOWEST("only a lowest", true, false),
        HIGHEST("only a highest", false, true),
        NONE("none: its papers name no limit", false, false),
        NOT_ASKED("nobody has looked it up yet", false, false);

        private final String words;
        private final boolean hasLowest;
        private final boolean hasHighest;

        Limits(String words, boolean hasLowest, boolean hasHighest) {
            this.words = words;
            this.hasLowest = hasLowest;
            this.hasHighest = hasHighest;
        }

        static Limits of(ContentSheet content) {
            if (!content.limitsAsked()) {
                return NOT_ASKED;
            }
            if (content.lowest().isPresent()) {
                return content.highest().isPresent() ? BOTH : LOWEST;
            }
            return content.highest().isPresent() ? HIGHEST : NONE;
        }
    }

    static Form add(Form form, String prefix) {
        List<Choice> limits = List.of(Limits.values()).stream().map(each -> new Choice(each.name(), each.words)).toList();
        form.add(Input.text(prefix + "kind", "What it holds").hint("One word or two: defibrillator."))
                .add(Input.choice(prefix + "limits", "Storage temperatures that its maker gives", limits)
                        .hint("From the maker's papers. Without them nobody can say when it has become too cold."))
                .add(Input.temperature(prefix + "lowest", "Lowest").orNot().hint("Empty where the maker gives none."))
                .add(Input.temperature(prefix + "highest", "Highest").orNot().hint("Empty where the maker gives none."));
        for (int i = 0; i < rows(form, prefix); i++) {
            form.add(Input.text(part(prefix, i, "name"), "Dated part " + (i + 1)).orNot().hint("Pads, battery, bottle. Empty for none."))
                    .add(Input.date(part(prefix, i, "goodUntil"), "Good until, part " + (i + 1)).orNot());
        }
        return form;
    }

    static NewContent read(Form form, String prefix) {
        Optional<Limits> limits = form.choice(prefix + "limits", Limits.class);
        Optional<Celsius> lowest = limit(form, prefix + "lowest", limits.map(it -> it.hasLowest));
        Optional<Celsius> highest = limit(form, prefix + "highest", limits.map(it -> it.hasHighest));
        List<DatedPart> parts = new ArrayList<>();
        for (int i = 0; i < rows(form, prefix); i++) {
            Optional<String> name = form.optionalText(part(prefix, i, "name"));
            Optional<LocalDate> goodUntil = form.date(part(prefix, i, "goodUntil"));
            if (name.isPresent()) {
                form.problems(Problem.ofText(part(prefix, i, "name"), "part", name.get(), NewContent.LONGEST_PART));
            }
            if (name.isPresent() && goodUntil.isPresent()) {
                DatedPart part = new DatedPart(name.get(), goodUntil.get());
                parts.add(part);
                sayOfRow(form, prefix, i, part);
            } else if (name.isPresent()) {
                form.problem(part(prefix, i, "goodUntil"), "is empty, must be the last day on which it may be used");
            } else if (goodUntil.isPresent()) {
                form.problem(part(prefix, i, "name"), "is empty, must say which part has this date");
            }
        }
        boolean asked = limits.isPresent() && limits.get() != Limits.NOT_ASKED;
        return new NewContent(form.text(prefix + "kind"), asked, asked ? lowest : Optional.empty(), asked ? highest : Optional.empty(), parts);
    }

    /** What the register has to say of the whole; of single parts it has been said beside their rows. */
    static List<Problem> withoutParts(List<Problem> problems) {
        return problems.stream().filter(problem -> !problem.field().contains("parts.")).toList();
    }

    static Map<String, String> stored(ContentSheet content) {
        Map<String, String> stored = new HashMap<>(Map.of("kind", content.kind(), "limits", Limits.of(content).name()));
        stored.put("lowest", content.lowest().map(it -> Form.number(it.value())).orElse(""));
        stored.put("highest", content.highest().map(it -> Form.number(it.value())).orElse(""));
        for (int i = 0; i < content.parts().size(); i++) {
            stored.put(part("", i, "name"), content.parts().get(i).name());
            stored.put(part("", i, "goodUntil"), content.parts().get(i).goodUntil().toString());
        }
        return stored;
    }

    /** Empty rows are left out of what is registered, so the register's numbers of parts are not the page's: each row is asked here. */
    private static void sayOfRow(Form form, String prefix, int row, DatedPart part) {
        for (Problem problem : new NewContent("any", false, Optional.empty(), Optional.empty(), List.of(part)).problems()) {
            form.problem(prefix + problem.field().replace("parts.0.", "parts." + row + "."), problem.text());
        }
    }

    private static Optional<Celsius> limit(Form form, String name, Optional<Boolean> isSaid) {
        Optional<Double> typed = form.decimal(name, NewContent.LEAST_CELSIUS, NewContent.MOST_CELSIUS);
        if (isSaid.isPresent() && isSaid.get() && form.text(name).isEmpty()) {
            form.problem(name, "is empty, must be the maker's figure, or choose above that there is none");
        }
        if (isSaid.isPresent() && !isSaid.get() && !form.text(name).isEmpty()) {
            form.problem(name, "is filled in, but above it is chosen that there is none; empty it or choose otherwise");
        }
        return typed.map(Celsius::new);
    }

    private static int rows(Form form, String prefix) {
        int there = 0;
        for (int i = 0; i < MOST_ROWS; i++) {
            if (!form.value(part(prefix, i, "name")).isEmpty() || !form.value(part(prefix, i, "goodUntil")).isEmpty()) {
                there = i + 1;
            }
        }
        return Math.min(MOST_ROWS, there + BLANK_ROWS);
    }

    private static String part(String prefix, int row, String field) {
        return prefix + "parts." + row + "." + field;
    }
}
