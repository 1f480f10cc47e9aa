package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;

import org.lampkeeper.report.FitnessFact.CameBack;
import org.lampkeeper.report.FitnessFact.Dated;
import org.lampkeeper.report.FitnessFact.Found;
import org.lampkeeper.report.FitnessFact.Lapse;
import org.lampkeeper.report.FitnessFact.LeftUse;
import org.lampkeeper.report.FitnessFact.Lost;
import org.lampkeeper.report.FitnessFact.NotLost;
import org.lampkeeper.report.FitnessFact.Said;
import org.lampkeeper.report.FitnessFact.Settled;
import org.lampkeeper.report.FitnessFact.Verdict;

/**
 * When a cabinet was not fit for use, and why, from what was written down. Of all other time it says nothing: that nobody found anything does not make
 * it fit.
 *
 * @param span      what was asked for, as far as it was over
 * @param stretches by their beginnings; those of one reason do not overlap, those of several may
 */
public record UnfitRecord(Span span, List<Stretch> stretches) {

    public UnfitRecord {
        stretches = List.copyOf(stretches);
    }

    /** Why nobody could rely on it. */
    public enum Reason {
        TOO_COLD("its content was measured colder than it may be"),
        TOO_HOT("its content was measured warmer than it may be"),
        /** Not that it was: that nobody could know, and that whoever relies on it must not. */
        WITHOUT_SUPPLY_TOO_LONG("it was without supply for longer than the forecast allowed"),
        /** The maker promises nothing any more; whether it would still work, nobody can see. */
        OUT_OF_DATE("a part of its content was past its date"),
        DAMAGED("somebody found it damaged, or something missing"),
        SAID_NOT_FIT("whoever was there said that it is not fit for use"),
        OUT_OF_USE("it was out of use");

        private final String words;

        Reason(String words) {
            this.words = words;
        }

        /** The end of a sentence that begins with when. */
        public String words() {
            return words;
        }
    }

    /**
     * @param because more about the reason, in somebody's own words; empty where there is none
     * @param began   may be before what was asked for
     * @param ended   may be after it; empty while it goes on
     * @param within  what of it is in what was asked for
     */
    public record Stretch(Reason reason, String because, Instant began, Optional<Instant> ended, Span within) {
    }

    private record Begun(String because, Instant at) {
    }

    /**
     * @param facts of one cabinet, from its very beginning, in the order in which they were written down
     * @param now   what is later has not happened
     */
    public static UnfitRecord of(List<FitnessFact> facts, Span span, Instant now) {
        Span over = now.isBefore(span.until()) ? new Span(span.from(), now.isBefore(span.from()) ? span.from() : now) : span;
        return new Reckoning(over, now).of(inTheirOrder(facts));
    }

    /** How long it was not fit, for whatever reasons: what two reasons have is counted once. */
    public Duration length() {
        Duration length = Duration.ZERO;
        Instant reached = span.from();
        for (Stretch stretch : stretches.stream().sorted(Comparator.comparing(each -> each.within().from())).toList()) {
            Instant from = stretch.within().from().isAfter(reached) ? stretch.within().from() : reached;
            if (from.isBefore(stretch.within().until())) {
                length = length.plus(Duration.between(from, stretch.within().until()));
                reached = stretch.within().until();
            }
        }
        return length;
    }

    /** By when it was so. What was said to be not fit stays so until the record said otherwise, whenever they had arrived. */
    private static List<FitnessFact> inTheirOrder(List<FitnessFact> facts) {
        Set<List<Long>> notFit = new HashSet<>();
        List<FitnessFact> held = new ArrayList<>();
        for (FitnessFact fact : facts) {
            FitnessFact at = fact;
            if (fact instanceof Said said) {
                List<Long> visit = List.of(said.alarmId(), (long) said.visit());
                if (said.verdict() == Verdict.NOT_FIT) {
                    notFit.add(visit);
                } else if (said.verdict() == Verdict.FIT && notFit.contains(visit)) {
                    at = new Said(said.alarmId(), said.visit(), said.verdict(), said.written(), said.written());
                }
            }
            held.add(at);
        }
        held.sort(Comparator.comparing(FitnessFact::at));
        return held;
    }

    private static final class Reckoning {

