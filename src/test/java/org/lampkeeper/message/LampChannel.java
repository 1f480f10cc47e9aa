package org.lampkeeper.message;

import java.time.Duration;
import java.util.concurrent.atomic.AtomicInteger;

import jakarta.inject.Singleton;

import org.lampkeeper.journal.Head;

/** A channel that answers as told: a signal lamp, for as long as a test has it lit. */
@Singleton
class LampChannel implements Channel {

    static final String KIND = "LAMP";

    private final AtomicInteger tries = new AtomicInteger();
    private volatile boolean isLit;
    private volatile Handover answer = new Handover.Accepted();

    void light() {
        answer = new Handover.Accepted();
        isLit = true;
    }

    void darken() {
        isLit = false;
    }

    void answers(Handover next) {
        answer = next;
    }

    int tries() {
        return tries.get();
    }

    @Override
    public String kind() {
        return KIND;
    }

    @Override
    public String label() {
        return "signal lamp";
    }

    @Override
    public boolean isOffered() {
        return isLit;
    }

    @Override
    public String address(String entered) {
        return entered;
    }

    @Override
    public Handover handOver(OutgoingMessage message, Head journal) {
        tries.incrementAndGet();
        return answer;
    }

    @Override
    public Duration timeout() {
        return Duration.ofSeconds(5);
    }
}
