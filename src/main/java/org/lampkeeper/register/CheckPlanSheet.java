package org.lampkeeper.register;

import java.time.Instant;
import java.util.Optional;

import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckPlan;

/**
 * A stored plan.
 *
 * @param askedWhenClosed who is asked on closed days, where it is somebody else
 * @param asksCode        whether whoever looks is asked for the code on the label
 * @param changedAt       nothing that had closed by then is due by it as it is now
 * @param endedAt         from here on nothing is due by it
 */
public record CheckPlanSheet(long id, long siteId, long cabinetId, CheckPlan plan, Whom asked, Optional<Whom> askedWhenClosed, boolean sensorCounts,
        boolean asksCode, Instant changedAt, Optional<Instant> endedAt, int version) {
}
