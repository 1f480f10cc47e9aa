package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

/**
 * When somebody looked, as far as that is known: a phone may have kept the answer for hours, and its clock may be wrong.
 *
 * @param at           corrected by what the phone's clock was wrong by; never after {@code receivedAt}
 * @param receivedAt   by the server's clock
 * @param clockWrongBy how far the phone's clock was behind (positive) or ahead (negative), where that was more than a transfer explains
 */
public record LookTime(Instant at, Instant receivedAt, Optional<Duration> clockWrongBy) {

    /** Ours: longer than a message takes over a poor connection; a clock that is off by less spoils no window. */
    public static final Duration TRANSFER = Duration.ofMinutes(2);

    /**
     * @param lookedAt   by the phone's clock
     * @param sentAt     by the phone's clock, at the moment of sending
     * @param receivedAt by the server's clock
     */
    public static LookTime of(Instant lookedAt, Instant sentAt, Instant receivedAt) {
        Duration behind = Duration.between(sentAt, receivedAt);
        boolean isWrong = behind.abs().compareTo(TRANSFER) > 0;
        Instant corrected = isWrong ? lookedAt.plus(behind) : lookedAt;
        // Nobody looks after they have sent; a clock that was set meanwhile gives no better moment than the sending.
        Instant at = lookedAt.isAfter(sentAt) || corrected.isAfter(receivedAt) ? receivedAt : corrected;
        return new LookTime(at, receivedAt, isWrong ? Optional.of(behind) : Optional.empty());
    }

    /** Answered on a page of the server, there and then. */
    public static LookTime now(Instant receivedAt) {
        return new LookTime(receivedAt, receivedAt, Optional.empty());
    }

    /** Whether it was under way for longer than a transfer takes. */
    public boolean isReceivedLate() {
        return Duration.between(at, receivedAt).compareTo(TRANSFER) > 0;
    }
}
