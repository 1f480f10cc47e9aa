package org.lampkeeper.telemetry;

import jakarta.enterprise.inject.Produces;
import jakarta.inject.Singleton;

/** Decides how the ingest client logs in: as configured at an external broker, with a random password at the broker of our own. */
class IngestLogins {

    @Produces
    @Singleton
    IngestLogin login(BrokerConfig config) {
        if (config.url().isEmpty()) {
            return IngestLogin.random(config.username());
        }
        return new IngestLogin(config.username(), config.password().orElseThrow(() -> new IllegalStateException(
                "lampkeeper.broker.password: missing, must be set when lampkeeper.broker.url is")));
    }
}
