package org.lampkeeper.register;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.hibernate.Session;

/**
 * Sensors that were heard and are not registered: what reported through an external broker, or tried to log in at our own. So that one can be
 * paired by the code on its label. Thread-safe; a few rows, whatever knocks.
 */
@ApplicationScoped
public class HeardSensors {

    // Ours: a sensor that is to be paired is switched on within a week, and says something at least once a minute or at its next try.
    private static final Duration KEPT = Duration.ofDays(7);
    private static final Duration BETWEEN_NOTES = Duration.ofMinutes(1);
    /** Ours: more than anybody pairs in a week, few enough that a stranger who makes up ids fills nothing. */
    private static final int MOST = 200;

    private static final String HEARD_AGAIN = """
            UPDATE heard_sensor SET heard_at = :now, base_name = COALESCE(CAST(:baseName AS VARCHAR(120)), base_name) WHERE device_id = :device""";

    private static final String HEARD_FIRST = """
            INSERT INTO heard_sensor (device_id, base_name, heard_at) VALUES (:device, :baseName, :now) ON CONFLICT DO NOTHING""";

    private static final String FORGET_OLD = "DELETE FROM heard_sensor WHERE heard_at < :before";

    private static final String COUNT = "SELECT COUNT(*) FROM heard_sensor";

    private static final String FORGET_OLDEST = """
            DELETE FROM heard_sensor WHERE device_id = (SELECT device_id FROM heard_sensor ORDER BY heard_at, device_id LIMIT 1)""";

    /** A sensor that was registered meanwhile, or ever was, is not among them. */
    private static final String ALL = """
            SELECT h.device_id, h.base_name, h.heard_at FROM heard_sensor h
             WHERE h.heard_at >= :from AND NOT EXISTS (SELECT 1 FROM sensor s WHERE s.device_id = h.device_id)
             ORDER BY h.heard_at DESC, h.device_id""";

    private final EntityManager entities;
    /** The last note of each, with whether its base name was known then; bounded as the table is. */
    private final Map<String, Noted> noted = new LinkedHashMap<>() {
        private static final long serialVersionUID = 1L;

        @Override
        protected boolean removeEldestEntry(Map.Entry<String, Noted> eldest) {
            return size() > MOST;
        }
    };

    HeardSensors(EntityManager entities) {
        this.entities = entities;
    }

    private record Noted(Instant at, boolean hasBaseName) {
    }

    /** @param baseName as it reported; empty for one that could only knock */
    public record Heard(String deviceId, Optional<String> baseName, Instant at) {

        /** Eight digits, as on its label. */
        public String code() {
            return PairingCode.of(deviceId);
        }
    }

    /** Notes it once a minute at most. What could not be registered is not noted. */
    @Transactional
    public void note(String deviceId, Optional<String> baseName, Instant now) {
        if (!new NewSensor(0, deviceId, baseName.orElse("none:")).problems().isEmpty() || !isDue(deviceId, baseName.isPresent(), now)) {
            return;
        }
        entities.createNativeQuery(FORGET_OLD).setParameter("before", now.minus(KEPT)).executeUpdate();
        Session session = entities.unwrap(Session.class);
        int again = session.createNativeMutationQuery(HEARD_AGAIN).setParameter("now", now).setParameter("baseName", baseName.orElse(null), String.class)
                .setParameter("device", deviceId).executeUpdate();
        if (again == 0) {
            if (Rows.number(entities.createNativeQuery(COUNT).getSingleResult()) >= MOST) {
                entities.createNativeQuery(FORGET_OLDEST).executeUpdate();
            }
            session.createNativeMutationQuery(HEARD_FIRST).setParameter("device", deviceId).setParameter("baseName", baseName.orElse(null), String.class)
                    .setParameter("now", now).executeUpdate();
        }
    }

    /** The newest first. */
    @Transactional
    public List<Heard> all(Instant now) {
        List<Heard> all = new ArrayList<>();
        for (Object found : entities.createNativeQuery(ALL).setParameter("from", now.minus(KEPT)).getResultList()) {
            Object[] row = (Object[]) found;
            all.add(new Heard((String) row[0], Optional.ofNullable((String) row[1]), Rows.instant(row[2])));
        }
        return List.copyOf(all);
    }

    private boolean isDue(String deviceId, boolean hasBaseName, Instant now) {
        synchronized (noted) {
            Noted last = noted.get(deviceId);
            boolean saysMore = last != null && hasBaseName && !last.hasBaseName();
            if (last != null && !saysMore && now.isBefore(last.at().plus(BETWEEN_NOTES)) && !now.isBefore(last.at())) {
                return false;
            }
            noted.put(deviceId, new Noted(now, hasBaseName));
            return true;
        }
    }
}
