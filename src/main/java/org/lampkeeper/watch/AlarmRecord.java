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

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmLife;
import org.lampkeeper.alarm.AlarmState;

/** One alarm from its first moment to its return to normal. A unique key in the table allows one open alarm per cabinet and kind. */
@Entity(name = "Alarm")
@Table(name = "alarm")
class AlarmRecord {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "alarm_seq")
    @SequenceGenerator(name = "alarm_seq", sequenceName = "alarm_seq", allocationSize = 1)
    private @Nullable Long id;

    @Enumerated(EnumType.STRING)
    private AlarmKind kind = AlarmKind.SUPPLY_LOST;

    @Column(name = "site_id")
    private long siteId;

    @Column(name = "cabinet_id")
    private @Nullable Long cabinetId;

    @Enumerated(EnumType.STRING)
    private AlarmState state = AlarmState.NORMAL;

    private boolean live;

    private Instant since = Instant.EPOCH;

    @Column(name = "raised_at")
    private Instant raisedAt = Instant.EPOCH;

    @Column(name = "acknowledged_by")
    private @Nullable Long acknowledgedBy;

    @Column(name = "acknowledged_at")
    private @Nullable Instant acknowledgedAt;

    @Column(name = "returned_at")
    private @Nullable Instant returnedAt;

    @Column(name = "held_until")
    private @Nullable Instant heldUntil;

    @Column(name = "closed_at")
    private @Nullable Instant closedAt;

    @Column(name = "attended_at")
    private @Nullable Instant attendedAt;

    @Column(name = "eased_at")
    private @Nullable Instant easedAt;

    @Column(name = "call_out_id")
    private @Nullable Long callOutId;

    @Column(name = "call_out_place")
    private int callOutPlace;

    private long version;

    protected AlarmRecord() {
        // for the mapper
    }

    AlarmRecord(AlarmKind kind, long siteId, OptionalLong cabinetId, Instant since, Instant now) {
        this.kind = kind;
        this.siteId = siteId;
        this.cabinetId = cabinetId.isPresent() ? cabinetId.getAsLong() : null;
        this.since = since;
        this.raisedAt = now;
    }

    long id() {
        if (id == null) {
            throw new IllegalStateException("alarm has not been stored yet");
        }
        return id;
    }

    AlarmKind kind() {
        return kind;
    }

    long siteId() {
        return siteId;
    }

    OptionalLong cabinetId() {
        return cabinetId == null ? OptionalLong.empty() : OptionalLong.of(cabinetId);
    }

    AlarmLife life() {
        return new AlarmLife(state, live);
    }

    Instant since() {
        return since;
    }

    Optional<Instant> returnedAt() {
        return Optional.ofNullable(returnedAt);
    }

    OptionalLong callOutId() {
        return callOutId == null ? OptionalLong.empty() : OptionalLong.of(callOutId);
    }

    OptionalLong acknowledgedBy() {
        return acknowledgedBy == null ? OptionalLong.empty() : OptionalLong.of(acknowledgedBy);
    }

    Optional<Instant> acknowledgedAt() {
        return Optional.ofNullable(acknowledgedAt);
    }

    long version() {
        return version;
    }

    boolean isOpen() {
        return closedAt == null;
    }

    /** Takes over the next step of the life cycle; back at normal means closed. */
    void become(AlarmLife next, Instant now) {
        if (live && !next.live()) {
            returnedAt = now;
        }
        if (!live && next.live()) {
            returnedAt = null;
        }
        state = next.state();
        live = next.live();
        version++;
        if (state == AlarmState.NORMAL) {
            closedAt = now;
        }
    }

    /** The condition is there again, on the same alarm: whoever had it before must hear of it anew. */
    void occursAgain(Instant newSince) {
        since = newSince;
        acknowledgedBy = null;
        acknowledgedAt = null;
        attendedAt = null;
        easedAt = null;
    }

    /** When what was measured was right again, though it stays until somebody has looked; empty where it is not, or not again. */
    Optional<Instant> easedAt() {
        return Optional.ofNullable(easedAt);
    }

    void eased(Optional<Instant> at) {
        easedAt = at.orElse(null);
    }

    /** Whoever had acknowledged it has not got it back to normal in time, or cannot; or it was held back since. */
    void needsSomebodyAgain() {
        acknowledgedBy = null;
        acknowledgedAt = null;
    }

    /** When somebody said what was done, or why nothing was; empty as long as that is not settled. */
    void attended(Optional<Instant> at) {
        attendedAt = at.orElse(null);
    }

    void acknowledgedBy(long personId, Instant now) {
        acknowledgedBy = personId;
        acknowledgedAt = now;
    }

    boolean isHeld() {
        return switch (state) {
            case SHELVED, SUPPRESSED_BY_DESIGN, OUT_OF_SERVICE -> true;
            case NORMAL, UNACKNOWLEDGED, ACKNOWLEDGED, RETURNED_UNACKNOWLEDGED -> false;
        };
    }

    Optional<Instant> heldUntil() {
        return Optional.ofNullable(heldUntil);
    }

    void holdUntil(Instant end) {
        heldUntil = end;
    }

    /** At the end of it, also where it was in it before: then whoever was told of its place hears of it anew. */
    void joins(CallOutRecord callOut) {
        callOutId = callOut.id();
        callOutPlace = callOut.nextPlace();
    }

    /** Its place among those that ever joined its call-out; 0 for one from before places were kept. */
    int callOutPlace() {
        return callOutPlace;
    }
}
