package org.lampkeeper.telemetry;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalLong;
import java.util.TreeMap;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.telemetry.SenmlRecord.BooleanValue;
import org.lampkeeper.telemetry.SenmlRecord.NumberValue;

/**
 * Reads a report: which of a pack's records are ours, and what they say (docs/report-format.md).
 *
 * <p>Only {@code supply} can get a pack refused. A broken thermometer must not silence a report of a lost supply, so whatever else
 * cannot be used is left out and named in {@link Pack#notUsed()}.
 */
public final class SenmlCodec {

    private static final String SUPPLY_SUFFIX = ":supply";
    /** The register's column for base names. */
    private static final int LONGEST_BASE_NAME = 120;
    /** Ours: thirty years, so that any number fits a {@link Duration}; dating caps it further. */
    private static final BigDecimal LONGEST_PROMISE = BigDecimal.valueOf(1_000_000_000);
    /** Ours, because no cabinet on earth stands outside of it: what lies beyond is a broken probe. */
    private static final Range CELSIUS = new Range(new BigDecimal(-100), new BigDecimal(150));
    private static final Range PERCENT = new Range(BigDecimal.ZERO, new BigDecimal(100));

    private record Range(BigDecimal least, BigDecimal most) {
        boolean holds(BigDecimal number) {
            return number.compareTo(least) >= 0 && number.compareTo(most) <= 0;
        }
    }

    private final String baseName;
    private final Map<SenmlTime, Moment> moments = new TreeMap<>();
    private final List<String> notUsed = new ArrayList<>();

    private SenmlCodec(String baseName) {
        this.baseName = baseName;
    }

    /** Never throws, whatever the bytes. */
    public static Decoded decode(byte[] payload) {
        try {
            List<SenmlRecord> records = SenmlRecords.resolve(payload);
            return new SenmlCodec(baseNameOf(records)).pack(records);
        } catch (RefusedException e) {
            return e.refusal();
        }
    }

    /** Found in the resolved names, since RFC 8428 lets a sensor write the same name with or without {@code bn}. */
    private static String baseNameOf(List<SenmlRecord> records) throws RefusedException {
        SenmlRecord supply = records.stream().filter(it -> it.name().endsWith(SUPPLY_SUFFIX)).findFirst()
                .orElseThrow(() -> new RefusedException(Reason.NO_SUPPLY,
                        "no record named supply, must have at least one (bn ending in a colon, n \"supply\", vb true or false)"));
        String baseName = supply.name().substring(0, supply.name().length() - "supply".length());
        if (baseName.length() > LONGEST_BASE_NAME) {
            throw new RefusedException(Reason.BAD_NAME,
                    supply.place() + ": base name of " + baseName.length() + " characters, must be at most " + LONGEST_BASE_NAME);
        }
        return baseName;
    }

    /** All that one pack says of one time. */
    private static final class Moment {
        private @Nullable Boolean supplied;
        private @Nullable BigDecimal updateTime;
        private OptionalLong seq = OptionalLong.empty();
        private OptionalDouble inside = OptionalDouble.empty();
        private OptionalDouble outside = OptionalDouble.empty();
        private OptionalDouble content = OptionalDouble.empty();
        private OptionalDouble battery = OptionalDouble.empty();
        private Optional<Boolean> heater = Optional.empty();
        private Optional<Boolean> door = Optional.empty();
        private int used;
    }

    private Pack pack(List<SenmlRecord> records) throws RefusedException {
        for (SenmlRecord each : records) {
            if (!each.name().startsWith(baseName)) {
                throw new RefusedException(Reason.BASE_NAME_DISAGREES, each.place() + ": " + Refusal.quoted(each.name()) + " is not of "
                        + Refusal.quoted(baseName) + ", a pack must be of one sensor");
            }
            take(each);
        }
        List<Observation> observations = new ArrayList<>();
        moments.forEach((time, moment) -> {
            if (moment.supplied == null) {
                // Joining it to a neighbouring time would invent when it was measured.
                if (moment.used > 0) {
                    notUsed.add(said(time) + ": " + moment.used + " readings without a supply at the same time, not used");
                }
            } else {
                observations.add(new Observation(time, moment.supplied, promise(time, moment), moment.seq,
                        new Readings(moment.inside, moment.outside, moment.content, moment.battery, moment.heater, moment.door)));
            }
        });
        return new Pack(baseName, observations, notUsed);
    }

