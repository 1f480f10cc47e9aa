package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.Rows;
import org.lampkeeper.supply.Finding;
import org.lampkeeper.watch.SensorStatuses.Status;

/** Turns what was found about a sensor into alarms, deadlines and journal entries. Called holding its row and its site's lock. */
@ApplicationScoped
class FindingKeeper {

    /** By sensor_status_by_site. */
    private static final String COUNT_QUIET_TOGETHER = """
            SELECT COUNT(*) FROM sensor_status WHERE site_id = :siteId AND quiet_since >= :from AND quiet_since <= :to""";

    private static final String COUNT_QUIET = "SELECT COUNT(*) FROM sensor_status WHERE site_id = :siteId AND quiet_since IS NOT NULL";

    /** Rule 11 of the design: two sensors of one site that fall quiet together. */
    private static final long SITE_LOSS_AT = 2;

    private final EntityManager entities;
    private final AlarmKeeper alarms;
    private final CallOutKeeper callOuts;
    private final CheckKeeper checks;
    private final ProofTests proofTests;
    private final SiteWatches sites;
    private final Deadlines deadlines;
    private final Journal journal;
    private final WatchConfig config;

    FindingKeeper(EntityManager entities, AlarmKeeper alarms, CallOutKeeper callOuts, CheckKeeper checks, ProofTests proofTests, SiteWatches sites,
            Deadlines deadlines, Journal journal, WatchConfig config) {
        this.entities = entities;
        this.alarms = alarms;
        this.callOuts = callOuts;
        this.checks = checks;
        this.proofTests = proofTests;
        this.sites = sites;
        this.deadlines = deadlines;
        this.journal = journal;
        this.config = config;
    }

    /** Every finding is written down; those that need a person raise or end an alarm. */
    void keep(Status sensor, List<Finding> findings, Instant now) {
        for (Finding finding : findings) {
            keep(sensor, finding, now);
        }
    }

    /** The sensors of this site have been quiet long enough: now it is an alarm, if they still are. */
    void siteLossDue(long siteId, Instant now) {
        sites.forgetSiteLoss(siteId);
        if (countQuiet(siteId) < SITE_LOSS_AT) {
            return;
        }
        callOuts.gather(alarms.occurs(AlarmKind.PROBABLE_SITE_LOSS, siteId, OptionalLong.empty(), now, now), now);
    }

