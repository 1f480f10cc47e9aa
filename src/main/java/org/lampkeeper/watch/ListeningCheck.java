package org.lampkeeper.watch;

import jakarta.enterprise.context.ApplicationScoped;

import org.eclipse.microprofile.health.HealthCheck;
import org.eclipse.microprofile.health.HealthCheckResponse;
import org.eclipse.microprofile.health.HealthCheckResponseBuilder;
import org.eclipse.microprofile.health.Readiness;

import org.lampkeeper.telemetry.Subscriber;

/** Ready means: connected to the broker on every slot held, and what had waited there is taken in; or standing by for who is. */
@Readiness
@ApplicationScoped
class ListeningCheck implements HealthCheck {

    private final Subscriber subscriber;
    private final ServiceConfig service;

    ListeningCheck(Subscriber subscriber, ServiceConfig service) {
        this.subscriber = subscriber;
        this.service = service;
    }

    @Override
    public HealthCheckResponse call() {
        HealthCheckResponseBuilder answer = HealthCheckResponse.named("broker")
                .status(subscriber.isListening() || subscriber.isStandingBy() || !service.loops())
                .withData("standing-by", subscriber.isStandingBy())
                .withData("queued", subscriber.queued());
        subscriber.troubles().forEach((slot, trouble) -> answer.withData("slot-" + slot, trouble));
        return answer.build();
    }
}
