package org.lampkeeper.report;

import java.time.Duration;
import java.util.Collection;
import java.util.Comparator;
import java.util.Optional;
import java.util.stream.Stream;

import org.lampkeeper.report.SupplyRecord.Condition;

/**
 * How the supply of several cabinets was, together. Times are summed, so that one of which more is known counts for more; nothing is averaged over
 * shares.
 *
 * @param cabinets    how many
 * @param losses      stretches without supply, each of one cabinet
 * @param longestLoss empty where there was none
 */
public record SupplyTotal(int cabinets, Duration supplied, Duration lost, Duration unknown, Duration excluded, int losses, Optional<Duration> longestLoss) {

    /** Of no cabinet. */
    public static final SupplyTotal NOTHING = new SupplyTotal(0, Duration.ZERO, Duration.ZERO, Duration.ZERO, Duration.ZERO, 0, Optional.empty());

    public static SupplyTotal of(SupplyRecord record) {
        return new SupplyTotal(1, record.of(Condition.SUPPLIED), record.of(Condition.LOST), record.of(Condition.UNKNOWN), record.of(Condition.EXCLUDED),
                record.losses().size(), record.longestLoss());
    }

    public static SupplyTotal of(Collection<SupplyRecord> records) {
        return records.stream().map(SupplyTotal::of).reduce(NOTHING, SupplyTotal::plus);
    }

    public SupplyTotal plus(SupplyTotal other) {
        return new SupplyTotal(cabinets + other.cabinets, supplied.plus(other.supplied), lost.plus(other.lost), unknown.plus(other.unknown), excluded.plus(other.excluded),
                losses + other.losses, Stream.of(longestLoss, other.longestLoss).flatMap(Optional::stream).max(Comparator.naturalOrder()));
    }

    /** The time of which it is known whether there was supply. */
    public Duration known() {
        return supplied.plus(lost);
    }

    /** With supply, as a share of the time in which it is known; empty where nothing is known. */
    public Optional<Double> availability() {
        return known().isZero() ? Optional.empty() : Optional.of(seconds(supplied) / seconds(known()));
    }

    /** Empty where there was no loss: the mean of nothing is not zero. */
    public Optional<Duration> meanLoss() {
        return losses == 0 ? Optional.empty() : Optional.of(lost.dividedBy(losses));
    }

    private static double seconds(Duration length) {
        return length.getSeconds() + length.getNano() / 1e9;
    }
}
