package org.lampkeeper.register;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.Optional;

import jakarta.persistence.Entity;
import jakarta.persistence.EnumType;
import jakarta.persistence.Enumerated;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.Table;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckPlan;
import org.lampkeeper.check.Recurrence;
import org.lampkeeper.check.WhenClosed;

/** How often one cabinet is looked at. How far it is planned ahead is of no concern here: whoever plans keeps that beside it. */
@Entity
@Table(name = "check_plan")
class StoredCheckPlan extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    private long siteId;
    private long cabinetId;
    @Enumerated(EnumType.STRING)
    private CheckKind kind;
    private String rule;
    private LocalDate firstDay;
    private int opensMinute;
    private int closesMinute;
    private int graceMinutes;
    @Enumerated(EnumType.STRING)
    private WhenClosed whenClosed;
    @Enumerated(EnumType.STRING)
    private @Nullable DutyRole askedRole;
    private @Nullable Long askedPersonId;
    @Enumerated(EnumType.STRING)
    private @Nullable DutyRole closedRole;
    private @Nullable Long closedPersonId;
    private boolean sensorCounts;
    private boolean asksCode;
    private @Nullable Instant endedAt;

    protected StoredCheckPlan() {
    }

    StoredCheckPlan(long siteId, long cabinetId, NewCheckPlan entered, By by) {
        this.siteId = siteId;
        this.cabinetId = cabinetId;
        take(entered, by);
    }

    void take(NewCheckPlan entered, By by) {
        kind = entered.kind();
        rule = entered.rule();
        firstDay = entered.first();
        opensMinute = entered.opens().toSecondOfDay() / 60;
        closesMinute = entered.closes().toSecondOfDay() / 60;
        graceMinutes = entered.graceMinutes();
        whenClosed = entered.whenClosed();
        askedRole = role(entered.asked());
        askedPersonId = person(entered.asked());
        closedRole = entered.askedWhenClosed().map(StoredCheckPlan::role).orElse(null);
        closedPersonId = entered.askedWhenClosed().map(StoredCheckPlan::person).orElse(null);
        sensorCounts = entered.sensorCounts();
        asksCode = entered.asksCode();
        changed(by);
    }

    void end(By by) {
        endedAt = by.at();
        changed(by);
    }

    CheckPlanSheet sheet() {
        CheckPlan plan = new CheckPlan(kind, new Recurrence(rule, firstDay), LocalTime.ofSecondOfDay(opensMinute * 60L),
                LocalTime.ofSecondOfDay(closesMinute * 60L), Duration.ofMinutes(graceMinutes), whenClosed);
        return new CheckPlanSheet(id, siteId, cabinetId, plan, whom(askedRole, askedPersonId).orElseThrow(), whom(closedRole, closedPersonId), sensorCounts,
                asksCode, changedAt(), Optional.ofNullable(endedAt), version());
    }

    private static @Nullable DutyRole role(Whom whom) {
        return whom instanceof Whom.OnDutyFor duty ? duty.role() : null;
    }

    private static @Nullable Long person(Whom whom) {
        return whom instanceof Whom.Person person ? person.personId() : null;
    }

    private static Optional<Whom> whom(@Nullable DutyRole role, @Nullable Long personId) {
        if (personId != null) {
            return Optional.of(new Whom.Person(personId));
        }
        return Optional.ofNullable(role).map(Whom.OnDutyFor::new);
    }
}
