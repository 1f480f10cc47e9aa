package org.lampkeeper.register;

import java.time.Duration;
import java.util.Objects;

import jakarta.persistence.Embeddable;
import jakarta.persistence.EnumType;
import jakarta.persistence.Enumerated;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;

/** One line of a call-out list. */
@Embeddable
class CallOutStep {

    private @Nullable Long personId;
    @Enumerated(EnumType.STRING)
    private @Nullable DutyRole role;
    private long afterSeconds;

    protected CallOutStep() {
    }

    CallOutStep(Turn turn) {
        this.personId = turn.personId().isPresent() ? turn.personId().getAsLong() : null;
        this.role = turn.role().orElse(null);
        this.afterSeconds = turn.after().toSeconds();
    }

    Turn turn() {
        return new Turn(role == null ? new Whom.Person(Objects.requireNonNull(personId)) : new Whom.OnDutyFor(role), Duration.ofSeconds(afterSeconds));
    }
}
