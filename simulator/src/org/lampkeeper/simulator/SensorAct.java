package org.lampkeeper.simulator;

import java.util.List;

/** What a sensor does in a moment of the play. */
sealed interface SensorAct permits SensorAct.Publish, SensorAct.CutLine, SensorAct.MendLine, SensorAct.Note {

    /**
     * Sends a message at QoS 1.
     *
     * @param carried the observations in it, to be given back when it could not be delivered; empty for anything but an honest report
     */
    record Publish(String deviceId, String topic, byte[] payload, boolean retained, List<Observation> carried) implements SensorAct {
        public Publish {
            carried = List.copyOf(carried);
        }
    }

    /** Its connection breaks without a good-bye, and stays broken until {@link MendLine}. */
    record CutLine() implements SensorAct {
    }

    /** It may connect again, and wants to. */
    record MendLine() implements SensorAct {
    }

    /** For the reader of the play. {@code steady}: nothing but another report. */
    record Note(String text, boolean steady) implements SensorAct {
    }
}
