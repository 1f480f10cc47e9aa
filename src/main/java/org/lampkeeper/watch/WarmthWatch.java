package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.scheduler.Scheduled;
import org.jboss.logging.Logger;

import org.lampkeeper.register.Rows;

/**
 * Looks at all temperatures once a minute, on one instance at a time, in place of each report: most reports change nothing, and the path of steady
 * ones must cost nothing more. What is beyond a limit is raised, and for what is without heating the forecast is made anew.
 */
@ApplicationScoped
class WarmthWatch {

    private static final Logger LOG = Logger.getLogger(WarmthWatch.class);

    /** Uses the alarms' open key. Only call-outs that have a time ahead. */
    private static final String WITHOUT_HEATING = """
            SELECT DISTINCT a.call_out_id FROM alarm a JOIN call_out o ON o.id = a.call_out_id
             WHERE a.open_key IS NOT NULL AND a.live = TRUE AND a.kind IN ('SUPPLY_LOST', 'LAMP_OUT', 'HEATER_NOT_HEATING', 'DOOR_OPEN')
               AND o.phase IN ('CLIMBING', 'TAKEN', 'HANDED_ON')""";

    private final EntityManager entities;
    private final ContentKeeper contents;
    private final HeaterKeeper heaters;
    private final SiteWatches sites;
    private final CallOutBook callOuts;
    private final CallOutKeeper callOutKeeper;
    private final Clock clock;

    WarmthWatch(EntityManager entities, ContentKeeper contents, HeaterKeeper heaters, SiteWatches sites, CallOutBook callOuts,
            CallOutKeeper callOutKeeper, Clock clock) {
        this.entities = entities;
        this.contents = contents;
        this.heaters = heaters;
        this.sites = sites;
        this.callOuts = callOuts;
        this.callOutKeeper = callOutKeeper;
        this.clock = clock;
    }

    @Scheduled(identity = "warmth-watch", every = "1m")
    void everyMinute() {
        look(clock.instant());
    }

    /** A heater is slow: a quarter of an hour is a reading. */
    @Scheduled(identity = "heater-watch", every = "15m")
    void everyQuarter() {
        lookAtHeaters(clock.instant());
    }

    void look(Instant now) {
        contents.toLookAt(now).forEach(cabinet -> each("content of cabinet " + cabinet, () -> contents.look(cabinet, now)));
        withoutHeating().forEach(callOut -> each("forecast of call-out " + callOut,
                () -> QuarkusTransaction.requiringNew().run(() -> forecastAnew(callOut, now))));
    }

    void lookAtHeaters(Instant now) {
        heaters.toLookAt(now).forEach(cabinet -> each("heater of cabinet " + cabinet, () -> heaters.look(cabinet, now)));
    }

    @Transactional
    List<Long> withoutHeating() {
        List<?> ids = entities.createNativeQuery(WITHOUT_HEATING).getResultList();
        return ids.stream().map(Rows::number).toList();
    }

    private void forecastAnew(long callOutId, Instant now) {
        callOuts.find("select c.siteId from CallOut c where c.id = ?1", callOutId).project(Long.class).firstResultOptional().ifPresent(sites::lock);
        callOuts.findByIdOptional(callOutId).filter(callOut -> !callOut.isEnded()).ifPresent(callOut -> callOutKeeper.forecastAnew(callOut, now));
    }

    /** One that fails must not keep the others from being looked at; it is looked at again in a minute. */
    private static void each(String what, Runnable work) {
        try {
            work.run();
        } catch (RuntimeException failed) {
            LOG.errorf(failed, "%s could not be looked at, and is again at the next look", what);
        }
    }
}
