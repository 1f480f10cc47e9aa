package org.lampkeeper.watch;

import jakarta.enterprise.context.ApplicationScoped;

import org.eclipse.microprofile.health.HealthCheck;
import org.eclipse.microprofile.health.HealthCheckResponse;
import org.eclipse.microprofile.health.Liveness;

/** Alive means: the loops that drain deadlines and watch for silence still run. A process without them should be started anew. */
@Liveness
@ApplicationScoped
class LoopsCheck implements HealthCheck {

    private final DeadlineLoop deadlines;
    private final LookLoop looks;
    private final SelfWatch selfWatch;
    private final ServiceConfig service;

    LoopsCheck(DeadlineLoop deadlines, LookLoop looks, SelfWatch selfWatch, ServiceConfig service) {
        this.deadlines = deadlines;
        this.looks = looks;
        this.selfWatch = selfWatch;
        this.service = service;
    }

    @Override
    public HealthCheckResponse call() {
        boolean run = deadlines.isRunning() && looks.isRunning() && selfWatch.isRunning();
        return HealthCheckResponse.named("loops").status(run || !service.loops()).build();
    }
}
