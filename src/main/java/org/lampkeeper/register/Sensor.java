package org.lampkeeper.register;

import java.time.Instant;

import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;

import org.jspecify.annotations.Nullable;

/** The device that reports a cabinet's supply. A cabinet has at most one that is not retired; a unique key says so. */
@Entity
class Sensor extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Cabinet cabinet;
    private String deviceId;
    private String baseName;
    private String secretHash;
    private @Nullable Instant retiredAt;

    protected Sensor() {
    }

    Sensor(Cabinet cabinet, NewSensor entered, String secretHash, By by) {
        this.cabinet = cabinet;
        this.deviceId = entered.deviceId();
        this.baseName = entered.baseName();
        this.secretHash = secretHash;
        changed(by);
    }

    long id() {
        return id;
    }

    /** From then on it neither logs in nor counts; the cabinet may get another. Retiring it again changes nothing. */
    void retire(By by) {
        if (retiredAt == null) {
            retiredAt = by.at();
            changed(by);
        }
    }

    void renewSecret(String newHash, By by) {
        secretHash = newHash;
        changed(by);
    }

    SensorKey key() {
        return new SensorKey(id, cabinet.site().id(), cabinet.id(), deviceId, baseName);
    }
}
