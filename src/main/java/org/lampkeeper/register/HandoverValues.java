package org.lampkeeper.register;

import java.time.LocalDate;
import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.Stream;

import org.lampkeeper.electrical.Reading;
import org.lampkeeper.register.HandoverField.Read;

/** What a hand-over record says: the values that can be read, what is wrong, and what is missing. Immutable. */
public final class HandoverValues {

    /** From memory: what BS 1363-4 asks of the terminals of a fused connection unit; its papers win. */
    private static final double TERMINAL = 6;

    private static final List<HandoverField> RESIDUAL_PART = List.of(HandoverField.RESIDUAL, HandoverField.RESIDUAL_TYPE, HandoverField.DELAY, HandoverField.TRIP_HALF,
            HandoverField.TRIP_ONCE, HandoverField.TRIP_FIVE, HandoverField.TRIP_AT, HandoverField.TEST_BUTTON);

    private final Map<HandoverField, HandoverValue> given = new EnumMap<>(HandoverField.class);
    private final Map<HandoverField, String> problems = new EnumMap<>(HandoverField.class);

    private HandoverValues() {
    }

    /** @param typed as it was typed, by field */
    public static HandoverValues of(Map<HandoverField, String> typed) {
        HandoverValues values = new HandoverValues();
        typed.forEach((field, text) -> {
            Read read = field.read(text);
            read.value().ifPresent(value -> values.given.put(field, value));
            read.problem().ifPresent(problem -> values.problems.put(field, problem));
        });
        values.impossiblePairs();
        return values;
    }

    /** One sentence by field: what cannot be read, and what cannot be together with something else. */
    public Map<HandoverField, String> problems() {
        return Collections.unmodifiableMap(problems);
    }

    public Map<HandoverField, HandoverValue> given() {
        return Collections.unmodifiableMap(given);
    }

    public boolean has(HandoverField field) {
        return given.containsKey(field);
    }

    /** Of a choice: whether it is this one. */
    public boolean is(HandoverField field, String value) {
        return has(field) && given.get(field).text().equals(value);
    }

    public Optional<String> text(HandoverField field) {
        return Optional.ofNullable(given.get(field)).map(HandoverValue::text);
    }

    /** @throws IllegalStateException where it was not given */
    public double number(HandoverField field) {
        return Optional.ofNullable(given.get(field)).flatMap(HandoverValue::number)
                .orElseThrow(() -> new IllegalStateException(field + " was not given; ask has() first"));
    }

    /** @throws IllegalStateException where it was not given */
    public Reading reading(HandoverField field) {
        double value = number(field);
        return given.get(field).orMore() ? Reading.moreThan(value) : Reading.of(value);
    }

    public Optional<LocalDate> day(HandoverField field) {
        return Optional.ofNullable(given.get(field)).flatMap(HandoverValue::day);
    }

    /** None for a device without that part, and where it was not given. */
    public OptionalInt residual() {
        return has(HandoverField.RESIDUAL) && !is(HandoverField.DEVICE, "MCB") ? OptionalInt.of((int) number(HandoverField.RESIDUAL)) : OptionalInt.empty();
    }

    /** Without these the record cannot be signed. */
    public List<HandoverField> missing() {
        return Stream.of(HandoverField.values()).filter(field -> !has(field) && isNeeded(field)).toList();
    }

    /** Whether it cannot be signed without this field, by what else was given. */
    public boolean isNeeded(HandoverField field) {
        return switch (field.needed()) {
            case ALWAYS -> true;
            case NEVER, SELDOM -> false;
            case IF_SHUTDOWN -> is(HandoverField.SHUTDOWN, "AGREED");
            case IF_LIVE -> is(HandoverField.SHUTDOWN, "NOT_POSSIBLE");
            case IF_TT -> is(HandoverField.EARTHING, "TT");
            case IF_RCBO -> is(HandoverField.DEVICE, "RCBO");
            case IF_CORE -> is(HandoverField.BACK, "CORE") || is(HandoverField.BACK, "CORE_AND_ARMOUR") || is(HandoverField.BACK, "SEPARATE");
            case IF_ARMOURED -> is(HandoverField.CABLE, "SWA");
            case IF_HEATED -> has(HandoverField.HEATER) && number(HandoverField.HEATER) > 0;
            case IF_LOWEST -> is(HandoverField.STORAGE, "BOTH") || is(HandoverField.STORAGE, "LOWEST");
            case IF_HIGHEST -> is(HandoverField.STORAGE, "BOTH") || is(HandoverField.STORAGE, "HIGHEST");
            case IF_PART -> HandoverField.parts().stream().anyMatch(row -> row.until() == field && has(row.name()));
        };
    }

