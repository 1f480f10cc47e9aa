package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.List;

/** As how many bodies the cabinet is reckoned. */
public sealed interface Nodes {

    /** Early, likely and late. Empty where a temperature is missing that these nodes need. */
    List<Lags> from(Measured measured);

    TimeConstant.Basis basis();

    /**
     * Air and content as one body at the temperature of the air, or between both where both are measured. From the air that is pessimistic while the air cools, for the content lags behind it, and
     * optimistic where the content is colder than the air: after it was put in cold, or when a heater has just warmed the air.
     */
    record OneNode(TimeConstant tau) implements Nodes {

        /** Where the content is measured too, the one body begins between the two: ours, as if each had half of the heat capacity. */
        @Override
        public List<Lags> from(Measured measured) {
            double inside = measured.device().map(device -> (measured.inside().value() + device.value()) / 2).orElse(measured.inside().value());
            return List.of(Lags.oneNode(inside, seconds(tau.early())), Lags.oneNode(inside, seconds(tau.likely())),
                    Lags.oneNode(inside, seconds(tau.late())));
        }

        @Override
        public TimeConstant.Basis basis() {
            return tau.basis();
        }
    }

    /**
     * Air and device, each with a sensor of its own; what counts is the device. It gives and takes heat by the air only.
     *
     * @param airByOutside heat capacity of the air and what is as light, over U·A of the walls. Its doubt stretches the other two alike
     * @param airByDevice  the same heat capacity, over h·A of the device; more than zero
     * @param deviceByAir  heat capacity of the device, over h·A of the device; more than zero
     */
    record TwoNodes(TimeConstant airByOutside, Duration airByDevice, Duration deviceByAir) implements Nodes {

        /** @throws IllegalArgumentException for a time of zero or less */
        public TwoNodes {
            if (airByDevice.isZero() || airByDevice.isNegative() || deviceByAir.isZero() || deviceByAir.isNegative()) {
                throw new IllegalArgumentException("air by device " + airByDevice + ", device by air " + deviceByAir + ", both must be more than 0");
            }
        }

        @Override
        public List<Lags> from(Measured measured) {
            return measured.device().map(device -> List.of(airByOutside.early(), airByOutside.likely(), airByOutside.late()).stream()
                    .map(outer -> lags(measured.inside().value(), device.value(), seconds(outer))).toList()).orElse(List.of());
        }

        private Lags lags(double air, double device, double outer) {
            double stretch = outer / seconds(airByOutside.likely());
            return Lags.device(air, device, outer, seconds(airByDevice) * stretch, seconds(deviceByAir) * stretch);
        }

        @Override
        public TimeConstant.Basis basis() {
            return airByOutside.basis();
        }
    }

    private static double seconds(Duration duration) {
        return duration.toMillis() / 1000.0;
    }
}
