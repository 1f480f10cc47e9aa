package org.lampkeeper.watch;

import java.time.Duration;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.register.By;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.CheckPlanSheet;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.ClosedDays;
import org.lampkeeper.register.Holidays;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** What is due in the coming days follows its plan until it has opened. Noon of the fixture is a Tuesday, 1 December 2026, in winter time. */
@QuarkusTest
class CheckPlannerTest {

    private static final LocalDate TUESDAY = LocalDate.parse("2026-12-01");

    @Inject
    WatchFixture fixture;
    @Inject
    CheckPlans plans;
    @Inject
    ClosedDays closedDays;
    @Inject
    CheckPlanner planner;
    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private Place place;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(2);
    }

    @Test
    void planForManyIsDueOnEachOfTheComingDaysOnce() {
        List<CheckPlanSheet> added = plans.add(List.of(cabinet(0), cabinet(1)), daily("09:00", "11:00"), by());

        assertThat(added).extracting(CheckPlanSheet::cabinetId).containsExactly(cabinet(0), cabinet(1));
        // Today's had closed before anybody planned it.
        assertThat(due(added.get(0))).containsExactly("2026-12-02 2026-12-02T09:00:00Z 2026-12-02T11:00:00Z 2026-12-02T11:30:00Z",
                "2026-12-03 2026-12-03T09:00:00Z 2026-12-03T11:00:00Z 2026-12-03T11:30:00Z",
                "2026-12-04 2026-12-04T09:00:00Z 2026-12-04T11:00:00Z 2026-12-04T11:30:00Z",
                "2026-12-05 2026-12-05T09:00:00Z 2026-12-05T11:00:00Z 2026-12-05T11:30:00Z");
        assertThat(due(added.get(1))).hasSize(4);
        planAhead();
        assertThat(due(added.get(0))).hasSize(4);
        assertThat(fixture.journalKinds(place)).endsWith("check-plan-registered", "check-plan-registered");
    }

    @Test
    void windowThatIsOpenNowIsDueAtOnce() {
        CheckPlanSheet plan = add(daily("09:00", "13:00"));

        assertThat(due(plan)).hasSize(5).first().asString().startsWith("2026-12-01 2026-12-01T09:00:00Z");
    }

    @Test
    void windowOverMidnightThatOpenedYesterdayIsDueToo() {
        clock.stopAt(WatchFixture.NOON.minus(Duration.ofHours(11)));

        assertThat(due(add(daily("22:00", "06:00")))).first().asString().isEqualTo("2026-11-30 2026-11-30T22:00:00Z 2026-12-01T06:00:00Z 2026-12-01T06:30:00Z");
    }

    @Test
    void changeTouchesOnlyWhatHasNotOpened() {
        CheckPlanSheet plan = add(daily("09:00", "13:00"));
        open(plan, TUESDAY);

        CheckPlanSheet changed = plans.change(plan.id(), plan.version(), daily("10:00", "14:00"), by());

        assertThat(due(plan)).hasSize(5);
        assertThat(due(plan).get(0)).contains("2026-12-01T09:00:00Z");
        assertThat(due(plan).subList(1, 5)).allSatisfy(due -> assertThat(due).contains("T10:00:00Z"));
        assertThat(changed.version()).isGreaterThan(plan.version());
        assertThatThrownBy(() -> plans.change(plan.id(), plan.version(), daily("11:00", "14:00"), by())).isInstanceOf(ChangedMeanwhile.class);
        assertThat(fixture.journalKinds(place)).last().isEqualTo("check-plan-changed");
    }

    @Test
    void nothingIsDueOfAPlanThatHasEnded() {
        CheckPlanSheet plan = add(daily("09:00", "13:00"));
        open(plan, TUESDAY);

        plans.end(plan.id(), by());
        plans.end(plan.id(), by());
        clock.advance(Duration.ofDays(3));
        planAhead();

        assertThat(due(plan)).hasSize(1);
        assertThat(plans.ofSite(place.siteId())).isEmpty();
        assertThat(fixture.journalKinds(place).stream().filter("check-plan-ended"::equals)).hasSize(1);
    }

    @Test
    void anotherZoneOpensAtOtherMoments() {
        CheckPlanSheet plan = add(daily("09:00", "11:00"));
        SiteSheet site = register.site(place.siteId()).orElseThrow();

        registration.changeSite(site.id(), site.version(), new NewSite(site.name(), site.address(), ZoneId.of("Asia/Kolkata"), site.access(), site.intake(),
                site.electrician()), by());

        assertThat(due(plan)).hasSize(4).first().asString().startsWith("2026-12-02 2026-12-02T03:30:00Z");
    }

    @Test
    void afterDowntimeItIsPlannedOnFromWhereItWas() {
        CheckPlanSheet plan = add(daily("09:00", "11:00"));
        clock.advance(Duration.ofDays(10));

        planAhead();
        planAhead();

        assertThat(due(plan)).hasSize(14).last().asString().startsWith("2026-12-15");
    }

    @Test
    void closedDayIsSkippedMovedOrAskedOfSomebodyElse() {
        CheckPlanSheet skipped = add(daily("09:00", "11:00"));
        CheckPlanSheet asked = add(new NewCheckPlan(CheckKind.CABINET, "FREQ=DAILY", TUESDAY, LocalTime.of(9, 0), LocalTime.of(11, 0), 30,
                WhenClosed.SOMEBODY_ELSE, new Whom.Person(place.people().get(0)), Optional.of(new Whom.Person(place.people().get(1))), false));
        CheckPlanSheet moved = add(new NewCheckPlan(CheckKind.LAMP, "FREQ=WEEKLY;BYDAY=WE", TUESDAY, LocalTime.of(9, 0), LocalTime.of(11, 0), 30,
                WhenClosed.MOVE, new Whom.OnDutyFor(DutyRole.SITE_DUTY), Optional.empty(), false));

        closedDays.add(place.siteId(), LocalDate.parse("2026-12-02"), "stocktaking", by());

        assertThat(due(skipped)).hasSize(3).noneMatch(due -> due.startsWith("2026-12-02"));
        assertThat(due(asked)).hasSize(4).first().asString().startsWith("2026-12-02").endsWith("somebody else");
        assertThat(due(moved)).singleElement().asString().startsWith("2026-12-03");
        assertThatThrownBy(() -> closedDays.add(place.siteId(), LocalDate.parse("2026-12-02"), "again", by())).hasMessageContaining("already");
        closedDays.remove(place.siteId(), LocalDate.parse("2026-12-02"), by());
        assertThat(due(skipped)).hasSize(4);
    }

    /** From memory of the United Kingdom's list of bank holidays: in 2026 Boxing Day is a Saturday, so the Monday after is one. */
    @Test
    void publicHolidaysCountAsClosedDays() {
        CheckPlanSheet plan = add(daily("09:00", "11:00"));
        closedDays.keepHolidays(place.siteId(), Optional.of("gb"), by());
        clock.stopAt(WatchFixture.NOON.plus(Duration.ofDays(23)));
        planAhead();

        assertThat(due(plan)).noneMatch(due -> due.startsWith("2026-12-25")).noneMatch(due -> due.startsWith("2026-12-28"))
                .anyMatch(due -> due.startsWith("2026-12-27"));
        assertThat(closedDays.holidays(place.siteId()).map(Holidays::words).orElse("")).startsWith("United Kingdom");
        assertThat(Holidays.find("gb_sct").orElseThrow().words()).endsWith("Scotland");
        assertThatThrownBy(() -> closedDays.keepHolidays(place.siteId(), Optional.of("atlantis"), by())).hasMessageContaining("no calendar");
        closedDays.keepHolidays(place.siteId(), Optional.empty(), by());
        assertThat(closedDays.holidays(place.siteId())).isEmpty();
        assertThat(Holidays.find("gb_nowhere")).isEmpty();
        assertThat(Holidays.find("GB")).as("one spelling").isEmpty();
    }

    @Test
    void cabinetThatIsOutOfUseIsNotLookedAt() {
        CheckPlanSheet plan = add(daily("09:00", "11:00"));

        registration.takeOutOfUse(cabinet(0), register.sheet(cabinet(0)).version(), "is being painted", by());

        assertThat(due(plan)).isEmpty();
    }

    @Test
    void whoeverLooksAfterTheSiteIsAskedForSomebodyWhoWasErased() {
        long gone = registration.addPerson(new NewPerson("T. Reed", Optional.empty(), Optional.empty()), by()).personId();
        CheckPlanSheet plan = add(new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(9, 0), LocalTime.of(11, 0), 30, WhenClosed.SOMEBODY_ELSE,
                new Whom.Person(gone), Optional.of(new Whom.Person(gone)), false));

        registration.erasePerson(gone, by());

        CheckPlanSheet now = plans.find(plan.id()).orElseThrow();
        assertThat(now.asked()).isEqualTo(new Whom.OnDutyFor(DutyRole.SITE_DUTY));
        assertThat(now.askedWhenClosed()).contains(new Whom.OnDutyFor(DutyRole.SITE_DUTY));
    }

    @Test
    void whatCannotBePlannedIsRefusedByField() {
        NewCheckPlan wrong = new NewCheckPlan(CheckKind.CONTENT, "FREQ=HOURLY", TUESDAY, LocalTime.of(9, 0, 1), LocalTime.of(11, 0, 1), 721,
                WhenClosed.SOMEBODY_ELSE, new Whom.Person(1), Optional.empty(), true);

        assertThat(wrong.problems()).extracting(Problem::field).containsExactly("rule", "opens", "closes", "graceMinutes", "askedWhenClosed", "sensorCounts");
        assertThatThrownBy(() -> plans.add(List.of(), daily("09:00", "11:00"), by())).hasMessageContaining("no cabinet is chosen");
        assertThatThrownBy(() -> plans.add(List.of(1L), daily("09:00", "11:00"), by())).hasMessageContaining("not in use");
    }

    private long cabinet(int index) {
        return place.sensors().get(index).cabinetId();
    }

    private CheckPlanSheet add(NewCheckPlan entered) {
        return plans.add(List.of(cabinet(0)), entered, by()).get(0);
    }

    private static NewCheckPlan daily(String opens, String closes) {
        return new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY.minusDays(7), LocalTime.parse(opens), LocalTime.parse(closes), 30, WhenClosed.SKIP,
                new Whom.OnDutyFor(DutyRole.SITE_DUTY), Optional.empty(), false);
    }

    private By by() {
        return By.nobody(clock.instant());
    }

    private void planAhead() {
        while (planner.planSome(clock.instant(), 2) == 2) {
            // until there is no more
        }
    }

    private void open(CheckPlanSheet plan, LocalDate day) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("UPDATE check_due SET opened_at = opens_at WHERE plan_id = :plan AND on_day = :day")
                .setParameter("plan", plan.id()).setParameter("day", day).executeUpdate());
    }

    private List<String> due(CheckPlanSheet plan) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(
                "SELECT on_day, opens_at, closes_at, missed_at, by_somebody_else FROM check_due WHERE plan_id = :plan ORDER BY on_day")
                .setParameter("plan", plan.id()).getResultList()).stream().map(row -> (Object[]) row)
                .map(row -> Rows.day(row[0]) + " " + Rows.instant(row[1]) + " " + Rows.instant(row[2]) + " " + Rows.instant(row[3])
                        + ((Boolean) row[4] ? " somebody else" : "")).toList());
    }
}
