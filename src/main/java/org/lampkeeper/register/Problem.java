package org.lampkeeper.register;

import java.util.List;

/**
 * One thing that keeps something from being registered.
 *
 * @param field the component's name in its {@code New…} record, that of an inner record after a dot ({@code circuit.way}), a place in a
 *              list after another ({@code parts.0.name}); empty where it is about the whole
 * @param text  what was wrong and what would be right, without the name of the thing: "fuse 15 A, must be 1 to 13 A"
 */
public record Problem(String field, String text) {

    /** What is wrong with one line of text of 1 to {@code longest} characters; empty when it is one. */
    public static List<Problem> ofText(String field, String what, String text, int longest) {
        return new Problems().text(field, what, text, longest).list();
    }

    /** The same problem of a record that is a component of another. */
    Problem within(String component) {
        return new Problem(field.isEmpty() ? component : component + "." + field, text);
    }
}
