package org.lampkeeper.register;

import java.util.List;
import java.util.regex.Pattern;

/**
 * What is entered about a cabinet itself, without its circuit and its content.
 *
 * @param code printed on the label: 1 to 12 capital letters, digits and hyphens
 */
public record CabinetFacts(String code, String name, String place, String lampPlace) {

    private static final Pattern CODE = Pattern.compile("[A-Z0-9-]{1,12}");

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .must("code", CODE.matcher(code).matches(), "code must be 1 to 12 capital letters, digits and hyphens")
                .text("name", "name", name, 120)
                .text("place", "place", place, 200)
                .text("lampPlace", "place of the lamp", lampPlace, 200)
                .list();
    }
}
