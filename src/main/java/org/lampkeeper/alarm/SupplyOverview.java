package org.lampkeeper.alarm;

import java.time.Instant;
import java.util.List;
import java.util.Optional;

/**
 * What the supply page is about, each cabinet counted once.
 *
 * @param withSupply        cabinets of which a fresh report, or a fresh look, says that they have supply; zero or more
 * @param lost              cabinets with a loss that is live; also one that has fallen silent since, for silence clears nothing
 * @param notKnown          the others: never heard, silent, or their link down
 * @param notListeningSince Lampkeeper itself hears nothing since then
 */
public record SupplyOverview(int withSupply, List<Lost> lost, List<NotKnown> notKnown, Optional<Instant> notListeningSince) {

    /** A cabinet that lost its supply; {@code takenBy} is the person who took the alarm. */
    public record Lost(String cabinet, Instant since, Optional<String> takenBy) {
    }

    /** A cabinet of which nobody knows; without {@code quietSince} it has never been heard. */
    public record NotKnown(String cabinet, Optional<Instant> quietSince) {
    }

    public SupplyOverview {
        if (withSupply < 0) {
            throw new IllegalArgumentException("cabinets with supply: " + withSupply + ", must be zero or more");
        }
        lost = List.copyOf(lost);
        notKnown = List.copyOf(notKnown);
    }

    public int cabinets() {
        return withSupply + lost.size() + notKnown.size();
    }
}