    /** The parts of the content that have a date. */
    public List<DatedPart> parts() {
        return HandoverField.parts().stream().filter(row -> has(row.name()) && day(row.until()).isPresent())
                .map(row -> new DatedPart(given.get(row.name()).text(), day(row.until()).get())).toList();
    }

    private void impossiblePairs() {
        boolean isMcb = is(HandoverField.DEVICE, "MCB");
        for (HandoverField ofTheResidualPart : RESIDUAL_PART) {
            pair(ofTheResidualPart, isMcb && has(ofTheResidualPart), "an MCB has no residual-current part; empty it, or choose RCBO above");
        }
        if (has(HandoverField.TRIP_ONCE) && has(HandoverField.TRIP_FIVE)) {
            pair(HandoverField.TRIP_FIVE, !given.get(HandoverField.TRIP_ONCE).orMore() && number(HandoverField.TRIP_FIVE) > number(HandoverField.TRIP_ONCE),
                    "is longer than with a fifth of this current, " + figure(HandoverField.TRIP_ONCE) + " ms; one of both was read or typed wrongly");
        }
        if (has(HandoverField.FUSE) && has(HandoverField.RATING)) {
            pair(HandoverField.FUSE, number(HandoverField.FUSE) > number(HandoverField.RATING), "a fuse of " + figure(HandoverField.FUSE)
                    + " A behind a device of " + figure(HandoverField.RATING) + " A never blows first, must be smaller");
        }
        if (has(HandoverField.SIZE)) {
            double takes = has(HandoverField.TERMINAL) ? number(HandoverField.TERMINAL) : TERMINAL;
            pair(HandoverField.SIZE, has(HandoverField.FUSE) && number(HandoverField.SIZE) > takes, figure(HandoverField.SIZE)
                    + " mm² does not go into the terminals of a fused connection unit (at most " + written(takes)
                    + (has(HandoverField.TERMINAL) ? " mm², as entered" : " mm², unless its papers say more: enter that at “Its terminals take”") + "); end it in a joint box before");
            pair(HandoverField.BACK_SIZE, has(HandoverField.BACK_SIZE) && !is(HandoverField.BACK, "SEPARATE") && number(HandoverField.BACK_SIZE) > number(HandoverField.SIZE),
                    "the protective core is larger than the live ones; look at the cable again");
        }
        pair(HandoverField.BACK_SIZE, has(HandoverField.BACK_SIZE) && is(HandoverField.BACK, "ARMOUR"),
                "is filled in, but the armour alone is chosen above; empty it or choose otherwise");
        pair(HandoverField.BACK_SIZE, has(HandoverField.BACK_SIZE) && is(HandoverField.BACK, "CONDUIT"),
                "is filled in, but the steel conduit is chosen above; empty it or choose otherwise");
        boolean isBare = has(HandoverField.CABLE) && !is(HandoverField.CABLE, "SWA");
        pair(HandoverField.ARMOUR_SIZE, has(HandoverField.ARMOUR_SIZE) && isBare && !is(HandoverField.BACK, "CONDUIT"),
                "this cable has no armour; empty it, or choose the armoured cable above");
        pair(HandoverField.ARMOUR_METAL, has(HandoverField.ARMOUR_METAL) && isBare, "this cable has no armour; empty it, or choose the armoured cable above");
        pair(HandoverField.SPACING, is(HandoverField.SPACING, "LAYER") && has(HandoverField.METHOD) && !is(HandoverField.METHOD, "C"),
                "is a row of the tables for cables clipped direct alone; empty it, then they count as bunched");
        pair(HandoverField.BACK, is(HandoverField.BACK, "CONDUIT") && has(HandoverField.METHOD) && !is(HandoverField.METHOD, "B") && !is(HandoverField.METHOD, "OTHER"),
                "a cable that is laid otherwise than in conduit has none; choose another, or lay it in conduit below");
        // BS 1362: at most 250 V, from an encyclopaedia's copy
        pair(HandoverField.FUSE, has(HandoverField.FUSE) && has(HandoverField.VOLT) && number(HandoverField.VOLT) > 250,
                "a fuse of a connection unit is made for at most 250 V, and the supply has " + (has(HandoverField.VOLT) ? figure(HandoverField.VOLT) : "") + " V");
        // 522.8.10, from memory
        pair(HandoverField.METHOD, is(HandoverField.METHOD, "D2") && is(HandoverField.CABLE, "SHEATHED"),
                "without armour a cable is not laid directly in the ground; choose a duct, or the armoured cable above");
        pair(HandoverField.BACK, isBare && (is(HandoverField.BACK, "ARMOUR") || is(HandoverField.BACK, "CORE_AND_ARMOUR")),
                "this cable has no armour; choose a core, or choose the armoured cable above");
        pair(HandoverField.CORES, has(HandoverField.CORES) && number(HandoverField.CORES) < 3 && (is(HandoverField.BACK, "CORE") || is(HandoverField.BACK, "CORE_AND_ARMOUR")),
                "two cores are line and neutral: there is none left for the protective conductor");
        if (has(HandoverField.LOWEST) && has(HandoverField.HIGHEST)) {
            pair(HandoverField.HIGHEST, number(HandoverField.HIGHEST) <= number(HandoverField.LOWEST), "the highest must be above the lowest, "
                    + figure(HandoverField.LOWEST) + " °C");
        }
        pair(HandoverField.LOWEST, has(HandoverField.LOWEST) && (is(HandoverField.STORAGE, "NONE") || is(HandoverField.STORAGE, "HIGHEST")),
                "is filled in, but above it is chosen that there is none; empty it or choose otherwise");
        pair(HandoverField.HIGHEST, has(HandoverField.HIGHEST) && (is(HandoverField.STORAGE, "NONE") || is(HandoverField.STORAGE, "LOWEST")),
                "is filled in, but above it is chosen that there is none; empty it or choose otherwise");
        if (has(HandoverField.THERMOSTAT) && has(HandoverField.LOWEST)) {
            pair(HandoverField.THERMOSTAT, number(HandoverField.THERMOSTAT) <= number(HandoverField.LOWEST), "is not above the lowest storage temperature, "
                    + figure(HandoverField.LOWEST) + " °C: the heater would start too late");
        }
        if (has(HandoverField.THERMOSTAT) && has(HandoverField.HIGHEST)) {
            pair(HandoverField.THERMOSTAT, number(HandoverField.THERMOSTAT) >= number(HandoverField.HIGHEST), "is not below the highest storage temperature, "
                    + figure(HandoverField.HIGHEST) + " °C: the heater would make it too hot");
        }
        pair(HandoverField.THERMOSTAT, has(HandoverField.THERMOSTAT) && has(HandoverField.HEATER) && number(HandoverField.HEATER) == 0,
                "is filled in, but the heater has 0 W; empty it, or say what the heater’s plate says");
        pair(HandoverField.ELECTRODE, has(HandoverField.ELECTRODE) && has(HandoverField.EARTHING) && !is(HandoverField.EARTHING, "TT"),
                "is filled in, but the supply is not TT; empty it or choose otherwise");
        if (has(HandoverField.ZS) && has(HandoverField.R1R2)) {
            pair(HandoverField.ZS, number(HandoverField.ZS) > 0 && number(HandoverField.R1R2) > number(HandoverField.ZS) * 1.5,
                    "is much less than R1 + R2 alone, " + figure(HandoverField.R1R2) + " Ω; one of both was read or typed wrongly");
        }
    }

    /** A field with a problem already gets no second one; the value stays given, since it was typed on purpose. */
    private void pair(HandoverField field, boolean isImpossible, String sentence) {
        if (isImpossible) {
            problems.putIfAbsent(field, sentence);
        }
    }

    private String figure(HandoverField field) {
        return written(number(field));
    }

    private static String written(double value) {
        return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
    }
}
