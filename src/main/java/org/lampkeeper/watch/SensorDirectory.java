package org.lampkeeper.watch;

import org.lampkeeper.register.Rows;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import com.github.benmanes.caffeine.cache.Cache;
import com.github.benmanes.caffeine.cache.Caffeine;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import org.lampkeeper.register.SensorKey;

/**
 * Which device is which sensor, remembered for a short time: every report asks. A sensor that was retired may be listened to for that
 * long still; one that is new is known at once, since only what was found is remembered.
 */
@ApplicationScoped
class SensorDirectory {

    private static final Duration REMEMBERED = Duration.ofSeconds(60);
    private static final int MOST = 500_000;
    /** A batch names at most this many devices in one query. */
    private static final int CHUNK = 1_000;

    private static final String KEYS_OF_DEVICES = """
            SELECT s.id, c.site_id, c.id, s.device_id, s.base_name
              FROM sensor s JOIN cabinet c ON c.id = s.cabinet_id
             WHERE s.retired_at IS NULL AND s.device_id IN (:devices)""";

    private final Cache<String, SensorKey> known = Caffeine.newBuilder().maximumSize(MOST).expireAfterWrite(REMEMBERED).build();
    private final EntityManager entities;

    SensorDirectory(EntityManager entities) {
        this.entities = entities;
    }

    /** Keys of those devices that are sensors in use; called inside a transaction. */
    Map<String, SensorKey> find(Collection<String> deviceIds) {
        Map<String, SensorKey> keys = new HashMap<>(known.getAllPresent(deviceIds));
        List<String> missing = new ArrayList<>();
        for (String device : deviceIds) {
            if (!keys.containsKey(device)) {
                missing.add(device);
            }
        }
        for (int from = 0; from < missing.size(); from += CHUNK) {
            List<String> chunk = missing.subList(from, Math.min(from + CHUNK, missing.size()));
            for (Object found : entities.createNativeQuery(KEYS_OF_DEVICES).setParameter("devices", chunk).getResultList()) {
                Object[] row = (Object[]) found;
                SensorKey key = new SensorKey(Rows.number(row[0]), Rows.number(row[1]), Rows.number(row[2]), (String) row[3],
                        (String) row[4]);
                keys.put(key.deviceId(), key);
                known.put(key.deviceId(), key);
            }
        }
        return keys;
    }

    Optional<SensorKey> find(String deviceId) {
        return Optional.ofNullable(find(List.of(deviceId)).get(deviceId));
    }
}
