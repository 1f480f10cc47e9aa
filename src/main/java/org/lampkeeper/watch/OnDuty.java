package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import java.util.function.Function;
import java.util.stream.Collectors;

import org.lampkeeper.callout.DutyRole;

/** Who is on duty for a role of a site: what a step of a call-out that names a role asks for at the moment of telling. */
public interface OnDuty {

    /**
     * The people on duty, those on shift (or their stand-ins) first; where no shift is filled, the fallback.
     *
     * @return ids of people in the order of telling, each once; empty only where nobody has a role at all
     */
    List<Long> at(long siteId, DutyRole role, Instant moment);

    /** The same at many sites, by site. */
    default Map<Long, List<Long>> at(Collection<Long> siteIds, DutyRole role, Instant moment) {
        return new TreeSet<>(siteIds).stream().collect(Collectors.toMap(Function.identity(), site -> at(site, role, moment)));
    }
}
