package org.lampkeeper.watch;

import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalTime;
import java.time.ZoneId;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.quarkus.runtime.configuration.MemorySize;
import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMax;
import org.hibernate.validator.constraints.time.DurationMin;

import org.lampkeeper.callout.GapLook;
import org.lampkeeper.supply.Tolerance;

/** How long Lampkeeper waits before it troubles somebody, and how it climbs. */
@ConfigMapping(prefix = "lampkeeper.watch")
public interface WatchConfig {

    /** How long a loss must last before somebody is told. Longer: fewer messages about dips, later messages about losses. */
    @WithDefault("20s")
    @DurationMin(seconds = 0)
    @DurationMax(minutes = 30)
    Duration confirm();

    /** What a sensor may be late against its own promise before its silence counts. */
    @WithDefault("120s")
    @DurationMin(seconds = 0)
    Duration grace();

    /** How long a sensor's connection may be down before that counts as silence, whatever it had promised. */
    @WithDefault("120s")
    @DurationMin(seconds = 0)
    Duration linkGrace();

    /** How many dips within {@link #dipsWindow()} are reported as an unsteady supply. */
    @WithDefault("3")
    @Min(2)
    @Max(1000)
    int dipsUnsteady();

    /** See {@link #dipsUnsteady()}. */
    @WithDefault("1h")
    @DurationMin(seconds = 1)
    Duration dipsWindow();

    /** Sensors of one site that fall quiet within this time of each other are a probable loss of the whole site. */
    @WithDefault("60s")
    @DurationMin(seconds = 1)
    Duration siteLossWithin();

    /** How long a probable loss of a site must last before somebody is told; gives a router the time to restart. */
    @WithDefault("60s")
    @DurationMin(seconds = 0)
    Duration siteLossConfirm();

    /** Not listening for longer than this is an alarm of its own. */
    @WithDefault("60s")
    @DurationMin(seconds = 2)
    Duration outageAfter();

    /** Mail that could not be handed over for longer than this is an alarm to the operator. */
    @WithDefault("5m")
    @DurationMin(seconds = 1)
    Duration mailOutageAfter();

    /** A message that has waited for longer than this is an alarm to the operator; longer than a few repeats take. */
    @WithDefault("10m")
    @DurationMin(seconds = 1)
    Duration messagesStuckAfter();

    /** A commit that takes longer than this is slow. */
    @WithDefault("500ms")
    @DurationMin(millis = 1)
    Duration databaseSlowAbove();

    /** A clock that gains or loses more than this between two looks, a few seconds apart, has jumped. */
    @WithDefault("5s")
    @DurationMin(millis = 100)
    Duration clockStepAbove();

    /** Less room than this on the disk of {@link #dataDirectory()} is nearly full. The embedded broker stops at 64 MiB. */
    @WithDefault("512M")
    MemorySize diskFreeBelow();

    /** Whose disk is looked at; where it does not exist yet, the nearest directory above it. */
    @WithDefault("data")
    Path dataDirectory();

    /** How long a slow database or a full disk must last before somebody is told, and be over before the alarm ends; a jump of the clock is told at once. */
    @WithDefault("60s")
    @DurationMin(seconds = 0)
    @DurationMax(hours = 1)
    Duration ownConfirm();

    /** In whose clock the operator reads times of alarms about Lampkeeper itself. */
    @WithDefault("UTC")
    ZoneId operatorZone();

    /** How long the link in a message can be used. */
    @WithDefault("72h")
    @DurationMin(minutes = 1)
    Duration linkLife();

    /** The longest time for which an alarm may be shelved or work announced. */
    @WithDefault("14d")
    @DurationMin(minutes = 1)
    Duration longestHold();

    /** Cabinets of one site that are lost within this time of the one before are told of together. */
    @WithDefault("2m")
    @DurationMin(seconds = 0)
    @DurationMax(hours = 1)
    Duration togetherWithin();

    /** Who takes an alarm has this long to get it back to normal; then everybody is called again. */
    @WithDefault("4h")
    @DurationMin(minutes = 1)
    @DurationMax(days = 7)
    Duration callAgainAfter();

    /** How long a person to whom an alarm is handed on has to take it; meanwhile, and after it, it is with the one who handed it on. */
    @WithDefault("15m")
    @DurationMin(seconds = 10)
    @DurationMax(days = 1)
    Duration handOnWithin();

    /** How many days ahead a shift without anybody is looked for, and told to whoever may change the rota. */
    @WithDefault("7d")
    @DurationMin(days = 1)
    @DurationMax(days = 62)
    Duration dutyAhead();

    /** When that look is each day, on the wall clock of each site. */
    @WithDefault("09:00")
    LocalTime dutyLookAt();

    /** How long a new gap waits before it is told of, so that somebody who is changing a rota is not written to at each step. */
    @WithDefault("10m")
    @DurationMin(seconds = 0)
    @DurationMax(days = 1)
    Duration dutySettle();

    /** When the report on a month is sent on its day, on the wall clock of each site. */
    @WithDefault("08:00")
    LocalTime monthReportAt();

    /** How many deadlines an instance handles side by side; each takes a connection to the database. */
    @WithDefault("4")
    @Min(1)
    @Max(16)
    int deadlineWorkers();

    /** The same, as the core takes it. */
    default Tolerance tolerance() {
        return new Tolerance(confirm(), grace(), linkGrace(), dipsUnsteady(), dipsWindow());
    }

    /** The same for looking ahead in a rota. */
    default GapLook.Rules gapRules() {
        return new GapLook.Rules(dutyLookAt(), dutyAhead(), dutySettle());
    }
}
