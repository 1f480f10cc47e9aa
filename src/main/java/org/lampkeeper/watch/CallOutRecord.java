package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.persistence.Column;
import jakarta.persistence.Entity;
import jakarta.persistence.EnumType;
import jakarta.persistence.Enumerated;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.SequenceGenerator;
import jakarta.persistence.Table;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.Grouping.Origin;
import org.lampkeeper.alarm.Grouping.Shared;
import org.lampkeeper.callout.Climb;
import org.lampkeeper.callout.Climb.Asked;
import org.lampkeeper.callout.Climb.Taking;
import org.lampkeeper.callout.Merging;
import org.lampkeeper.callout.Phase;

/**
 * One telling of people, in order, until somebody takes it. The version is ours and not the mapper's: it is raised by whatever makes the
 * deadlines of before stale, and only by that. What may become of it is {@link Climb}'s to say.
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

    @Enumerated(EnumType.STRING)
    private Phase phase = Phase.RESTING;

    private int round;

    private int told;

    @Column(name = "next_at")
    private @Nullable Instant nextAt;

    @Column(name = "taken_by")
    private @Nullable Long takenBy;

    @Column(name = "taken_at")
    private @Nullable Instant takenAt;

    @Column(name = "promised_at")
    private @Nullable Instant promisedAt;

    private boolean arrived;

    @Column(name = "call_again_at")
    private @Nullable Instant callAgainAt;

    @Column(name = "asked_person")
    private @Nullable Long askedPerson;

    @Column(name = "asked_until")
    private @Nullable Instant askedUntil;

    @Column(name = "ended_at")
    private @Nullable Instant endedAt;

    /** How many alarms have ever joined; the place of the newest. */
    private int joined;

    @Column(name = "joined_at")
    private @Nullable Instant joinedAt;

    @Column(name = "board_id")
    private @Nullable Long boardId;

    @Column(name = "intake_site_id")
    private @Nullable Long intakeSiteId;

    private int merges;

    @Column(name = "merged_at")
    private @Nullable Instant mergedAt;

    @Column(name = "merge_at")
    private @Nullable Instant mergeAt;

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

    long version() {
        return version;
    }

    Phase phase() {
        return phase;
    }

    OptionalLong takenBy() {
        return takenBy == null ? OptionalLong.empty() : OptionalLong.of(takenBy);
    }

    Optional<Instant> takenAt() {
        return Optional.ofNullable(takenAt);
    }

    boolean isEnded() {
        return phase == Phase.ENDED;
    }

    int joined() {
        return joined;
    }

    /** The place of an alarm that joins now. */
    int nextPlace() {
        return ++joined;
    }

    /** A loss has come to it, the first or another. */
    void lost(Origin origin, Instant now) {
        Shared shared = joinedAt == null ? Shared.of(origin) : shared().with(origin);
        joinedAt = now;
        boardId = shared.boardId().isPresent() ? shared.boardId().getAsLong() : null;
        intakeSiteId = shared.intakeSiteId().isPresent() ? shared.intakeSiteId().getAsLong() : null;
    }

    /** What its losses have in common; nothing where it is not about losses. */
    Shared shared() {
        return new Shared(boardId == null ? OptionalLong.empty() : OptionalLong.of(boardId),
                intakeSiteId == null ? OptionalLong.empty() : OptionalLong.of(intakeSiteId));
    }

    Optional<Instant> joinedAt() {
        return Optional.ofNullable(joinedAt);
    }

    Merging merging() {
        return new Merging(merges, Optional.ofNullable(mergedAt), Optional.ofNullable(mergeAt));
    }

    void become(Merging next) {
        merges = next.merges();
        mergedAt = next.lastAt().orElse(null);
        mergeAt = next.dueAt().orElse(null);
    }

    /** As the core takes it. */
    Climb climb() {
        Optional<Taking> taking = takenBy == null || takenAt == null ? Optional.empty()
                : Optional.of(new Taking(takenBy, takenAt, Optional.ofNullable(promisedAt), arrived, callAgainAt == null ? takenAt : callAgainAt));
        Optional<Asked> asked = askedPerson == null || askedUntil == null ? Optional.empty() : Optional.of(new Asked(askedPerson, askedUntil));
        return new Climb(phase, round, told, taking, asked, Optional.ofNullable(nextAt), version);
    }

    void become(Climb next, Instant now) {
        phase = next.phase();
        round = next.round();
        told = next.told();
        nextAt = next.nextAt().orElse(null);
        takenBy = next.taking().map(Taking::personId).orElse(null);
        takenAt = next.taking().map(Taking::at).orElse(null);
        promisedAt = next.taking().flatMap(Taking::promised).orElse(null);
        arrived = next.taking().filter(Taking::hasArrived).isPresent();
        callAgainAt = next.taking().map(Taking::callAgainAt).orElse(null);
        askedPerson = next.asked().map(Asked::personId).orElse(null);
        askedUntil = next.asked().map(Asked::until).orElse(null);
        version = next.version();
        if (phase == Phase.ENDED && endedAt == null) {
            endedAt = now;
        }
    }
}