    private void keep(Status sensor, Finding finding, Instant now) {
        OptionalLong cabinet = OptionalLong.of(sensor.cabinetId());
        long site = sensor.siteId();
        if (finding instanceof Finding.FirstHeard first) {
            note(sensor, "first-report-heard", now).append("at", first.at());
        } else if (finding instanceof Finding.LossSuspected suspected) {
            note(sensor, "loss-suspected", now).append("since", suspected.since());
            deadlines.add(DeadlineKind.LOSS_CONFIRM, sensor.sensorId(), 0, suspected.confirmAt());
            proofTests.lossHeard(sensor.cabinetId(), suspected.since(), now);
        } else if (finding instanceof Finding.LossConfirmed confirmed) {
            note(sensor, "loss-confirmed", now).append("since", confirmed.since());
            alarms.occurs(AlarmKind.SUPPLY_LOST, site, cabinet, confirmed.since(), now);
            // Whoever saw the lamp out was right.
            alarms.returns(AlarmKind.SENSOR_AND_LAMP_DIFFER, site, cabinet, confirmed.since(), now);
            proofTests.lossConfirmed(sensor.cabinetId(), confirmed.since(), now);
        } else if (finding instanceof Finding.DipEnded dip) {
            note(sensor, "dip-ended", now).append("from", dip.from(), "to", dip.to());
            proofTests.supplyReturned(sensor.cabinetId(), dip.to(), now);
        } else if (finding instanceof Finding.Unsteady unsteady) {
            note(sensor, "supply-unsteady", now).append("since", unsteady.since(), "dips", unsteady.dips());
            alarms.occurs(AlarmKind.UNSTEADY, site, cabinet, unsteady.since(), now);
            // An event, not a lasting condition: what stays is that nobody has looked into it.
            alarms.returns(AlarmKind.UNSTEADY, site, cabinet, now, now);
        } else if (finding instanceof Finding.SupplyReturned returned) {
            note(sensor, "supply-returned", now).append("lost-since", returned.lostSince(), "at", returned.at());
            alarms.returns(AlarmKind.SUPPLY_LOST, site, cabinet, returned.at(), now);
            deadlines.add(DeadlineKind.LEARN_COOLING, sensor.cabinetId(), 0, now.plus(CoolingBook.AFTER_RETURN));
            // Whoever saw the lamp lit was right.
            alarms.returns(AlarmKind.SENSOR_AND_LAMP_DIFFER, site, cabinet, returned.at(), now);
            proofTests.supplyReturned(sensor.cabinetId(), returned.at(), now);
        } else if (finding instanceof Finding.WentSilent silent) {
            note(sensor, "sensor-went-silent", now).append("last-report", silent.lastObservedAt(), "since", silent.since());
            alarms.occurs(AlarmKind.NOT_HEARD, site, cabinet, silent.lastObservedAt(), now);
            checks.wentSilent(site, sensor.cabinetId(), now);
            quiet(site, silent.since(), now);
        } else if (finding instanceof Finding.HeardAgain heard) {
            note(sensor, "sensor-heard-again", now).append("quiet-since", heard.quietSince(), "at", heard.at());
            alarms.returns(AlarmKind.NOT_HEARD, site, cabinet, heard.at(), now);
            noLongerQuiet(site, now);
        } else if (finding instanceof Finding.LinkWentDown down) {
            note(sensor, "link-went-down", now).append("at", down.at());
            quiet(site, down.at(), now);
        } else if (finding instanceof Finding.LinkCameUp up) {
            note(sensor, "link-came-up", now).append("at", up.at());
        } else if (finding instanceof Finding.LateReport late) {
            note(sensor, "late-report-kept", now).append("at", late.at(), "supplied", late.supplied());
        } else if (finding instanceof Finding.DoubtfulReport doubtful) {
            note(sensor, "doubtful-report-kept", now).append("at", doubtful.at(), "supplied", doubtful.supplied());
        } else if (finding instanceof Finding.ClockJudged judged) {
            note(sensor, judged.odd() ? "sensor-clock-odd" : "sensor-clock-right", now).append("odd", judged.odd());
        } else {
            throw new IllegalStateException("finding without a rule: " + finding.getClass().getName());
        }
    }

    private void quiet(long siteId, Instant since, Instant now) {
        boolean pending = sites.pending(siteId).confirmAt().isPresent();
        if (pending || quietTogether(siteId, since) < SITE_LOSS_AT) {
            return;
        }
        Instant confirmAt = now.plus(config.siteLossConfirm());
        sites.expectSiteLoss(siteId, confirmAt);
        long version = sites.pending(siteId).version();
        journal.append(Entry.of(now, "site-loss-suspected").site(siteId).with("since", since));
        deadlines.add(DeadlineKind.SITE_LOSS, siteId, version, confirmAt);
    }

    /** Fewer sensors of the site are quiet now: a probable loss of all of it may be over. */
    void noLongerQuiet(long siteId, Instant now) {
        if (countQuiet(siteId) >= SITE_LOSS_AT) {
            return;
        }
        if (sites.pending(siteId).confirmAt().isPresent()) {
            sites.forgetSiteLoss(siteId);
        }
        alarms.returns(AlarmKind.PROBABLE_SITE_LOSS, siteId, OptionalLong.empty(), now, now);
    }

    private long quietTogether(long siteId, Instant since) {
        return Rows.number(entities.createNativeQuery(COUNT_QUIET_TOGETHER).setParameter("siteId", siteId)
                .setParameter("from", since.minus(config.siteLossWithin())).setParameter("to", since.plus(config.siteLossWithin()))
                .getSingleResult());
    }

    private long countQuiet(long siteId) {
        return Rows.number(entities.createNativeQuery(COUNT_QUIET).setParameter("siteId", siteId).getSingleResult());
    }

    private Note note(Status sensor, String kind, Instant now) {
        return new Note(Entry.of(now, kind).site(sensor.siteId()).cabinet(sensor.cabinetId()).with("sensor", sensor.sensorId()));
    }

    /** An entry about a sensor that only lacks its particulars. */
    private final class Note {
        private final Entry entry;

        private Note(Entry entry) {
            this.entry = entry;
        }

        private void append(String name, Object value) {
            journal.append(entry.with(name, value));
        }

        private void append(String one, Object oneValue, String other, Object otherValue) {
            journal.append(entry.with(one, oneValue).with(other, otherValue));
        }
    }
}
