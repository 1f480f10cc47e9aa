package org.lampkeeper.telemetry;

import java.util.List;

/**
 * One report as the sensor wrote it, not dated yet.
 *
 * @param baseName     whose it is: what stands before {@code supply} in the full name, with its closing colon
 * @param observations one for each distinct time, absolute times first, then oldest first; at least one
 * @param notUsed      what else was in the pack under one of our names and could not be used, in sentences for whoever builds the sensor
 */
public record Pack(String baseName, List<Observation> observations, List<String> notUsed) implements Decoded {

    public Pack {
        observations = List.copyOf(observations);
        notUsed = List.copyOf(notUsed);
        if (observations.isEmpty()) {
            throw new IllegalArgumentException("pack of " + baseName + ": no observation, must have at least one");
        }
    }
}
