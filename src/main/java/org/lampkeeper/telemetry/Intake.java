package org.lampkeeper.telemetry;

import java.util.List;

/**
 * Where arrivals go. When {@link #take} returns, their effect is durable and they may be acknowledged to the broker; when it throws,
 * nothing of them is, and they will be delivered again. It must bear a repeat.
 */
public interface Intake {

    /** Takes in a batch in the order of arrival, in one transaction. */
    void take(List<Arrival> batch);

    /**
     * Keeps a message that failed again and again, for a person to look at, so that it can be acknowledged and disturbs no neighbour.
     * Throws where the database does not answer: then nothing is wrong with the message.
     */
    void setAside(Arrival arrival, String why);
}
