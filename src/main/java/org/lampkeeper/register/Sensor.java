package org.lampkeeper.register;

import java.time.Instant;

import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;
import jakarta.persistence.Version;

import org.jspecify.annotations.Nullable;

/** The device that reports a cabinet's supply. A cabinet has at most one that is not retired; a unique key says so. */
@Entity
class Sensor {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Cabinet cabinet;
    private String deviceId;
    private String baseName;
    private String secretHash;
    private @Nullable Instant retiredAt;
    @Version
    private Integer version;

    protected Sensor() {
    }

    Sensor(Cabinet cabinet, NewSensor entered, String secretHash) {
        this.cabinet = cabinet;
        this.deviceId = entered.deviceId();
        this.baseName = entered.baseName();
        this.secretHash = secretHash;
    }

    long id() {
        return id;
    }

    /** From {@code now} on it neither logs in nor counts; the cabinet may get another. Retiring it again changes nothing. */
    void retire(Instant now) {
        if (retiredAt == null) {
            retiredAt = now;
        }
    }

    void renewSecret(String newHash) {
        secretHash = newHash;
    }

    SensorKey key() {
        return new SensorKey(id, cabinet.site().id(), cabinet.id(), deviceId, baseName);
    }
}
