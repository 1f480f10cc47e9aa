package org.lampkeeper.thermal;

import java.util.List;

import org.lampkeeper.quantity.Celsius;

/**
 * What heating takes over a row of hours, by degree hours: the sum of the K by which each hour is below the set point.
 *
 * @param degreeHours K·h
 * @param hours       in which there is something to heat
 * @param shortHours  in which the heater cannot hold the set point
 * @param kilowattHours with the likely U·A, and no more in an hour than the heater gives
 */
public record HeatingSeason(double degreeHours, int hours, int shortHours, double kilowattHours) {

    /**
     * @param hourly outside, one value an hour
     * @param watt   of the heater, more than 0
     */
    public static HeatingSeason of(List<Celsius> hourly, Celsius setPoint, Enclosure enclosure, double watt) {
        if (!(watt > 0)) {
            throw new IllegalArgumentException("heater of " + watt + " W, must be more than 0");
        }
        List<Celsius> cold = hourly.stream().filter(each -> each.value() < setPoint.value()).toList();
        double degreeHours = cold.stream().mapToDouble(each -> setPoint.value() - each.value()).sum();
        int tooCold = (int) cold.stream().filter(each -> enclosure.holding(setPoint, each) > watt).count();
        double wattHours = cold.stream().mapToDouble(each -> Math.min(watt, enclosure.holding(setPoint, each))).sum();
        return new HeatingSeason(degreeHours, cold.size(), tooCold, wattHours / 1000);
    }
}
