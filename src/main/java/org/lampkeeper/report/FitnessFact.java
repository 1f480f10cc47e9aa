package org.lampkeeper.report;

import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.List;

import org.lampkeeper.report.UnfitRecord.Reason;

/** What the journal says about whether a cabinet could be relied upon. {@code at}: as observed, so a late entry tells of what was earlier. */
public sealed interface FitnessFact {

    Instant at();

    /** What somebody who was there said. */
    enum Verdict {
        FIT, NOT_FIT,
        /** Nothing of it, or that it is not settled. */
        OPEN
    }

    /** It was measured, or seen, that it is not as it must be. */
    record Found(Reason reason, Instant at) implements FitnessFact {
    }

    /** What was found is over by the rules of the alarm about it. */
    record Settled(Reason reason, Instant at) implements FitnessFact {
    }

    /** The supply was lost. {@code pastLimit}: the early end of what was forecast then, of when the content may be past its limits. */
    record Lost(Instant at, Instant pastLimit) implements FitnessFact {
    }

    /** The supply is back, or nobody says any more that it is away. */
    record NotLost(Instant at) implements FitnessFact {
    }

    /**
     * One saving of the attendance record of a visit.
     *
     * @param at      when they arrived, or when it was written where that is not said
     * @param written whoever says fit of a visit of which it was said before that it is not, says it of then
     */
    record Said(long alarmId, int visit, Verdict verdict, Instant at, Instant written) implements FitnessFact {
    }

    /**
     * What dated parts its content has from then on.
     *
     * @param parts with the moment from which each is past its date; empty where nothing is dated
     */
    record Dated(List<Lapse> parts, Instant at) implements FitnessFact {

        public Dated {
            parts = List.copyOf(parts);
        }
    }

    /** @param what the part and its date, as they were registered */
    record Lapse(String what, Instant at) {

        private static final String UNTIL = ", until ";

        /**
         * @param part as the journal has it: its name, and the last day on which it is good
         * @param zone of the site, whose midnight ends that day
         * @throws java.time.format.DateTimeParseException where it ends in no date
         */
        static Lapse of(String part, ZoneId zone) {
            return new Lapse(part, LocalDate.parse(part.substring(part.lastIndexOf(UNTIL) + UNTIL.length())).plusDays(1).atStartOfDay(zone).toInstant());
        }
    }

    record LeftUse(String because, Instant at) implements FitnessFact {
    }

    record CameBack(Instant at) implements FitnessFact {
    }
}
