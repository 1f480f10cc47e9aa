package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.function.ToDoubleFunction;

import org.lampkeeper.quantity.Celsius;

/**
 * What was measured in one stretch while nothing heated.
 *
 * @param samples each later than the one before it
 */
public record CoolDown(List<Sample> samples) {

    /**
     * All at the same moment.
     *
     * @param device of the content itself, where it is measured
     */
    public record Sample(Instant at, Celsius inside, Celsius outside, Optional<Celsius> device) {

        public Sample(Instant at, Celsius inside, Celsius outside) {
            this(at, inside, outside, Optional.empty());
        }
    }

    /** @throws IllegalArgumentException when two samples are out of order or of the same moment */
    public CoolDown {
        samples = List.copyOf(samples);
        for (int i = 1; i < samples.size(); i++) {
            if (!samples.get(i).at().isAfter(samples.get(i - 1).at())) {
                throw new IllegalArgumentException("sample " + i + " of a cool-down at " + samples.get(i).at() + ", must be after the one before it, "
                        + samples.get(i - 1).at());
            }
        }
    }

    /** Up to the first gap of more than {@code longest}: what happened in it is not known. */
    CoolDown toFirstGap(Duration longest) {
        for (int i = 1; i < samples.size(); i++) {
            if (Duration.between(samples.get(i - 1).at(), samples.get(i).at()).compareTo(longest) > 0) {
                return first(i);
            }
        }
        return this;
    }

    /** So much of its beginning at most. */
    CoolDown beginning(Duration most) {
        return first((int) samples.stream().takeWhile(each -> Duration.between(samples.get(0).at(), each.at()).compareTo(most) <= 0).count());
    }

    /** Without the samples in which the device is missing. */
    CoolDown withDevice() {
        return new CoolDown(samples.stream().filter(each -> each.device().isPresent()).toList());
    }

    CoolDown first(int many) {
        return new CoolDown(samples.subList(0, many));
    }

    CoolDown from(int index) {
        return new CoolDown(samples.subList(index, samples.size()));
    }

    Duration length() {
        return samples.isEmpty() ? Duration.ZERO : Duration.between(samples.get(0).at(), samples.get(samples.size() - 1).at());
    }

    /** K by which the inside was warmer than the outside, in the mean of the first three readings. */
    double firstDifference() {
        return mean(samples.subList(0, Math.min(3, samples.size())), each -> each.inside().value() - each.outside().value());
    }

    /** K from the mean of the first quarter to that of the last, so that one noisy value does not decide. */
    double fall() {
        return fall(each -> each.inside().value());
    }

    /** The same of the device; only where all samples have it. */
    double deviceFall() {
        return fall(each -> each.device().orElseThrow().value());
    }

    private double fall(ToDoubleFunction<Sample> of) {
        return mean(samples.subList(0, quarter()), of) - mean(samples.subList(samples.size() - quarter(), samples.size()), of);
    }

    private int quarter() {
        return Math.max(1, samples.size() / 4);
    }

    private static double mean(List<Sample> some, ToDoubleFunction<Sample> of) {
        return some.stream().mapToDouble(of).average().orElse(0);
    }

    /** Seconds between neighbours. */
    double[] steps() {
        List<Double> steps = new ArrayList<>();
        for (int i = 1; i < samples.size(); i++) {
            steps.add(Duration.between(samples.get(i - 1).at(), samples.get(i).at()).toMillis() / 1000.0);
        }
        return steps.stream().mapToDouble(Double::doubleValue).toArray();
    }

    double[] inside() {
        return samples.stream().mapToDouble(each -> each.inside().value()).toArray();
    }

    double[] device() {
        return samples.stream().mapToDouble(each -> each.device().orElseThrow().value()).toArray();
    }

    double[] outside() {
        return samples.stream().mapToDouble(each -> each.outside().value()).toArray();
    }
}