        private final Span span;
        private final Instant now;
        private final Map<Reason, Begun> open = new EnumMap<>(Reason.class);
        private final List<Stretch> stretches = new ArrayList<>();
        /** When the present loss will have lasted for longer than was forecast. */
        private Optional<Instant> pastLimit = Optional.empty();
        /** What dates it has now, also those that are past. */
        private List<Lapse> dates = List.of();
        private boolean isInUse = true;

        private Reckoning(Span span, Instant now) {
            this.span = span;
            this.now = now;
        }

        private UnfitRecord of(List<FitnessFact> facts) {
            for (FitnessFact fact : facts) {
                if (fact.at().isAfter(now)) {
                    break;
                }
                lossLastsUntil(fact.at());
                datesPassUntil(fact.at());
                take(fact);
            }
            lossLastsUntil(now);
            datesPassUntil(now);
            open.forEach((reason, begun) -> add(reason, begun, Optional.empty()));
            return new UnfitRecord(span, stretches.stream().sorted(Comparator.comparing(Stretch::began).thenComparing(Stretch::reason)).toList());
        }

        private void lossLastsUntil(Instant at) {
            pastLimit.filter(limit -> limit.isBefore(at)).ifPresent(limit -> {
                begin(Reason.WITHOUT_SUPPLY_TOO_LONG, "", limit);
                pastLimit = Optional.empty();
            });
        }

        /** The first that passes begins it; a part replaced that very moment was in time. */
        private void datesPassUntil(Instant at) {
            if (isInUse) {
                dates.stream().filter(each -> each.at().isBefore(at)).min(Comparator.comparing(Lapse::at)).ifPresent(first -> begin(Reason.OUT_OF_DATE, first.what(), first.at()));
            }
        }

        /** Parts that were past their date when they were put in were so from then on. */
        private void dated(List<Lapse> parts, Instant at) {
            dates = parts.stream().map(each -> each.at().isBefore(at) ? new Lapse(each.what(), at) : each).toList();
            if (dates.stream().noneMatch(each -> each.at().equals(at))) {
                end(Reason.OUT_OF_DATE, at);
            }
        }

        private void take(FitnessFact fact) {
            if (fact instanceof Found found) {
                begin(found.reason(), "", found.at());
            } else if (fact instanceof Settled settled) {
                end(settled.reason(), settled.at());
            } else if (fact instanceof Lost lost) {
                pastLimit = pastLimit.or(() -> Optional.of(lost.pastLimit().isBefore(lost.at()) ? lost.at() : lost.pastLimit()));
            } else if (fact instanceof NotLost) {
                pastLimit = Optional.empty();
            } else if (fact instanceof Said said) {
                said(said.verdict(), said.at());
            } else if (fact instanceof Dated dated) {
                dated(dated.parts(), dated.at());
            } else if (fact instanceof LeftUse left) {
                // Whoever brings it back has it put into service anew.
                List.copyOf(open.keySet()).forEach(reason -> end(reason, left.at()));
                pastLimit = Optional.empty();
                begin(Reason.OUT_OF_USE, left.because(), left.at());
                isInUse = false;
            } else if (fact instanceof CameBack back) {
                end(Reason.OUT_OF_USE, back.at());
                isInUse = true;
                // What is in it is still as old as it is.
                dated(dates, back.at());
            } else {
                throw new IllegalStateException("fact without a rule: " + fact.getClass().getName());
            }
        }

        /** Too cold and too hot have their own rule: not before it is within its limits again. Not settled yet ends nothing and begins nothing. */
        private void said(Verdict verdict, Instant at) {
            switch (verdict) {
                case NOT_FIT -> begin(Reason.SAID_NOT_FIT, "", at);
                case FIT -> {
                    end(Reason.SAID_NOT_FIT, at);
                    end(Reason.DAMAGED, at);
                    end(Reason.WITHOUT_SUPPLY_TOO_LONG, at);
                }
                case OPEN -> {
                    // nobody knows
                }
            }
        }

        private void begin(Reason reason, String because, Instant at) {
            open.putIfAbsent(reason, new Begun(because, at));
        }

        private void end(Reason reason, Instant at) {
            Optional.ofNullable(open.remove(reason)).ifPresent(begun -> add(reason, begun, Optional.of(at)));
        }

        private void add(Reason reason, Begun begun, Optional<Instant> ended) {
            Instant until = ended.orElse(span.until());
            if (begun.at().isBefore(until)) {
                new Span(begun.at(), until).within(span).ifPresent(within -> stretches.add(new Stretch(reason, begun.because(), begun.at(), ended, within)));
            }
        }
    }
}
