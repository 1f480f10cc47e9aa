package org.lampkeeper.register;

import java.time.Duration;

import jakarta.persistence.Embeddable;

import org.lampkeeper.callout.Turn;

/** One line of a call-out list. */
@Embeddable
class CallOutStep {

    private Long personId;
    private long afterSeconds;

    protected CallOutStep() {
    }

    CallOutStep(Turn turn) {
        this.personId = turn.personId();
        this.afterSeconds = turn.after().toSeconds();
    }

    Turn turn() {
        return new Turn(personId, Duration.ofSeconds(afterSeconds));
    }
}
