package org.lampkeeper.telemetry;

import jakarta.inject.Singleton;

import org.lampkeeper.register.Sensors;

/** The logins of the sensors in the register. */
@Singleton
class RegisteredLogins implements SensorLogins {

    private final Sensors sensors;

    RegisteredLogins(Sensors sensors) {
        this.sensors = sensors;
    }

    @Override
    public boolean accepts(String deviceId, String secret) {
        return sensors.accepts(deviceId, secret);
    }
}
