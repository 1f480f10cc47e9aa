package org.lampkeeper.watch;

import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.supply.SensorState.Step;
import org.lampkeeper.watch.SensorStatuses.Status;

/**
 * Finds sensors that broke their promise, by index. Steady reports never touch that index: a row whose time to look has come but which
 * was heard meanwhile is only put off to its present limit.
 */
@ApplicationScoped
class SilenceSweep {

    private final EntityManager entities;
    private final Listening listening;
    private final FindingKeeper findings;
    private final SiteWatches sites;

    SilenceSweep(EntityManager entities, Listening listening, FindingKeeper findings, SiteWatches sites) {
        this.entities = entities;
        this.listening = listening;
        this.findings = findings;
        this.sites = sites;
    }

    /** Looks at up to 100 sensors whose time to look has come; returns how many those were. */
    @Transactional
    public int sweep(Instant now) {
        if (!listening.isSilenceJudged(now)) {
            return 0;
        }
        List<Status> due = SqlWork.on(entities, connection -> SensorStatuses.lockOverdue(connection, now));
        Map<Status, Step> silent = new LinkedHashMap<>();
        List<Status> heardMeanwhile = new ArrayList<>();
        for (Status status : due) {
            Step step = status.state().silenceDue(now);
            if (step.findings().isEmpty()) {
                heardMeanwhile.add(status);
            } else {
                silent.put(status, step);
            }
        }
        sites.lock(silent.keySet().stream().map(Status::siteId).collect(Collectors.toSet()));
        SqlWork.on(entities, connection -> {
            for (Status status : heardMeanwhile) {
                SensorStatuses.putOff(connection, status);
            }
            for (Map.Entry<Status, Step> each : silent.entrySet()) {
                SensorStatuses.store(connection, each.getKey().sensorId(), each.getValue().next());
            }
            return due.size();
        });
        silent.forEach((status, step) -> findings.keep(status, step.findings(), now));
        return due.size();
    }
}
