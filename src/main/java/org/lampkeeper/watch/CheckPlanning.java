package org.lampkeeper.watch;

import java.time.Clock;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.runtime.StartupEvent;
import io.quarkus.scheduler.Scheduled;
import org.quartz.Scheduler;
import org.quartz.SchedulerException;

/**
 * Has the coming days planned, on one instance at a time: a job of Quartz, whose store in the database says who does it. After downtime
 * it plans on from where it was. At which moment something opens is a deadline's business, not this one's.
 */
@ApplicationScoped
class CheckPlanning {

    /** Ours: a transaction of about a second; a kill undoes no more. */
    private static final int BATCH = 100;

    private final CheckPlanner planner;
    private final ServiceConfig service;
    private final Scheduler quartz;
    private final Clock clock;

    CheckPlanning(CheckPlanner planner, ServiceConfig service, Scheduler quartz, Clock clock) {
        this.planner = planner;
        this.service = service;
        this.quartz = quartz;
        this.clock = clock;
    }

    /** It is halted until then: a process that does not do the work of the service must not take its turn and let it pass. */
    void start(@Observes StartupEvent event) throws SchedulerException {
        if (service.loops()) {
            quartz.start();
        }
    }

    /** Often, so that it comes soon after a start; where there is nothing to plan it is one short query. */
    @Scheduled(identity = "check-planning", every = "10m")
    void plan() {
        int planned = BATCH;
        while (planned == BATCH) {
            planned = planner.planSome(clock.instant(), BATCH);
        }
    }
}
