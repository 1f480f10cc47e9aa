package org.lampkeeper.register;

import java.time.Instant;
import java.util.List;

/** Something else is due by these plans from now on; fired inside the transaction that does it. */
public record CheckPlansChanged(List<Long> planIds, Instant at) {

    public CheckPlansChanged {
        planIds = List.copyOf(planIds);
    }
}
