package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;

import org.lampkeeper.callout.DutyRole;

/** Who is on duty for a role of a site: what a step of a call-out that names a role asks for at the moment of telling. */
public interface OnDuty {

    /**
     * The people on duty, those on shift (or their stand-ins) first; where no shift is filled, the fallback.
     *
     * @return ids of people in the order of telling, each once; empty only where nobody has a role at all
     */
    List<Long> at(long siteId, DutyRole role, Instant moment);
}
