package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;

/**
 * A cabinet as entered, together with the circuit that feeds it: an alarm about a cabinet without one could not say where to look.
 *
 * @param code    printed on the label: 1 to 12 capital letters, digits and hyphens
 * @param content what it holds, one word or two
 */
public record NewCabinet(long siteId, String code, String name, String place, String content, String lampPlace, NewCircuit circuit) {

    private static final Pattern CODE = Pattern.compile("[A-Z0-9-]{1,12}");

    /** Empty when it can be registered. */
    public List<String> problems() {
        List<String> problems = new ArrayList<>(new Problems("cabinet " + code)
                .must(CODE.matcher(code).matches(), "code must be 1 to 12 capital letters, digits and hyphens")
                .text("name", name, 120)
                .text("place", place, 200)
                .text("content", content, 80)
                .text("place of the lamp", lampPlace, 200)
                .list());
        problems.addAll(circuit.problems(code));
        return problems;
    }
}
