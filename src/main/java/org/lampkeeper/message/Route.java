package org.lampkeeper.message;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;

/** By which of a person's channels they are told at first. Pure. */
final class Route {

    private Route() {
    }

    /**
     * An alarm goes by the first channel that can be relied on alone, and by every one before it that cannot; where none can, by all at
     * once: nobody is left to sleep because a channel was never tried. A notice goes by the first channel alone.
     *
     * @param inOrder   as its person ordered them
     * @param proofLife a proof is good for this long, its end excluded
     */
    static List<PersonChannel> first(Purpose purpose, List<PersonChannel> inOrder, Duration proofLife, Instant now) {
        List<PersonChannel> chosen = new ArrayList<>();
        for (PersonChannel channel : inOrder) {
            chosen.add(channel);
            if (purpose != Purpose.ALARM || isProven(channel, proofLife, now) && !channel.isSilentAtNight()) {
                break;
            }
        }
        return chosen;
    }

    static boolean isProven(PersonChannel channel, Duration proofLife, Instant now) {
        return channel.returned().isEmpty() && channel.provenAt().filter(at -> now.isBefore(at.plus(proofLife))).isPresent();
    }
}
