package org.lampkeeper.watch;

import java.time.Duration;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.List;
import java.util.Optional;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.quartz.JobKey;
import org.quartz.Scheduler;
import org.quartz.SchedulerException;
import org.quartz.impl.matchers.GroupMatcher;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.Rows;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;

/** The job of Quartz, from its store in the database: it is there once, fires, and plans on. */
@QuarkusTest
class CheckPlanningTest {

    @Inject
    Scheduler quartz;
    @Inject
    WatchFixture fixture;
    @Inject
    CheckPlans plans;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    @AfterEach
    void halt() throws SchedulerException {
        quartz.standby();
    }

    @Test
    void jobOutOfTheStorePlansTheDaysThatAreMissing() throws SchedulerException {
        fixture.atNoonListening();
        Place place = fixture.place(1);
        long plan = plans.add(List.of(place.first().cabinetId()), new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", LocalDate.parse("2026-12-01"),
                LocalTime.of(9, 0), LocalTime.of(11, 0), 30, WhenClosed.SKIP, new Whom.OnDutyFor(DutyRole.SITE_DUTY), Optional.empty(), false),
                By.nobody(clock.instant())).get(0).id();
        assertThat(due(plan)).isEqualTo(4);
        clock.advance(Duration.ofDays(3));
        List<JobKey> jobs = quartz.getJobKeys(GroupMatcher.anyGroup()).stream().filter(job -> job.getName().contains("check-planning")).toList();
        assertThat(jobs).hasSize(1);
        assertThat(quartz.getMetaData().isJobStoreClustered()).isTrue();

        quartz.start();
        quartz.triggerJob(jobs.get(0));

        Awaitility.await().atMost(Duration.ofSeconds(30)).until(() -> due(plan) == 7);
    }

    private long due(long plan) {
        return QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery("SELECT COUNT(*) FROM check_due WHERE plan_id = :plan")
                .setParameter("plan", plan).getSingleResult()));
    }
}
