package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.Forecast;
import org.lampkeeper.thermal.Outcome;
import org.lampkeeper.thermal.Situation;

/**
 * How long the content of one cabinet stays within its limits, without heating from now on.
 *
 * @param situation     what the forecast was made from
 * @param needsSupply   what it holds does not work without supply, however warm it is
 * @param slowerIfWarm  its owner has chosen that people are told more slowly while there is time
 */
public record ContentOutlook(long cabinetId, ZoneId zone, Situation situation, Forecast forecast, boolean needsSupply, boolean slowerIfWarm) {

    /** Ours: less is no time to take. */
    private static final Duration TIME_ENOUGH = Duration.ofHours(4);

    /** When it may be past a limit: the early end, or when it was measured beyond. Empty where it is not expected, and where nobody can say. */
    Optional<Instant> pastAt() {
        return outcomes().flatMap(outcome -> pastAt(outcome).stream()).min(Instant::compareTo);
    }

    private static Optional<Instant> pastAt(Outcome outcome) {
        if (outcome instanceof Outcome.Expected expected) {
            return Optional.of(expected.early());
        }
        return outcome instanceof Outcome.AlreadyPast past ? Optional.of(past.measuredAt()) : Optional.empty();
    }

    /** Whether people may be told more slowly: the owner has chosen so, and what is known of every limit says that there is time. */
    boolean mayTakeTime(Instant now) {
        boolean isKnown = outcomes().noneMatch(outcome -> outcome instanceof Outcome.NoForecast without && without.reason() != Outcome.Reason.NO_LIMIT)
                && outcomes().anyMatch(outcome -> !(outcome instanceof Outcome.NoForecast));
        return slowerIfWarm && !needsSupply && isKnown && pastAt().filter(at -> at.isBefore(now.plus(TIME_ENOUGH))).isEmpty();
    }

    /** The same where nothing may make people be told more slowly. */
    ContentOutlook withoutTime() {
        return new ContentOutlook(cabinetId, zone, situation, forecast, needsSupply, false);
    }

    /** What is to be expected, in whole sentences: of the cold always, of the heat where it comes. */
    public List<String> sentences(Instant now) {
        List<String> sentences = new ArrayList<>();
        boolean isOnlyHeatLimited = isWithoutLimit(forecast.tooCold()) && !isWithoutLimit(forecast.tooHot());
        if (!isOnlyHeatLimited) {
            sentences.add(sentence(forecast.tooCold(), now));
        }
        if (isOnlyHeatLimited || forecast.tooHot() instanceof Outcome.Expected || forecast.tooHot() instanceof Outcome.AlreadyPast) {
            sentences.add(sentence(forecast.tooHot(), now));
        }
        return List.copyOf(sentences);
    }

    /** The same in as few words as can be; empty where nothing is forecast. */
    Optional<String> brief(Instant now) {
        return Stream.of(forecast.tooCold(), forecast.tooHot())
                .filter(outcome -> outcome instanceof Outcome.AlreadyPast || outcome instanceof Outcome.Expected).findFirst()
                .or(() -> Stream.of(forecast.tooCold()).findFirst()).flatMap(outcome -> outcome.brief(zone, now));
    }

    /** "Inside it was 8.9 °C at 02:40.", and of the content itself where it is measured. Empty where nothing was measured. */
    Optional<String> measured(Instant now) {
        return situation.inside().map(inside -> inside.device().map(content -> "The content was at " + degrees(content) + " at "
                + Sentences.clock(inside.at(), zone, now) + (content.equals(inside.inside()) ? "." : ", the air around it at " + degrees(inside.inside()) + "."))
                .orElseGet(() -> "Inside it was " + degrees(inside.inside()) + " at " + Sentences.clock(inside.at(), zone, now) + "."));
    }

    private static String degrees(Celsius celsius) {
        return String.format(Locale.ROOT, "%.1f °C", celsius.value());
    }

    private Stream<Outcome> outcomes() {
        return Stream.of(forecast.tooCold(), forecast.tooHot());
    }

    private String sentence(Outcome outcome, Instant now) {
        return Sentences.capital(outcome.words(zone, now)) + ".";
    }

    private static boolean isWithoutLimit(Outcome outcome) {
        return outcome instanceof Outcome.NoForecast without && without.reason() == Outcome.Reason.NO_LIMIT;
    }
}
