package org.lampkeeper.report;

import java.time.Duration;
import java.util.List;
import java.util.Optional;

/**
 * How long something took, over some cases.
 *
 * @param median  and {@code ninetieth}: the nearest rank, a time that did happen, not one between two
 */
public record Spread(int cases, Duration median, Duration ninetieth, Duration worst) {

    /** Empty of no cases. */
    public static Optional<Spread> of(List<Duration> times) {
        if (times.isEmpty()) {
            return Optional.empty();
        }
        List<Duration> sorted = times.stream().sorted().toList();
        return Optional.of(new Spread(sorted.size(), at(sorted, 0.5), at(sorted, 0.9), sorted.get(sorted.size() - 1)));
    }

    private static Duration at(List<Duration> sorted, double share) {
        return sorted.get((int) Math.ceil(share * sorted.size()) - 1);
    }
}
