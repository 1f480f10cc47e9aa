package org.lampkeeper.web;

import java.util.List;

/**
 * One field of a {@link Form}, as it is asked. Immutable: each call returns a further one.
 *
 * @param name    as sent; for what goes into the register the component's name, so that its problems find the field
 * @param kind    {@code text}, {@code area}, {@code number}, {@code choice}, {@code tick}, {@code date}, {@code moment}, {@code mail},
 *                {@code phone}, {@code secret} (never shown again)
 * @param hint    one sentence under the label: what it is for, and an example; empty for none
 * @param unit    beside the field; empty for none
 * @param isAsked must be filled in; what need not be says so at its label
 */
record Input(String name, String kind, String label, String hint, String unit, boolean isAsked, String inputmode, String autocomplete,
        List<Choice> choices) {

    /** @param value as sent @param label as read */
    record Choice(String value, String label) {
    }

    private static Input of(String name, String kind, String label, String inputmode, String autocomplete) {
        return new Input(name, kind, label, "", "", true, inputmode, autocomplete, List.of());
    }

    static Input text(String name, String label) {
        return of(name, "text", label, "", "off");
    }

    /** Several lines. */
    static Input area(String name, String label) {
        return of(name, "area", label, "", "off");
    }

    static Input whole(String name, String label, String unit) {
        return of(name, "number", label, "numeric", "off").in(unit);
    }

    /** Takes a point or a comma. */
    static Input decimal(String name, String label, String unit) {
        return of(name, "number", label, "decimal", "off").in(unit);
    }

    /** Below zero too: a telephone's figures have no minus, so the whole keyboard is offered. */
    static Input temperature(String name, String label) {
        return of(name, "number", label, "text", "off").in("°C");
    }

    /** Takes a point or a comma, and a sign or ">" before it, which a telephone's figures do not have. */
    static Input reading(String name, String label, String unit) {
        return of(name, "number", label, "text", "off").in(unit);
    }

    static Input choice(String name, String label, List<Choice> choices) {
        return new Input(name, "choice", label, "", "", true, "", "off", List.copyOf(choices));
    }

    static Input tick(String name, String label) {
        return of(name, "tick", label, "", "").orNot();
    }

    static Input date(String name, String label) {
        return of(name, "date", label, "", "off");
    }

    /** A day and a time of day on the clocks of a place that the label or the hint names. */
    static Input moment(String name, String label) {
        return of(name, "moment", label, "", "off");
    }

    static Input mail(String name, String label) {
        return of(name, "mail", label, "email", "off");
    }

    static Input phone(String name, String label) {
        return of(name, "phone", label, "tel", "off");
    }

    /** {@code autocomplete}: {@code current-password} or {@code new-password}. */
    static Input secret(String name, String label, String autocomplete) {
        return of(name, "secret", label, "", autocomplete);
    }

    Input hint(String words) {
        return new Input(name, kind, label, words, unit, isAsked, inputmode, autocomplete, choices);
    }

    /** May be left empty. */
    Input orNot() {
        return new Input(name, kind, label, hint, unit, false, inputmode, autocomplete, choices);
    }

    Input autocomplete(String token) {
        return new Input(name, kind, label, hint, unit, isAsked, inputmode, token, choices);
    }

    private Input in(String itsUnit) {
        return new Input(name, kind, label, hint, itsUnit, isAsked, inputmode, autocomplete, choices);
    }
}
