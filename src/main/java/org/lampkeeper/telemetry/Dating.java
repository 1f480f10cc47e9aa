package org.lampkeeper.telemetry;

import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;

import org.lampkeeper.supply.Doubt;
import org.lampkeeper.supply.Report;
import org.lampkeeper.telemetry.SenmlTime.Absolute;
import org.lampkeeper.telemetry.SenmlTime.Relative;

/**
 * Puts a pack's observations on our time line and says where that is doubtful. Nothing is ever dated after its receive time: a report
 * from the future would make the next loss look older than itself, and be overlooked.
 *
 * <p>Where the times cannot be used, the whole group moves so that its newest is at the receive time and the others keep their distance:
 * one clock dated them all, so it is wrong by the same amount everywhere, and the order of a dip survives.
 */
public final class Dating {

    /** Design §6: beyond this the clock is called wrong. */
    static final Duration AHEAD = Duration.ofMinutes(5);

    /** Ours: what two clocks in good order may differ, transport included. */
    static final Duration CLOCKS_DIFFER = Duration.ofSeconds(5);

    private Dating() {
    }

    /**
     * The observations of a pack, oldest first; of the same time, those with an absolute time first.
     *
     * @param mayHaveWaited whether the message may have been kept somewhere since it was sent: retained, redelivered, or received before
     *                      the broker's backlog was in
     */
    public static List<Dated> date(Pack pack, Instant receivedAt, boolean mayHaveWaited, DatingLimits limits) {
        // The database keeps microseconds; a remainder here would make a report differ from its own stored time.
        Instant received = receivedAt.truncatedTo(ChronoUnit.MICROS);
        List<Dated> dated = new ArrayList<>();
        // Sorted as SenmlTime sorts: the last of each kind is its newest.
        List<Observation> absolute = pack.observations().stream().filter(it -> it.time() instanceof Absolute).toList();
        if (!absolute.isEmpty()) {
            Instant newest = told(absolute.get(absolute.size() - 1), received);
            add(dated, absolute, received, ofClock(newest, received, mayHaveWaited, limits), limits);
        }
        List<Observation> relative = pack.observations().stream().filter(it -> it.time() instanceof Relative).toList();
        if (!relative.isEmpty()) {
            Instant newest = told(relative.get(relative.size() - 1), received);
            add(dated, relative, received, ofCounting(newest, received, mayHaveWaited), limits);
        }
        dated.sort(Comparator.comparing(it -> it.report().observedAt()));
        return List.copyOf(dated);
    }

    /** How far a group of observations moves, and what is odd about it. */
    private record Placing(Duration shift, Set<Doubt> doubts) {
        static final Placing AS_TOLD = new Placing(Duration.ZERO, Set.of());
    }

    /**
     * Absolute times.
     *
     * <p>A little ahead is usual, and moves without doubt. Kept as told, a report four minutes ahead would hide the loss that the corrected
     * clock reports two minutes later. The price: what was moved is no longer recognised when the broker delivers it again once its time
     * has passed, so a repeated "healthy" may end a loss that came just after it; brokers repeat in order, so the repeated loss follows at
     * once and none is overlooked. A report that is certainly ahead and may have waited has an unknown age, though: a retained one
     * would otherwise be as fresh as its clock is wrong.
     */
    private static Placing ofClock(Instant newest, Instant received, boolean mayHaveWaited, DatingLimits limits) {
        Duration ahead = Duration.between(received, newest);
        Set<Doubt> doubts = EnumSet.noneOf(Doubt.class);
        if (ahead.compareTo(AHEAD) > 0) {
            doubts.add(Doubt.CLOCK_AHEAD);
        }
        if (ahead.compareTo(CLOCKS_DIFFER) > 0 && mayHaveWaited) {
            doubts.add(Doubt.AGE_NOT_KNOWN);
        }
        boolean ancient = ahead.negated().compareTo(limits.ancientAfter()) > 0;
        if (ancient) {
            // On a live connection no report is that old, so the clock is not set. One that waited may be: nobody can tell.
            doubts.add(mayHaveWaited ? Doubt.AGE_NOT_KNOWN : Doubt.CLOCK_ANCIENT);
        }
        boolean moves = newest.isAfter(received) || ancient;
        return moves ? new Placing(ahead.negated(), doubts) : Placing.AS_TOLD;
    }

    /** Relative times: exact on a live connection, and worth nothing once the message may have waited. */
    private static Placing ofCounting(Instant newest, Instant received, boolean mayHaveWaited) {
        Duration ahead = Duration.between(received, newest);
        if (mayHaveWaited) {
            return new Placing(ahead.negated(), Set.of(Doubt.AGE_NOT_KNOWN));
        }
        if (ahead.compareTo(AHEAD) > 0) {
            return new Placing(ahead.negated(), Set.of(Doubt.CLOCK_AHEAD));
        }
        return newest.isAfter(received) ? new Placing(ahead.negated(), Set.of()) : Placing.AS_TOLD;
    }

    private static void add(List<Dated> dated, List<Observation> group, Instant received, Placing placing, DatingLimits limits) {
        for (Observation it : group) {
            Duration promise = limits.accepted(it.nextWithin().orElse(limits.defaultPromise()));
            dated.add(new Dated(new Report(it.supplied(), told(it, received).plus(placing.shift()), it.seq(), promise, placing.doubts()),
                    it.readings()));
        }
    }

    private static Instant told(Observation observation, Instant received) {
        return observation.time() instanceof Absolute absolute ? absolute.at() : received.plus(((Relative) observation.time()).fromNow());
    }
}
