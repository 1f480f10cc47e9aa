package org.lampkeeper.register;

import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

/** The sensors in use. A retired one is found nowhere here. Reads as {@link Register} does. */
@ApplicationScoped
@Transactional
public class Sensors {

    private final SensorRepository sensors;

    Sensors(SensorRepository sensors) {
        this.sensors = sensors;
    }

    public Optional<SensorKey> find(String deviceId) {
        return Optional.ofNullable(find(List.of(deviceId)).get(deviceId));
    }

    /** Those of {@code deviceIds} that are in use, by device id; one query, so keep it to some thousands. */
    public Map<String, SensorKey> find(Collection<String> deviceIds) {
        if (deviceIds.isEmpty()) {
            return Map.of();
        }
        return sensors.keys(deviceIds).stream().collect(Collectors.toUnmodifiableMap(SensorKey::deviceId, Function.identity()));
    }

    /** The sensor in use that watches this cabinet. */
    public Optional<SensorKey> watching(long cabinetId) {
        return sensors.watching(cabinetId).map(Sensor::key);
    }

    /** Every sensor in use, by device id. */
    public List<SensorKey> keys() {
        return List.copyOf(sensors.keys());
    }

    /** Every login in use, by device id, for the password file of an external broker. */
    public List<SensorLogin> logins() {
        return List.copyOf(sensors.logins());
    }

    public Optional<SensorLogin> login(String deviceId) {
        return sensors.login(deviceId);
    }

    /** Whether a sensor in use has this login and this secret. */
    public boolean accepts(String deviceId, String secret) {
        return login(deviceId).filter(login -> SensorSecrets.verify(secret, login.secretHash())).isPresent();
    }
}
