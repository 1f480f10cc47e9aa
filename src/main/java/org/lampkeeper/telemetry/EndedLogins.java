package org.lampkeeper.telemetry;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import org.lampkeeper.register.LoginEnded;

/**
 * Whoever is connected with a login that is no longer right is cut off, once that is committed: before, the register would let them in
 * again. A broker of somebody else's is not told: its password file is exported anew.
 */
@ApplicationScoped
class EndedLogins {

    private final BrokerConfig config;
    private final EmbeddedBroker broker;

    EndedLogins(BrokerConfig config, EmbeddedBroker broker) {
        this.config = config;
        this.broker = broker;
    }

    void ended(@Observes(during = TransactionPhase.AFTER_SUCCESS) LoginEnded login) {
        if (config.url().isEmpty()) {
            broker.cutOff(login.deviceId());
        }
    }
}
