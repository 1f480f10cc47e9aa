package org.lampkeeper.web;

import java.util.Optional;

import org.lampkeeper.alarm.Advice;

/**
 * One way of a board as a one-line diagram: busbar, device, cable, fuse, lamp.
 *
 * @param look       {@code lit}, {@code lost} or {@code unknown}: shape and colour of the line
 * @param device     as printed on its front
 * @param isNearDead whether the piece between busbar and device may be without supply too, because nothing on the board is known to have it
 * @param order      the numbers of the places to look at first
 * @param spoken     the same for who cannot see it
 */
record Drawing(String look, String way, String device, String cable, String fuse, boolean isNearDead, LookOrder order, String spoken) {

    /** {@code advice}: for a loss; empty where the supply is there or nobody knows. */
    static Drawing of(String board, String way, String device, String cable, int fuseAmpere, Lamp lamp, boolean isBusbarAlive,
            Optional<Advice> advice) {
        String fuse = fuseAmpere + " A";
        String spoken = String.join(", ", board, "way " + way, device, cable, fuse + " fuse", lamp.spoken());
        return new Drawing(lamp.look(), way, device, cable, fuse, lamp != Lamp.LIT && !isBusbarAlive,
                advice.map(LookOrder::of).orElse(LookOrder.NOTHING), spoken);
    }
}
