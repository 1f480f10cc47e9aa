package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Predicate;

import org.lampkeeper.alarm.Advice;

/**
 * Where in a drawing the numbers of the advice stand: the place that the advice calls 2 is marked 2, wherever it lies on the line. Empty:
 * the advice does not send anybody there. Found by how the advice words each place; a test walks every cause.
 */
record LookOrder(String intake, String board, String device, String cable, String fuse, String lamp) {

    static final LookOrder NOTHING = new LookOrder("", "", "", "", "", "");

    static LookOrder of(Advice advice) {
        List<String> places = new ArrayList<>(advice.youMayLook());
        places.addAll(advice.electricianOnly());
        return new LookOrder(
                number(places, place -> place.startsWith("The intake of the site")),
                number(places, place -> place.contains("is the handle of the main switch or of any other device down?")),
                number(places, place -> place.contains("Is its handle down?")),
                number(places, place -> place.startsWith("The cable between")),
                number(places, place -> place.startsWith("The fused unit")),
                number(places, place -> place.startsWith("The lamp") && place.contains("and the cabinet")));
    }

    private static String number(List<String> places, Predicate<String> isThis) {
        for (int i = 0; i < places.size(); i++) {
            if (isThis.test(places.get(i))) {
                return Integer.toString(i + 1);
            }
        }
        return "";
    }
}
