package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.callout.Fact;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.register.Register;
import org.lampkeeper.supply.SensorState.Step;
import org.lampkeeper.watch.Deadlines.Deadline;
import org.lampkeeper.watch.SensorStatuses.Status;

/** Handles one due deadline in one transaction: what it is about is locked, looked at again, and then decided. */
@ApplicationScoped
class DeadlineHandler {

    /** Ours: a loss from a backlog that is still coming in may be over a few messages later. */
    private static final Duration BACKLOG_WAIT = Duration.ofSeconds(5);

    private final Deadlines deadlines;
    private final EntityManager entities;
    private final SiteWatches sites;
    private final Alarms alarms;
    private final AlarmKeeper alarmKeeper;
    private final CallOutBook callOuts;
    private final CallOutKeeper callOutKeeper;
    private final FindingKeeper findings;
    private final Listening listening;
    private final Suppressions suppressions;
    private final Retention retention;
    private final Proofs proofs;
    private final DutyGaps dutyGaps;
    private final CheckKeeper checks;
    private final ProofTests proofTests;
    private final DateReminders dates;
    private final CoolingBook cooling;
    private final MonthReports months;
    private final Register register;
    private final Journal journal;
    private final Clock clock;

    DeadlineHandler(Deadlines deadlines, EntityManager entities, SiteWatches sites, Alarms alarms, AlarmKeeper alarmKeeper,
            CallOutBook callOuts, CallOutKeeper callOutKeeper, FindingKeeper findings, Listening listening,
            Suppressions suppressions, Retention retention, Proofs proofs, DutyGaps dutyGaps, CheckKeeper checks, ProofTests proofTests,
            DateReminders dates, CoolingBook cooling, MonthReports months, Register register, Journal journal, Clock clock) {
        this.deadlines = deadlines;
        this.entities = entities;
        this.sites = sites;
        this.alarms = alarms;
        this.alarmKeeper = alarmKeeper;
        this.callOuts = callOuts;
        this.callOutKeeper = callOutKeeper;
        this.findings = findings;
        this.listening = listening;
        this.suppressions = suppressions;
        this.retention = retention;
        this.proofs = proofs;
        this.dutyGaps = dutyGaps;
        this.checks = checks;
        this.proofTests = proofTests;
        this.dates = dates;
        this.cooling = cooling;
        this.months = months;
        this.register = register;
        this.journal = journal;
        this.clock = clock;
    }

    /** The deadlines that are due, most overdue first, without those of looks. */
    @Transactional
    public List<Long> due(int most) {
        return deadlines.due(clock.instant(), most);
    }

    /**
     * Handles a due deadline; nothing happens where another instance holds it or has handled it. {@code claimed} hears of it before
     * anything is done, so that a failure can be laid to it.
     */
    @Transactional
    public void handle(long id, Consumer<Deadline> claimed) {
        Instant now = clock.instant();
        deadlines.claim(id, now).ifPresent(due -> {
            claimed.accept(due);
            handle(due, now);
        });
    }

    /**
     * Handles some of the looks whose moment has come, all in one transaction. {@code claimed} hears of them before anything is done, so
     * that after a failure each can be handled for itself.
     *
     * @param most it holds their sites' locks, for which a loss there may have to wait
     * @return how many; fewer than {@code most} where there are no more, or somebody else holds them
     */
    @Transactional
    public int handleLooks(int most, Consumer<List<Deadline>> claimed) {
        Instant now = clock.instant();
        List<Deadline> due = deadlines.claimLooks(now, most);
        claimed.accept(due);
        if (!due.isEmpty()) {
            checks.due(due, now);
            deadlines.remove(due);
        }
        return due.size();
    }

    /**
     * @param last  the last that was looked at; empty where there are no more
     * @param count how many of those that were looked at have opened
     */
    record Opened(Optional<Deadline> last, int count) {
    }

    /**
     * Opens some of the looks whose moment has come and that no sensor stands in for; whom to ask is left to {@link #handleLooks}.
     *
     * @param after where to go on; empty to begin
     * @param most  as there, for a shorter time
     */
    @Transactional
    public Opened openLooks(Optional<Deadline> after, int most) {
        Instant now = clock.instant();
        List<Deadline> seen = deadlines.looksAfter(after, now, most);
        int count = seen.isEmpty() ? 0 : checks.open(seen, now);
        return new Opened(seen.size() < most ? Optional.empty() : Optional.of(seen.get(seen.size() - 1)), count);
    }

    /** A deadline whose handling failed is put off, further each time, so that it cannot stand in front of the others. */
    @Transactional
    public void putOff(Deadline failed) {
        long seconds = Math.min(60, 1L << Math.min(failed.attempts(), 6));
        deadlines.postpone(failed, clock.instant().plusSeconds(seconds));
    }

    private void handle(Deadline due, Instant now) {
        boolean done = switch (due.kind()) {
            case LOSS_CONFIRM -> lossConfirm(due, now);
            case CALL_OUT -> callOut(due, now);
            case MERGE -> merge(due, now);
            case HOLD_END -> holdEnd(due, now);
            case SITE_LOSS -> siteLoss(due, now);
            case WORK_BEGIN -> work(due, "suppression-began", now);
            case WORK_END -> work(due, "suppression-ended", now);
            case RETENTION -> retention(due, now);
            case PROOF_DUE -> proofDue(due, now);
            case PROOF_OLD -> proofOld(due, now);
            case DUTY_GAPS -> dutyGaps(due, now);
            case CHECK -> check(due, now);
            case PROOF_TEST_END -> proofTestEnd(due, now);
            case DATES -> dates(due, now);
            case LEARN_COOLING -> learnCooling(due, now);
            case MONTH_REPORT -> monthReport(due, now);
        };
        if (done) {
            deadlines.remove(due);
        }
    }

