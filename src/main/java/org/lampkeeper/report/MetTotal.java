package org.lampkeeper.report;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.function.Function;

/**
 * How several losses were met.
 *
 * @param losses how many began
 * @param told   of those about which a message was handed over; so with the others. Empty where there was none
 */
public record MetTotal(int losses, Optional<Spread> told, Optional<Spread> taken, Optional<Spread> attended, Optional<Spread> restored) {

    public static MetTotal of(List<Met> met) {
        return new MetTotal(met.size(), spread(met, Met::told), spread(met, Met::taken), spread(met, Met::attended), spread(met, Met::restored));
    }

    private static Optional<Spread> spread(List<Met> met, Function<Met, Optional<Duration>> step) {
        return Spread.of(met.stream().flatMap(each -> step.apply(each).stream()).toList());
    }
}
