package org.lampkeeper.register;

import java.util.Collection;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

/** Only sensors that are not retired are found: a retired one neither logs in nor counts. */
@ApplicationScoped
class SensorRepository implements PanacheRepositoryBase<Sensor, Long> {

    // No "new" with a class name: it would be looked up by the thread's class loader, and the broker's threads ask too.
    private static final String KEYS_IN_USE = """
            SELECT s.id, k.site.id, k.id, s.deviceId, s.baseName
            FROM Sensor s JOIN s.cabinet k
            WHERE s.retiredAt IS NULL
            """;

    private static final String LOGINS_IN_USE = """
            SELECT s.deviceId, s.secretHash
            FROM Sensor s
            WHERE s.retiredAt IS NULL
            """;

    Optional<Sensor> inUse(String deviceId) {
        return find("deviceId = ?1 AND retiredAt IS NULL", deviceId).firstResultOptional();
    }

    Optional<Sensor> watching(long cabinetId) {
        return find("cabinet.id = ?1 AND retiredAt IS NULL", cabinetId).firstResultOptional();
    }

    List<SensorKey> keys() {
        return getEntityManager().createQuery(KEYS_IN_USE + "ORDER BY s.deviceId", SensorKey.class).getResultList();
    }

    List<SensorKey> keys(Collection<String> deviceIds) {
        return getEntityManager().createQuery(KEYS_IN_USE + "AND s.deviceId IN (:deviceIds)", SensorKey.class)
                .setParameter("deviceIds", deviceIds)
                .getResultList();
    }

    List<SensorLogin> logins() {
        return getEntityManager().createQuery(LOGINS_IN_USE + "ORDER BY s.deviceId", SensorLogin.class).getResultList();
    }

    Optional<SensorLogin> login(String deviceId) {
        return getEntityManager().createQuery(LOGINS_IN_USE + "AND s.deviceId = :deviceId", SensorLogin.class)
                .setParameter("deviceId", deviceId)
                .getResultStream()
                .findFirst();
    }
}
