package org.lampkeeper.watch;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import com.github.benmanes.caffeine.cache.Cache;
import com.github.benmanes.caffeine.cache.Caffeine;

import org.lampkeeper.register.LoginEnded;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;

/**
 * Which device is which sensor, remembered, for every report asks. One that is new is known at once, since only what was found is
 * remembered; one that was retired has no status row any more, by which the intake notices and has it forgotten here.
 */
@ApplicationScoped
class SensorDirectory {

    private static final Duration REMEMBERED = Duration.ofHours(1);
    private static final int MOST = 500_000;
    /** A batch names at most this many devices in one query. */
    private static final int CHUNK = 1_000;

    private final Cache<String, SensorKey> known = Caffeine.newBuilder().maximumSize(MOST).expireAfterWrite(REMEMBERED).build();
    private final Sensors sensors;

    SensorDirectory(Sensors sensors) {
        this.sensors = sensors;
    }

    /** Retired, or another secret: at this instance it is asked for anew at once. */
    void forget(@Observes(during = TransactionPhase.AFTER_SUCCESS) LoginEnded login) {
        known.invalidate(login.deviceId());
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
            Map<String, SensorKey> found = sensors.find(chunk);
            keys.putAll(found);
            known.putAll(found);
        }
        return keys;
    }

    void forget(String deviceId) {
        known.invalidate(deviceId);
    }
}
