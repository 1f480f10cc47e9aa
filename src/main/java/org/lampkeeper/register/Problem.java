package org.lampkeeper.register;

/**
 * One thing that keeps something from being registered.
 *
 * @param field the component's name in its {@code New…} record, that of an inner record after a dot ({@code circuit.way}), a place in a
 *              list after another ({@code parts.0.name}); empty where it is about the whole
 * @param text  what was wrong and what would be right, without the name of the thing: "fuse 15 A, must be 1 to 13 A"
 */
public record Problem(String field, String text) {

    /** The same problem of a record that is a component of another. */
    Problem within(String component) {
        return new Problem(field.isEmpty() ? component : component + "." + field, text);
    }
}
