package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.Cause;
import org.lampkeeper.alarm.Neighbour;
import org.lampkeeper.alarm.Surroundings;
import org.lampkeeper.alarm.WhereToLook;
import org.lampkeeper.supply.Reading;

import static org.assertj.core.api.Assertions.assertThat;

/** The numbers in the drawing are those of the list beside it, for every cause that the advice knows. */
class LookOrderTest {

    @ParameterizedTest
    @CsvSource({
            // cause, on the board, elsewhere, seen lit; marks at intake, board, device, cable, fuse, lamp
            "OWN_WAY,               HEALTHY, HEALTHY, false, false, false, true,  true,  true,  true",
            "BOARD_SUPPLY,          LOST,    HEALTHY, false, false, true,  false, true,  true,  true",
            "SITE_INTAKE,           LOST,    LOST,    false, true,  true,  false, true,  true,  true",
            "NEIGHBOURS_NOT_KNOWN,  UNKNOWN, HEALTHY, false, false, false, true,  true,  true,  true",
            "ONLY_CABINET_ON_BOARD, ,        HEALTHY, false, false, false, true,  true,  true,  true",
            "SENSOR_SUPPLY,         HEALTHY, HEALTHY, true,  false, false, false, true,  true,  true"})
    void placesAreMarkedWithTheNumberThatTheAdviceGivesThem(Cause cause, Reading onBoard, Reading elsewhere, boolean seenLit, boolean intake,
            boolean board, boolean device, boolean cable, boolean fuse, boolean lamp) {
        List<Neighbour> neighbours = onBoard == null ? List.of() : List.of(new Neighbour("North Stair 1", onBoard));
        Advice advice = WhereToLook.advise(new Surroundings("North Stair 2", "defibrillator", "quay", "below it", "Board A", "kiosk", "key 7",
                "4", "C16, 30 mA", 3, "below the cabinet", "2.5 mm² SWA", "meter cupboard", neighbours,
                List.of(new Neighbour("Stair telephone", elsewhere)), seenLit, false));

        LookOrder order = LookOrder.of(advice);

        assertThat(advice.cause()).isEqualTo(cause);
        assertMark(order.intake(), intake, advice, "The intake of the site");
        assertMark(order.board(), board, advice, "main switch or of any other device");
        assertMark(order.device(), device, advice, "way 4, C16, 30 mA");
        assertMark(order.cable(), cable, advice, "cable between");
        assertMark(order.fuse(), fuse, advice, "3 A fuse");
        assertMark(order.lamp(), lamp, advice, "The lamp");
    }

    @Test
    void lampThatWasSeenOutAgainstItsSensorIsMarkedFirst() {
        Advice advice = WhereToLook.advise(new Surroundings("North Stair 2", "defibrillator", "quay", "below it", "Board A", "kiosk", "key 7",
                "4", "C16, 30 mA", 3, "below the cabinet", "2.5 mm² SWA", "meter cupboard", List.of(), List.of(), false, true));

        assertThat(LookOrder.of(advice)).isEqualTo(new LookOrder("", "", "2", "5", "4", "1"));
    }

    private static void assertMark(String mark, boolean isThere, Advice advice, String text) {
        assertThat(mark.isEmpty()).isEqualTo(!isThere);
        if (isThere) {
            List<String> places = new ArrayList<>(advice.youMayLook());
            places.addAll(advice.electricianOnly());
            assertThat(places.get(Integer.parseInt(mark) - 1)).contains(text);
        }
    }
}