    private void take(SenmlRecord it) throws RefusedException {
        String name = it.name().substring(baseName.length());
        switch (name) {
            case "supply" -> takeSupply(it);
            case "inside" -> celsius(it, name).ifPresent(number -> at(it).inside = OptionalDouble.of(number.doubleValue()));
            case "outside" -> celsius(it, name).ifPresent(number -> at(it).outside = OptionalDouble.of(number.doubleValue()));
            case "content" -> celsius(it, name).ifPresent(number -> at(it).content = OptionalDouble.of(number.doubleValue()));
            case "battery" -> number(it, name, "%EL", PERCENT)
                    .ifPresent(number -> at(it).battery = OptionalDouble.of(number.doubleValue()));
            case "heater" -> truth(it, name).ifPresent(truth -> at(it).heater = Optional.of(truth));
            case "door" -> truth(it, name).ifPresent(truth -> at(it).door = Optional.of(truth));
            case "seq" -> counter(it).ifPresent(number -> at(it).seq = OptionalLong.of(number));
            default -> {
                // A name that is not ours: RFC 8428 lets sensors send more than a receiver knows.
            }
        }
    }

    private void takeSupply(SenmlRecord it) throws RefusedException {
        if (!(it.value().orElse(null) instanceof BooleanValue supply)) {
            throw new RefusedException(Reason.NO_SUPPLY, it.place() + ": supply must be vb true or false");
        }
        Moment moment = moments.computeIfAbsent(it.time(), time -> new Moment());
        // Twice at one time, nothing says which came last: lost wins, since doubt never clears. Elsewhere the later record wins.
        if (moment.supplied == null || moment.supplied || !supply.truth()) {
            moment.supplied = supply.truth();
            moment.updateTime = it.updateTime().orElse(null);
        }
    }

    private Moment at(SenmlRecord it) {
        Moment moment = moments.computeIfAbsent(it.time(), time -> new Moment());
        moment.used++;
        return moment;
    }

    private Optional<Duration> promise(SenmlTime time, Moment moment) {
        if (moment.updateTime == null) {
            return Optional.empty();
        }
        if (moment.updateTime.signum() <= 0) {
            notUsed.add(said(time) + ": ut " + Refusal.quoted(moment.updateTime.toString()) + " promises nothing, must be more than 0 s");
            return Optional.empty();
        }
        // Rounded up, so that a promise of a nanosecond stays more than none.
        BigDecimal nanos = moment.updateTime.min(LONGEST_PROMISE).movePointRight(9).setScale(0, RoundingMode.CEILING);
        return Optional.of(Duration.ofNanos(nanos.longValueExact()));
    }

    private Optional<BigDecimal> celsius(SenmlRecord it, String name) {
        return number(it, name, "Cel", CELSIUS);
    }

    private Optional<BigDecimal> number(SenmlRecord it, String name, String unit, Range range) {
        if (!(it.value().orElse(null) instanceof NumberValue value)) {
            return unusable(it, name + " must be a number (v)");
        }
        if (!it.unit().equals(Optional.of(unit))) {
            return unusable(it, name + " in unit " + Refusal.quoted(it.unit().orElse("")) + ", must be '" + unit + "'");
        }
        if (!range.holds(value.number())) {
            return unusable(it,
                    name + " " + Refusal.quoted(value.number().toString()) + ", must be " + range.least() + " to " + range.most());
        }
        return Optional.of(value.number());
    }

    private Optional<Boolean> truth(SenmlRecord it, String name) {
        return it.value().orElse(null) instanceof BooleanValue value
                ? Optional.of(value.truth())
                : unusable(it, name + " must be vb true or false");
    }

    private Optional<Long> counter(SenmlRecord it) {
        if (!(it.value().orElse(null) instanceof NumberValue value)) {
            return unusable(it, "seq must be a number (v)");
        }
        BigDecimal number = value.number();
        boolean counts = number.signum() >= 0 && number.stripTrailingZeros().scale() <= 0
                && number.compareTo(BigDecimal.valueOf(Long.MAX_VALUE)) <= 0;
        return counts ? Optional.of(number.longValueExact())
                : unusable(it, "seq " + Refusal.quoted(number.toString()) + ", must be a whole number from 0 to " + Long.MAX_VALUE);
    }

    private <T> Optional<T> unusable(SenmlRecord it, String why) {
        notUsed.add(it.place() + ": " + why + ", not used");
        return Optional.empty();
    }

    private static String said(SenmlTime time) {
        return time instanceof SenmlTime.Absolute absolute
                ? "time " + absolute.at()
                : "time " + ((SenmlTime.Relative) time).fromNow() + " from now";
    }
}
