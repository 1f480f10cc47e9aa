package org.lampkeeper.thermal;

import java.time.Instant;
import java.time.ZoneId;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/** What is to be expected of the content at one of its bounds, if nothing changes. */
public sealed interface Outcome {

    /** As part of a message, without a full stop: "content below 0 °C between 02:40 and 04:10 if nothing changes". */
    String words(ZoneId zone, Instant now);

    /** The same for a channel of few words: "below 0 °C 02:40-04:10"; empty where nothing is forecast. */
    default Optional<String> brief(ZoneId zone, Instant now) {
        return Optional.empty();
    }

    /** It is past the bound now. */
    record AlreadyPast(Bound bound, Celsius measured, Instant measuredAt) implements Outcome {

        @Override
        public String words(ZoneId zone, Instant now) {
            return "content " + bound.words() + " already: " + Bound.degrees(measured) + " at " + new ClockWords(zone, now).exact(measuredAt);
        }

        @Override
        public Optional<String> brief(ZoneId zone, Instant now) {
            return Optional.of(bound.words() + " already");
        }
    }

    /**
     * It passes the bound within what is looked at. A moment before now means that it has probably happened since it was last measured.
     *
     * @param early  the one to act on
     * @param likely not before {@code early}; empty: not before {@code until}
     * @param late   not before {@code likely}; empty: not before {@code until}
     * @param until  up to here it was reckoned
     * @param basis  of the time constant
     */
    record Expected(Bound bound, Instant early, Optional<Instant> likely, Optional<Instant> late, Instant until, TimeConstant.Basis basis)
            implements Outcome {

        @Override
        public String words(ZoneId zone, Instant now) {
            return "content " + bound.words() + " " + when(new ClockWords(zone, now), now) + " if nothing changes" + doubt();
        }

        @Override
        public Optional<String> brief(ZoneId zone, Instant now) {
            ClockWords clock = new ClockWords(zone, now);
            String from = ClockWords.down(early).isAfter(now) ? clock.early(early) : "now";
            return Optional.of(bound.words() + " " + late.map(at -> at.isAfter(now) ? from + "-" + clock.lateAfter(early, at) : "by now")
                    .orElse("from " + from));
        }

        private String when(ClockWords clock, Instant now) {
            boolean isFromNow = !ClockWords.down(early).isAfter(now);
            if (late.isEmpty()) {
                return isFromNow ? "from now on at the earliest" : "from " + clock.early(early) + " at the earliest";
            }
            if (!late.get().isAfter(now)) {
                return "by now";
            }
            return isFromNow ? "between now and " + clock.late(late.get()) : "between " + clock.early(early) + " and " + clock.lateAfter(early, late.get());
        }

        private String doubt() {
            return switch (basis) {
                case NOMINAL -> " (rough: no cool-down on record yet)";
                case NOMINAL_OF_THICK_CONTENT -> " (rough: no cool-down on record yet, and the outside of so thick a content gets there sooner)";
                case LEARNED -> "";
            };
        }
    }

    /** Not even at the early end before {@code until}. */
    record NotExpected(Bound bound, Instant until) implements Outcome {

        @Override
        public String words(ZoneId zone, Instant now) {
            return "content " + bound.words() + " not expected before " + new ClockWords(zone, now).early(until);
        }

        @Override
        public Optional<String> brief(ZoneId zone, Instant now) {
            return Optional.of("not " + bound.words() + " before " + new ClockWords(zone, now).early(until));
        }
    }

    /** Nothing can be said, and nothing is made up. */
    record NoForecast(Reason reason) implements Outcome {

        @Override
        public String words(ZoneId zone, Instant now) {
            return "no forecast: " + reason.words();
        }
    }

    /** What is missing. */
    enum Reason {
        /** None inside, or none of the device where it is reckoned by itself. */
        NO_TEMPERATURE("no temperature"),
        /** The last one is older than {@link Forecast#OLDEST}. */
        OLD_TEMPERATURE("the last temperature is too old"),
        /** None outside, or the list does not reach to where it was measured inside. */
        NO_OUTSIDE("no temperature outside"),
        NO_LIMIT("no limit"),
        /** Neither learnt nor nominal. */
        NO_TIME_CONSTANT("not known how fast the cabinet cools");

        private final String words;

        Reason(String words) {
            this.words = words;
        }

        String words() {
            return words;
        }
    }
}
