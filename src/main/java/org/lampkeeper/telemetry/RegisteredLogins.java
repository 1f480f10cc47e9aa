package org.lampkeeper.telemetry;

import java.time.Clock;
import java.util.Optional;

import jakarta.inject.Singleton;

import org.lampkeeper.register.HeardSensors;
import org.lampkeeper.register.Sensors;

/** The logins of the sensors in the register. */
@Singleton
class RegisteredLogins implements SensorLogins {

    private final Sensors sensors;
    private final HeardSensors heard;
    private final Clock clock;

    RegisteredLogins(Sensors sensors, HeardSensors heard, Clock clock) {
        this.sensors = sensors;
        this.heard = heard;
        this.clock = clock;
    }

    @Override
    public boolean accepts(String deviceId, String secret) {
        boolean isAccepted = sensors.accepts(deviceId, secret);
        if (!isAccepted && sensors.login(deviceId).isEmpty()) {
            heard.note(deviceId, Optional.empty(), clock.instant());
        }
        return isAccepted;
    }
}
