package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.function.Predicate;

/**
 * How one loss was met; each as long after it began, empty where it did not happen before the next loss of the same alarm.
 *
 * @param told     until the first message about it was handed over
 * @param taken    until somebody first took it
 * @param attended until somebody was there, by the attendance record
 * @param restored until a report said that the supply was back; when that was observed, not when it was heard
 */
public record Met(long cabinetId, Optional<Duration> told, Optional<Duration> taken, Optional<Duration> attended, Optional<Duration> restored) {

    /** What was written down about one alarm. An alarm that nobody has acknowledged and that is over is raised again by the next loss. */
    sealed interface Fact {

        Instant at();

        /** @param at when the loss was observed to begin */
        record Began(Instant at, Instant written) implements Fact {
        }

        record Told(Instant at) implements Fact {
        }

        record Taken(Instant at) implements Fact {
        }

        /** @param at as whoever was there has it */
        record Arrived(Instant at) implements Fact {
        }

        /** @param at when it was observed */
        record Restored(Instant at) implements Fact {
        }
    }

    /**
     * Those losses of one alarm that began in this time, in order.
     *
     * @param facts in any order, also of its other losses
     */
    static List<Met> of(long cabinetId, List<Fact> facts, Span span) {
        List<Fact.Began> losses = facts.stream().filter(Fact.Began.class::isInstance).map(Fact.Began.class::cast).sorted(Comparator.comparing(Fact.Began::written)).toList();
        List<Met> met = new ArrayList<>();
        for (int i = 0; i < losses.size(); i++) {
            Fact.Began loss = losses.get(i);
            if (span.holds(loss.at())) {
                // What Lampkeeper did counts from when it knew of the loss; what happened at the cabinet may have happened before that.
                Span known = new Span(loss.written(), i + 1 < losses.size() ? losses.get(i + 1).written() : Instant.MAX);
                Span there = new Span(loss.at(), i + 1 < losses.size() ? losses.get(i + 1).at() : Instant.MAX);
                met.add(new Met(cabinetId, first(facts, Fact.Told.class, loss, known::holds), first(facts, Fact.Taken.class, loss, known::holds),
                        first(facts, Fact.Arrived.class, loss, there::holds),
                        // A return of the same moment as a loss was before it: it would not have ended it.
                        first(facts, Fact.Restored.class, loss, at -> at.isAfter(there.from()) && !at.isAfter(there.until()))));
            }
        }
        return met;
    }

    private static Optional<Duration> first(List<Fact> facts, Class<? extends Fact> kind, Fact.Began loss, Predicate<Instant> isOfIt) {
        return facts.stream().filter(kind::isInstance).map(Fact::at).filter(isOfIt).min(Comparator.naturalOrder()).map(at -> Duration.between(loss.at(), at));
    }
}
