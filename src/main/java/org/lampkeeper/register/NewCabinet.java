package org.lampkeeper.register;

import java.util.List;

/**
 * A cabinet as entered, together with what it holds and the circuit that feeds it: an alarm about a cabinet without one could not say
 * where to look.
 *
 * @param code printed on the label: 1 to 12 capital letters, digits and hyphens
 */
public record NewCabinet(long siteId, String code, String name, String place, NewContent content, String lampPlace, NewCircuit circuit) {

    /** A cabinet whose content's storage limits have not been looked up yet. */
    public NewCabinet(long siteId, String code, String name, String place, String content, String lampPlace, NewCircuit circuit) {
        this(siteId, code, name, place, NewContent.ofKind(content), lampPlace, circuit);
    }

    /** Without its circuit and its content. */
    public CabinetFacts facts() {
        return new CabinetFacts(code, name, place, lampPlace);
    }

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .list(facts().problems())
                .within("content", content.problems())
                .within("circuit", circuit.problems())
                .list();
    }
}
