package org.lampkeeper.register;

import java.time.Duration;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckPlan;
import org.lampkeeper.check.Recurrence;
import org.lampkeeper.check.WhenClosed;

/**
 * How often a cabinet is looked at, as entered. Times are those of the wall clock of the site, to the minute.
 *
 * @param rule            of RFC 5545, counted from {@code first}
 * @param closes          where it is not after {@code opens}, on the following day
 * @param graceMinutes    how long after closing it is missed
 * @param askedWhenClosed who is asked on closed days, where it is somebody else
 * @param sensorCounts    whether a sensor that says healthy stands in for a look at the lamp
 * @param asksCode        whether whoever looks is asked for the code on the label
 */
public record NewCheckPlan(CheckKind kind, String rule, LocalDate first, LocalTime opens, LocalTime closes, int graceMinutes, WhenClosed whenClosed,
        Whom asked, Optional<Whom> askedWhenClosed, boolean sensorCounts, boolean asksCode) {

    private static final long NANOS_OF_A_MINUTE = Duration.ofMinutes(1).toNanos();

    /** One that asks for no code. */
    public NewCheckPlan(CheckKind kind, String rule, LocalDate first, LocalTime opens, LocalTime closes, int graceMinutes, WhenClosed whenClosed, Whom asked,
            Optional<Whom> askedWhenClosed, boolean sensorCounts) {
        this(kind, rule, first, opens, closes, graceMinutes, whenClosed, asked, askedWhenClosed, sensorCounts, false);
    }

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .list(ofRule())
                .must("opens", isMinute(opens), "opens at " + opens + ", must be a whole minute")
                .must("closes", isMinute(closes), "closes at " + closes + ", must be a whole minute")
                .range("graceMinutes", "grace", graceMinutes, 0, (int) CheckPlan.LONGEST_GRACE.toMinutes(), "minutes")
                .must("askedWhenClosed", (whenClosed == WhenClosed.SOMEBODY_ELSE) == askedWhenClosed.isPresent(),
                        whenClosed == WhenClosed.SOMEBODY_ELSE ? "nobody is chosen for closed days, choose who is asked then"
                                : "somebody is chosen for closed days on which nobody else is asked, choose nobody")
                .must("sensorCounts", !sensorCounts || kind == CheckKind.LAMP, "a sensor sees the supply only, it can stand in for a look at the lamp alone")
                .list();
    }

    private List<Problem> ofRule() {
        try {
            new Recurrence(rule, first);
            return List.of();
        } catch (IllegalArgumentException wrong) {
            return List.of(new Problem("rule", wrong.getMessage()));
        }
    }

    /** @throws IllegalArgumentException where it has {@link #problems()} */
    CheckPlan plan() {
        return new CheckPlan(kind, new Recurrence(rule, first), opens, closes, Duration.ofMinutes(graceMinutes), whenClosed);
    }

    private static boolean isMinute(LocalTime time) {
        return time.toNanoOfDay() % NANOS_OF_A_MINUTE == 0;
    }
}
