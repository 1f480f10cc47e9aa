package org.lampkeeper.watch;

import java.sql.Array;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Collection;
import java.util.Collections;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.Collectors;

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

    /** Ours: a site may have thousands of plans, and all are planned anew when one of its days is closed. */
    private static final int TOGETHER = 500;

    /** Held while they are planned: two who plan the same come one after the other. */
    private static final String HOLD = "SELECT id, planned_until FROM check_plan WHERE id IN (:plans) ORDER BY id FOR UPDATE";

    private static final String PLANNED_UNTIL = "UPDATE check_plan SET planned_until = :until WHERE id IN (:plans)";

    private static final String NOT_PLANNED = "UPDATE check_plan SET planned_until = NULL WHERE id IN (:plans)";

    /** By check_plan_by_planned_until. */
    private static final String TO_BE_PLANNED = """
            SELECT id FROM check_plan WHERE ended_at IS NULL AND (planned_until IS NULL OR planned_until < :until) ORDER BY id LIMIT :most""";

    private static final String OF_SITE = "SELECT id FROM check_plan WHERE site_id = :id AND ended_at IS NULL ORDER BY id";

    private static final String OF_CABINET = "SELECT id FROM check_plan WHERE cabinet_id = :id AND ended_at IS NULL ORDER BY id";

    private static final String DROP_UNOPENED = "DELETE FROM check_due WHERE plan_id IN (:plans) AND opened_at IS NULL";

    /** By check_is_due_once_a_day. */
    private static final String ARE_DUE = "SELECT plan_id, on_day FROM check_due WHERE plan_id IN (:plans) AND on_day >= :from AND extra = 0";

    private static final String NEXT_IDS = "SELECT nextval('check_due_seq') FROM UNNEST(CAST(? AS BIGINT ARRAY)) AS v (plan_id)";

    private static final String ADD = """
            INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, state, version)
            SELECT v.id, v.plan_id, v.site_id, v.cabinet_id, v.kind, v.on_day, v.opens_at, v.closes_at, v.missed_at, v.by_somebody_else, 'OPEN', 0
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS VARCHAR ARRAY),
                          CAST(? AS DATE ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY),
                          CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY), CAST(? AS BOOLEAN ARRAY))
                     AS v (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else)""";

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
        planAnew(event.planIds(), event.at());
    }

    /** Another zone opens at other moments; a cabinet that is out of use is not looked at. */
    void edited(@Observes Edited event) {
        boolean isZone = event.thing().equals("site") && event.verb().equals("changed") && event.after().containsKey("zone");
        boolean isUse = event.thing().equals("cabinet") && Set.of("taken-out-of-use", "brought-back-into-use").contains(event.verb());
        if (isZone || isUse) {
            planAnew(ids(isZone ? OF_SITE : OF_CABINET, event.id()), event.by().at());
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
        plan(found.stream().map(Rows::number).toList(), now);
        return found.size();
    }

    private void planAnew(Collection<Long> planIds, Instant now) {
        // Always in the order of their numbers, so that no two wait for each other.
        List<Long> inOrder = planIds.stream().sorted().toList();
        for (int from = 0; from < inOrder.size(); from += TOGETHER) {
            List<Long> some = inOrder.subList(from, Math.min(inOrder.size(), from + TOGETHER));
            hold(some);
            entities.createNativeQuery(DROP_UNOPENED).setParameter("plans", some).executeUpdate();
            entities.createNativeQuery(NOT_PLANNED).setParameter("plans", some).executeUpdate();
            plan(some, now);
        }
    }

    private void plan(List<Long> planIds, Instant now) {
        if (planIds.isEmpty()) {
            return;
        }
        Map<Long, Optional<LocalDate>> plannedUntil = hold(planIds);
        List<CheckPlanSheet> sheets = plans.find(planIds).values().stream().filter(plan -> plan.endedAt().isEmpty())
                .sorted(Comparator.comparingLong(CheckPlanSheet::id)).toList();
        Set<Long> inUse = register.sheets(sheets.stream().map(CheckPlanSheet::cabinetId).collect(Collectors.toSet())).keySet();
        List<Planned> due = new ArrayList<>();
        for (Map.Entry<Long, List<CheckPlanSheet>> atSite : sheets.stream().collect(Collectors.groupingBy(CheckPlanSheet::siteId, TreeMap::new, Collectors.toList()))
                .entrySet()) {
            ZoneId zone = register.site(atSite.getKey()).map(SiteSheet::zone).orElseThrow();
            LocalDate until = LocalDate.ofInstant(now.plus(AHEAD), zone).plusDays(1);
            Predicate<LocalDate> closed = closedDays.at(atSite.getKey());
            for (CheckPlanSheet sheet : atSite.getValue()) {
                if (inUse.contains(sheet.cabinetId())) {
                    Optional<LocalDate> before = plannedUntil.get(sheet.id());
                    // A window may have opened yesterday and be open still.
                    LocalDate from = before.orElse(LocalDate.ofInstant(now, zone).minusDays(1));
                    sheet.plan().due(zone, closed, from, until).stream().filter(each -> each.closes().isAfter(before.isPresent() ? sheet.changedAt() : now))
                            .forEach(each -> due.add(new Planned(sheet, each)));
                }
            }
            entities.createNativeQuery(PLANNED_UNTIL).setParameter("plans", atSite.getValue().stream().map(CheckPlanSheet::id).toList()).setParameter("until", until)
                    .executeUpdate();
        }
        addAll(unlessThere(due));
    }

    private record Planned(CheckPlanSheet plan, CheckDue due) {
    }

    private Map<Long, Optional<LocalDate>> hold(List<Long> planIds) {
        Map<Long, Optional<LocalDate>> plannedUntil = new HashMap<>();
        for (Object found : entities.createNativeQuery(HOLD).setParameter("plans", planIds).getResultList()) {
            Object[] row = (Object[]) found;
            plannedUntil.put(Rows.number(row[0]), Optional.ofNullable(row[1]).map(Rows::day));
        }
        return plannedUntil;
    }

    private List<Planned> unlessThere(List<Planned> all) {
        if (all.isEmpty()) {
            return all;
        }
        record Day(long plan, LocalDate day) {
        }
        List<?> found = entities.createNativeQuery(ARE_DUE).setParameter("plans", all.stream().map(each -> each.plan().id()).collect(Collectors.toSet()))
                .setParameter("from", all.stream().map(each -> each.due().day()).min(Comparator.naturalOrder()).orElseThrow()).getResultList();
        Set<Day> there = found.stream().map(row -> new Day(Rows.number(((Object[]) row)[0]), Rows.day(((Object[]) row)[1]))).collect(Collectors.toSet());
        return all.stream().filter(each -> !there.contains(new Day(each.plan().id(), each.due().day()))).toList();
    }

    private void addAll(List<Planned> all) {
        if (all.isEmpty()) {
            return;
        }
        List<Long> ids = SqlWork.on(entities, connection -> insert(connection, all));
        deadlines.addAll(DeadlineKind.CHECK, ids, Collections.nCopies(all.size(), 0L), all.stream().map(each -> each.due().opens()).toList());
    }

    /** @return their new numbers */
    private static List<Long> insert(Connection connection, List<Planned> all) throws SQLException {
        Object[] plans = all.stream().map(each -> each.plan().id()).toArray();
        List<Long> ids = new ArrayList<>();
        try (PreparedStatement next = connection.prepareStatement(NEXT_IDS)) {
            next.setArray(1, connection.createArrayOf("bigint", plans));
            try (ResultSet rows = next.executeQuery()) {
                while (rows.next()) {
                    ids.add(rows.getLong(1));
                }
            }
        }
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setArray(1, connection.createArrayOf("bigint", ids.toArray()));
            insert.setArray(2, connection.createArrayOf("bigint", plans));
            insert.setArray(3, connection.createArrayOf("bigint", all.stream().map(each -> each.plan().siteId()).toArray()));
            insert.setArray(4, connection.createArrayOf("bigint", all.stream().map(each -> each.plan().cabinetId()).toArray()));
            insert.setArray(5, connection.createArrayOf("varchar", all.stream().map(each -> each.plan().plan().kind().name()).toArray()));
            insert.setArray(6, connection.createArrayOf("date", all.stream().map(each -> each.due().day()).toArray()));
            insert.setArray(7, times(connection, all, CheckDue::opens));
            insert.setArray(8, times(connection, all, CheckDue::closes));
            insert.setArray(9, times(connection, all, CheckDue::missedAt));
            insert.setArray(10, connection.createArrayOf("boolean", all.stream().map(each -> each.due().bySomebodyElse()).toArray()));
            insert.executeUpdate();
        }
        return ids;
    }

    private static Array times(Connection connection, List<Planned> all, Function<CheckDue, Instant> which) throws SQLException {
        return connection.createArrayOf("timestamptz", all.stream().map(each -> which.apply(each.due()).atOffset(ZoneOffset.UTC)).toArray());
    }

    private List<Long> ids(String statement, long id) {
        List<?> found = entities.createNativeQuery(statement).setParameter("id", id).getResultList();
        return found.stream().map(Rows::number).toList();
    }
}
