package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Optional;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.check.CheckDue;
import org.lampkeeper.register.CheckPlanSheet;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.CheckPlansChanged;
import org.lampkeeper.register.ClosedDays;
import org.lampkeeper.register.Edited;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SiteSheet;

/**
 * Writes down what is due in the coming days by each plan. What has not opened follows its plan, the closed days and the zone of its
 * site; what has opened stays as somebody was asked for it.
 */
@ApplicationScoped
class CheckPlanner {

    /** Ours: long enough to outlast a weekend without the planning job, short enough to be planned again in no time. */
    private static final Duration AHEAD = Duration.ofDays(4);

    /** Held while it is planned: two who plan the same come one after the other. */
    private static final String HOLD = "SELECT planned_until FROM check_plan WHERE id = :plan FOR UPDATE";

    private static final String PLANNED_UNTIL = "UPDATE check_plan SET planned_until = :until WHERE id = :plan";

    private static final String NOT_PLANNED = "UPDATE check_plan SET planned_until = NULL WHERE id = :plan";

    /** By check_plan_by_planned_until. */
    private static final String TO_BE_PLANNED = """
            SELECT id FROM check_plan WHERE ended_at IS NULL AND (planned_until IS NULL OR planned_until < :until) ORDER BY id LIMIT :most""";

    private static final String OF_SITE = "SELECT id FROM check_plan WHERE site_id = :id AND ended_at IS NULL ORDER BY id";

    private static final String OF_CABINET = "SELECT id FROM check_plan WHERE cabinet_id = :id AND ended_at IS NULL ORDER BY id";

    private static final String DROP_UNOPENED = "DELETE FROM check_due WHERE plan_id = :plan AND opened_at IS NULL";

    private static final String NEXT_ID = "SELECT nextval('check_due_seq')";

    private static final String IS_DUE = "SELECT id FROM check_due WHERE plan_id = :plan AND on_day = :day AND extra = 0";

    private static final String ADD = """
            INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, state, version)
            VALUES (:id, :plan, :site, :cabinet, :kind, :day, :opens, :closes, :missed, :somebodyElse, 'OPEN', 0)""";

    private final EntityManager entities;
    private final CheckPlans plans;
    private final ClosedDays closedDays;
    private final Register register;
    private final Deadlines deadlines;

    CheckPlanner(EntityManager entities, CheckPlans plans, ClosedDays closedDays, Register register, Deadlines deadlines) {
        this.entities = entities;
        this.plans = plans;
        this.closedDays = closedDays;
        this.register = register;
        this.deadlines = deadlines;
    }

    void changed(@Observes CheckPlansChanged event) {
        event.planIds().forEach(plan -> planAnew(plan, event.at()));
    }

    /** Another zone opens at other moments; a cabinet that is out of use is not looked at. */
    void edited(@Observes Edited event) {
        boolean isZone = event.thing().equals("site") && event.verb().equals("changed") && event.after().containsKey("zone");
        boolean isUse = event.thing().equals("cabinet") && Set.of("taken-out-of-use", "brought-back-into-use").contains(event.verb());
        if (isZone || isUse) {
            ids(isZone ? OF_SITE : OF_CABINET, event.id()).forEach(plan -> planAnew(plan, event.by().at()));
        }
    }

    /**
     * Plans some of what is not planned far enough ahead, in one transaction.
     *
     * @return how many; fewer than {@code most} when there is no more
     */
    @Transactional
    public int planSome(Instant now, int most) {
        // Of the zone that is farthest back: of all others it is not earlier.
        LocalDate latest = LocalDate.ofInstant(now.plus(AHEAD), ZoneOffset.ofHours(-12));
        List<?> found = entities.createNativeQuery(TO_BE_PLANNED).setParameter("until", latest).setParameter("most", most).getResultList();
        found.stream().map(Rows::number).forEach(plan -> plan(plan, now));
        return found.size();
    }

    private void planAnew(long planId, Instant now) {
        hold(planId);
        entities.createNativeQuery(DROP_UNOPENED).setParameter("plan", planId).executeUpdate();
        entities.createNativeQuery(NOT_PLANNED).setParameter("plan", planId).executeUpdate();
        plan(planId, now);
    }

    private void plan(long planId, Instant now) {
        Optional<LocalDate> plannedUntil = hold(planId);
        Optional<CheckPlanSheet> found = plans.find(planId).filter(plan -> plan.endedAt().isEmpty());
        if (found.isEmpty()) {
            return;
        }
        CheckPlanSheet sheet = found.get();
        ZoneId zone = register.site(sheet.siteId()).map(SiteSheet::zone).orElseThrow();
        LocalDate until = LocalDate.ofInstant(now.plus(AHEAD), zone).plusDays(1);
        // A window may have opened yesterday and be open still.
        LocalDate from = plannedUntil.orElse(LocalDate.ofInstant(now, zone).minusDays(1));
        if (register.findSheet(sheet.cabinetId()).isPresent()) {
            sheet.plan().due(zone, closedDays.at(sheet.siteId()), from, until).stream()
                    .filter(due -> due.closes().isAfter(plannedUntil.isPresent() ? sheet.changedAt() : now)).forEach(due -> add(sheet, due));
        }
        entities.createNativeQuery(PLANNED_UNTIL).setParameter("plan", planId).setParameter("until", until).executeUpdate();
    }

    private Optional<LocalDate> hold(long planId) {
        List<?> rows = entities.createNativeQuery(HOLD).setParameter("plan", planId).getResultList();
        return rows.isEmpty() ? Optional.empty() : Optional.ofNullable(rows.get(0)).map(Rows::day);
    }

    private void add(CheckPlanSheet sheet, CheckDue due) {
        boolean isDue = !entities.createNativeQuery(IS_DUE).setParameter("plan", sheet.id()).setParameter("day", due.day()).getResultList().isEmpty();
        if (isDue) {
            return;
        }
        long id = Rows.number(entities.createNativeQuery(NEXT_ID).getSingleResult());
        entities.createNativeQuery(ADD).setParameter("id", id).setParameter("plan", sheet.id()).setParameter("site", sheet.siteId())
                .setParameter("cabinet", sheet.cabinetId()).setParameter("kind", sheet.plan().kind().name()).setParameter("day", due.day())
                .setParameter("opens", due.opens()).setParameter("closes", due.closes()).setParameter("missed", due.missedAt())
                .setParameter("somebodyElse", due.bySomebodyElse()).executeUpdate();
        deadlines.add(DeadlineKind.CHECK, id, 0, due.opens());
    }

    private List<Long> ids(String statement, long id) {
        List<?> found = entities.createNativeQuery(statement).setParameter("id", id).getResultList();
        return found.stream().map(Rows::number).toList();
    }
}
