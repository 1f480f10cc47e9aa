package org.lampkeeper.alarm;

import java.util.List;

/**
 * Where to look first, in two parts that must never be mixed.
 *
 * @param summary        what the neighbours tell, and what nobody knows
 * @param youMayLook     places in order, for anybody: eyes only
 * @param electricianOnly places in order, for an electrician; their numbers run on from the first part
 * @param cautions       to be shown with every part
 */
public record Advice(Cause cause, String summary, List<String> youMayLook, List<String> electricianOnly, List<String> cautions) {

    public Advice {
        youMayLook = List.copyOf(youMayLook);
        electricianOnly = List.copyOf(electricianOnly);
        cautions = List.copyOf(cautions);
    }

    /** The number of the first place that is for an electrician, with the places counted from 1 over both parts. */
    public int firstElectricianNumber() {
        return youMayLook.size() + 1;
    }
}
