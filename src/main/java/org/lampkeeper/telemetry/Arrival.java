package org.lampkeeper.telemetry;

import java.time.Instant;

import org.jspecify.annotations.Nullable;

/**
 * One message as it came from the broker. Can be shared between threads.
 *
 * <p>What it says is read once and remembered: the thread that receives reads ahead, while the batch before is being stored.
 */
public final class Arrival {

    private final String topic;
    private final byte[] payload;
    private final Instant receivedAt;
    private final boolean mayHaveWaited;
    private volatile @Nullable Decoded decoded;

    /**
     * @param topic         as published
     * @param payload       as published; not copied, so not to be changed
     * @param receivedAt    when it reached this process
     * @param mayHaveWaited retained, delivered again, or from before the backlog was in: its relative times mean nothing
     */
    public Arrival(String topic, byte[] payload, Instant receivedAt, boolean mayHaveWaited) {
        this.topic = topic;
        this.payload = payload;
        this.receivedAt = receivedAt;
        this.mayHaveWaited = mayHaveWaited;
    }

    public String topic() {
        return topic;
    }

    public byte[] payload() {
        return payload;
    }

    public Instant receivedAt() {
        return receivedAt;
    }

    public boolean mayHaveWaited() {
        return mayHaveWaited;
    }

    /** The payload as a report, which the topic has to say that it is. */
    public Decoded report() {
        Decoded known = decoded;
        if (known == null) {
            known = SenmlCodec.decode(payload);
            decoded = known;
        }
        return known;
    }
}
