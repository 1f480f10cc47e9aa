package org.lampkeeper.telemetry;

import java.util.function.ToDoubleFunction;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.micrometer.core.instrument.Gauge;
import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.runtime.StartupEvent;

/** The figures of the broker of our own, for whoever scrapes. An external broker has its own. */
@ApplicationScoped
class BrokerMeters {

    private final EmbeddedBroker broker;
    private final BrokerConfig config;
    private final MeterRegistry meters;

    BrokerMeters(EmbeddedBroker broker, BrokerConfig config, MeterRegistry meters) {
        this.broker = broker;
        this.config = config;
        this.meters = meters;
    }

    void register(@Observes StartupEvent event) {
        if (config.url().isPresent()) {
            return;
        }
        gauge("lampkeeper.broker.connections", BrokerFigures::connections);
        gauge("lampkeeper.broker.waiting", BrokerFigures::waiting);
        gauge("lampkeeper.broker.refused.logins", BrokerFigures::refusedLogins);
        gauge("lampkeeper.broker.refused.packets", BrokerFigures::refusedPackets);
    }

    private void gauge(String name, ToDoubleFunction<BrokerFigures> figure) {
        Gauge.builder(name, broker, it -> it.isRunning() ? figure.applyAsDouble(it.figures()) : Double.NaN).register(meters);
    }
}
