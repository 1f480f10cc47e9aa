package org.lampkeeper.message;

import java.time.Duration;
import java.util.concurrent.atomic.AtomicInteger;

import jakarta.inject.Singleton;

import org.lampkeeper.journal.Head;

/** Another way to the same lamp, for as long as a test has it ready; it always carries. */
@Singleton
class SpareLampChannel implements Channel {

    static final String KIND = "LAMP_SPARE";

    private final AtomicInteger tries = new AtomicInteger();
    private volatile boolean isReady;

    void ready(boolean now) {
        isReady = now;
    }

    int tries() {
        return tries.get();
    }

    @Override
    public String kind() {
        return KIND;
    }

    @Override
    public String serves() {
        return LampChannel.KIND;
    }

    @Override
    public int place() {
        return 1;
    }

    @Override
    public String label() {
        return "spare lamp";
    }

    @Override
    public boolean isOffered() {
        return isReady;
    }

    @Override
    public String address(String entered) {
        return entered;
    }

    @Override
    public Handover handOver(OutgoingMessage message, Head journal) {
        tries.incrementAndGet();
        return new Handover.Accepted();
    }

    @Override
    public Duration timeout() {
        return Duration.ofSeconds(5);
    }
}
