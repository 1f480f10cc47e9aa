package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;

import org.lampkeeper.telemetry.HeartbeatLink;
import org.lampkeeper.telemetry.Subscriber;

/** Runs what watches by the clock: the silence of sensors, and Lampkeeper's own health. Also starts and stops the listening. */
@ApplicationScoped
class SelfWatch {

    private static final Duration SILENCE_TICK = Duration.ofSeconds(1);
    private static final Duration HEALTH_TICK = Duration.ofSeconds(3);
    private static final Duration STOP_WITHIN = Duration.ofSeconds(5);

    private final Subscriber subscriber;
    private final ServiceConfig service;
    private final WorkLoop silence;
    private final WorkLoop health;
    private final WorkLoop heart;
    private final WorkLoop comparing;
    private final boolean compares;
    private final HeartbeatLink link;

    SelfWatch(Subscriber subscriber, ServiceConfig service, SilenceSweep sweep, Listening listening, OwnFaults faults,
            OwnMachine machine, Heartbeat heartbeat, HeartbeatConfig heartbeatConfig, HeartbeatLink link, WatchFigures figures, ClockComparison comparison,
            ClockConfig clockConfig, Clock clock) {
        this.subscriber = subscriber;
        this.service = service;
        this.silence = new WorkLoop("silence", SILENCE_TICK, () -> sweep.sweep(clock.instant()) >= 100);
        this.health = new WorkLoop("health", HEALTH_TICK, () -> {
            Instant now = clock.instant();
            // Each in a transaction of its own, and each though another failed: the one that fails must not hide the others.
            new EachThough().run(() -> listening.look(now)).run(() -> faults.mail(now)).run(() -> faults.broker(subscriber.droppedByBroker(), now))
                    .run(() -> faults.messages(now)).run(() -> machine.look(now))
                    .run(() -> heartbeat.judge(now)).run(() -> figures.look(now)).end();
            return false;
        });
        this.compares = comparison.isConfigured();
        this.comparing = new WorkLoop("clock", clockConfig.every(), () -> {
            comparison.compare();
            return false;
        });
        this.link = link;
        this.heart = new WorkLoop("heartbeat", heartbeatConfig.every(), () -> {
            heartbeat.beat();
            return false;
        });
    }

    void start(@Observes @Priority(3_000) StartupEvent event) {
        if (service.loops()) {
            subscriber.start();
            silence.start();
            health.start();
            heart.start();
            if (compares) {
                comparing.start();
            }
        }
    }

    /** Before the embedded broker and the database go: what is under way is stored and acknowledged. */
    void stop(@Observes @Priority(100) ShutdownEvent event) {
        subscriber.stop();
        silence.stop(STOP_WITHIN);
        health.stop(STOP_WITHIN);
        heart.stop(STOP_WITHIN);
        comparing.stop(STOP_WITHIN);
        link.close();
    }

    boolean isRunning() {
        return subscriber.isRunning() && silence.isRunning() && health.isRunning() && heart.isRunning() && (!compares || comparing.isRunning());
    }
}
