package org.lampkeeper.web;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverField.Kind;
import org.lampkeeper.register.HandoverField.Section;
import org.lampkeeper.register.HandoverField.Shape;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.HandoverSheet.Held;
import org.lampkeeper.register.HandoverValues;
import org.lampkeeper.web.Input.Choice;

/** The fields of a hand-over record, a form for each of its sections. */
final class HandoverFields {

    private HandoverFields() {
    }

    /** Those that are typed: a photo has a form of its own. */
    static List<HandoverField> typed(Section section) {
        return section.fields().stream().filter(field -> field.shape().kind() != Kind.PHOTO).toList();
    }

    /** As it is stored, with what is wrong beside each field. */
    static Form showing(Section section, HandoverSheet sheet, List<String> editions) {
        Map<String, String> stored = new HashMap<>();
        typed(section).forEach(field -> stored.put(field.key(), sheet.held().containsKey(field) ? sheet.held().get(field).typed() : ""));
        Form form = add(Form.showing(stored, sheet.revision()), section, sheet, editions);
        sheet.values().problems().forEach((field, problem) -> {
            if (typed(section).contains(field)) {
                form.problem(field.key(), problem);
            }
        });
        return form;
    }

    /** What the signature needs does not say that it may be left empty; it may be for now, and no browser is to keep anybody from saving. */
    static Form add(Form form, Section section, HandoverSheet sheet, List<String> editions) {
        HandoverValues values = sheet.values();
        typed(section).forEach(field -> {
            Input input = input(field, editions).hint(field.hint());
            form.add(values.isNeeded(field) ? input : input.orNot());
        });
        return form;
    }

    private static Input input(HandoverField field, List<String> editions) {
        Shape shape = field.shape();
        return switch (shape.kind()) {
            case TEXT, IP_CODE -> Input.text(field.key(), field.label());
            case WHOLE -> shape.least() < 0 ? Input.reading(field.key(), field.label(), shape.unit()) : Input.whole(field.key(), field.label(), shape.unit());
            case DECIMAL -> shape.least() < 0 ? Input.reading(field.key(), field.label(), shape.unit()) : Input.decimal(field.key(), field.label(), shape.unit());
            case READING -> Input.reading(field.key(), field.label(), shape.unit());
            case CHOICE -> Input.choice(field.key(), field.label(), shape.choices().stream().map(it -> new Choice(it.value(), it.words())).toList());
            case DAY -> Input.date(field.key(), field.label());
            case PHOTO -> throw new IllegalStateException(field + " is sent, not typed: it has a form of its own");
            case EDITION -> Input.choice(field.key(), field.label(), editions.stream().map(it -> new Choice(it, it)).toList());
        };
    }

    /** The same of what a record holds. */
    static String held(HandoverField field, Optional<Held> held) {
        return held.map(Held::typed).filter(typed -> !typed.isEmpty()).map(typed -> written(field, typed)).orElse("not given");
    }

    /** As it is read: the words of a choice, a figure with its unit; "nothing" where somebody emptied it. */
    static String written(HandoverField field, String typed) {
        if (typed.isEmpty()) {
            return "nothing";
        }
        Shape shape = field.shape();
        if (shape.kind() == Kind.CHOICE) {
            return shape.choices().stream().filter(it -> it.value().equals(typed)).map(HandoverField.Choice::words).findFirst().orElse(typed);
        }
        if (shape.kind() == Kind.PHOTO) {
            return "a photo, SHA-256 " + typed;
        }
        // "1 circuit"; units of the SI have no plural.
        boolean isOne = shape.kind() == Kind.WHOLE && typed.equals("1") && shape.unit().endsWith("s");
        return shape.unit().isEmpty() || typed.endsWith(shape.unit()) ? typed : typed + " " + (isOne ? shape.unit().substring(0, shape.unit().length() - 1) : shape.unit());
    }
}
