package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.persistence.Column;
import jakarta.persistence.Entity;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.SequenceGenerator;
import jakarta.persistence.Table;

import org.jspecify.annotations.Nullable;

/**
 * One telling of people, in order, until somebody takes it. The version is ours and not the mapper's: it is raised by whatever makes the
 * deadlines of before stale, and only by that.
 */
@Entity(name = "CallOut")
@Table(name = "call_out")
class CallOutRecord {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "call_out_seq")
    @SequenceGenerator(name = "call_out_seq", sequenceName = "call_out_seq", allocationSize = 1)
    private @Nullable Long id;

    @Column(name = "site_id")
    private long siteId;

    @Column(name = "opened_at")
    private Instant openedAt = Instant.EPOCH;

    private int told;

    @Column(name = "next_at")
    private @Nullable Instant nextAt;

    @Column(name = "taken_by")
    private @Nullable Long takenBy;

    @Column(name = "taken_at")
    private @Nullable Instant takenAt;

    @Column(name = "ended_at")
    private @Nullable Instant endedAt;

    private long version;

    protected CallOutRecord() {
        // for the mapper
    }

    CallOutRecord(long siteId, Instant now) {
        this.siteId = siteId;
        this.openedAt = now;
    }

    long id() {
        if (id == null) {
            throw new IllegalStateException("call-out has not been stored yet");
        }
        return id;
    }

    long siteId() {
        return siteId;
    }

    int told() {
        return told;
    }

    long version() {
        return version;
    }

    Optional<Instant> nextAt() {
        return Optional.ofNullable(nextAt);
    }

    OptionalLong takenBy() {
        return takenBy == null ? OptionalLong.empty() : OptionalLong.of(takenBy);
    }

    Optional<Instant> takenAt() {
        return Optional.ofNullable(takenAt);
    }

    boolean isClimbing() {
        return takenAt == null && endedAt == null && nextAt != null;
    }

    boolean isEnded() {
        return endedAt != null;
    }

    void hasTold(int newTold, Instant next) {
        told = newTold;
        nextAt = next;
        version++;
    }

    void take(long personId, Instant now) {
        takenBy = personId;
        takenAt = now;
        pause();
    }

    /** Stops climbing; what has been told stays told. */
    void pause() {
        nextAt = null;
        version++;
    }

    /** Climbs again from where it had got to, whoever had taken it before. */
    void resume() {
        takenBy = null;
        takenAt = null;
        version++;
    }

    void end(Instant now) {
        endedAt = now;
        pause();
    }
}