    private boolean lossConfirm(Deadline due, Instant now) {
        if (listening.isCatchingUp()) {
            deadlines.postpone(due, now.plus(BACKLOG_WAIT));
            return false;
        }
        for (Status sensor : SqlWork.on(entities, connection -> SensorStatuses.lock(connection, List.of(due.subjectId())))) {
            Step step = sensor.state().confirmationDue(now);
            if (step.findings().isEmpty()) {
                continue;
            }
            sites.lock(sensor.siteId());
            SqlWork.on(entities, connection -> {
                SensorStatuses.store(connection, sensor.sensorId(), step.next());
                return true;
            });
            findings.keep(sensor, step.findings(), now);
        }
        return true;
    }

    private boolean callOut(Deadline due, Instant now) {
        callOuts.find("select c.siteId from CallOut c where c.id = ?1", due.subjectId()).project(Long.class).firstResultOptional()
                .ifPresent(sites::lock);
        callOuts.findByIdOptional(due.subjectId()).ifPresent(callOut -> callOutKeeper.apply(callOut, new Fact.Due(due.version()), now));
        return true;
    }

    private boolean merge(Deadline due, Instant now) {
        callOuts.find("select c.siteId from CallOut c where c.id = ?1", due.subjectId()).project(Long.class).firstResultOptional()
                .ifPresent(sites::lock);
        callOuts.findByIdOptional(due.subjectId()).filter(callOut -> callOut.merging().isDue(due.version(), now))
                .ifPresent(callOut -> callOutKeeper.mergeDue(callOut, now));
        return true;
    }

    private boolean holdEnd(Deadline due, Instant now) {
        alarms.find("select a.siteId from Alarm a where a.id = ?1", due.subjectId()).project(Long.class).firstResultOptional()
                .ifPresent(sites::lock);
        alarms.findByIdOptional(due.subjectId()).filter(AlarmRecord::isHeld)
                .filter(alarm -> alarm.heldUntil().filter(end -> !end.isAfter(now)).isPresent())
                .ifPresent(alarm -> alarmKeeper.holdEnded(alarm, now));
        return true;
    }

    /** What it holds back is asked of its times at each alarm; here it is only written down. One that was ended early has been. */
    private boolean work(Deadline due, String kind, Instant now) {
        suppressions.find(due.subjectId()).filter(work -> work.endedAt().isEmpty())
                .ifPresent(work -> journal.append(Suppressions.entry(work, kind, now)));
        return true;
    }

    private boolean retention(Deadline due, Instant now) {
        deadlines.comesAgain(due, retention.removeBatch(now));
        return false;
    }

    private boolean proofDue(Deadline due, Instant now) {
        proofs.due(due.subjectId(), now);
        return true;
    }

    private boolean proofOld(Deadline due, Instant now) {
        Optional<Instant> again = proofs.old(due.subjectId(), Instant.ofEpochMilli(due.version()), now);
        again.ifPresent(at -> deadlines.comesAgain(due, at));
        return again.isEmpty();
    }

    /** Whoever looks does it for all who were to look, now or later. Gone before the rota is read: what is changed after that asks anew. */
    private boolean dutyGaps(Deadline due, Instant now) {
        sites.lock(due.subjectId());
        deadlines.removeOthers(due);
        Optional<Instant> next = dutyGaps.look(due.subjectId(), now);
        next.ifPresent(at -> deadlines.comesAgain(due, at));
        return next.isEmpty();
    }

    private boolean check(Deadline due, Instant now) {
        checks.due(List.of(due), now);
        return true;
    }

    private boolean proofTestEnd(Deadline due, Instant now) {
        proofTests.siteOf(due.subjectId()).ifPresent(sites::lock);
        proofTests.timeIsOver(due.subjectId(), now);
        return true;
    }

    private boolean dates(Deadline due, Instant now) {
        deadlines.removeOthers(due);
        Optional<Instant> next = dates.look(due.subjectId(), now);
        next.ifPresent(at -> deadlines.comesAgain(due, at));
        return next.isEmpty();
    }

    private boolean learnCooling(Deadline due, Instant now) {
        register.findSheet(due.subjectId()).ifPresent(sheet -> {
            sites.lock(sheet.site().id());
            cooling.learn(sheet.site().id(), due.subjectId(), now);
        });
        return true;
    }

    /** As with {@link #dutyGaps}; one month each time, so that each of several that were missed is a commit of its own. */
    private boolean monthReport(Deadline due, Instant now) {
        sites.lock(due.subjectId());
        deadlines.removeOthers(due);
        Optional<Instant> next = months.look(due.subjectId(), now);
        next.ifPresent(at -> deadlines.comesAgain(due, at));
        return next.isEmpty();
    }

    private boolean siteLoss(Deadline due, Instant now) {
        sites.lock(due.subjectId());
        if (sites.pending(due.subjectId()).version() == due.version()) {
            findings.siteLossDue(due.subjectId(), now);
        }
        return true;
    }
}
