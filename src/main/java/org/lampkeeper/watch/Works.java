package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

/** Work that is announced, under way or over. Reads only. */
@ApplicationScoped
@Transactional
public class Works {

    private final Suppressions suppressions;

    Works(Suppressions suppressions) {
        this.suppressions = suppressions;
    }

    public Optional<Work> find(long workId) {
        return suppressions.find(workId);
    }

    /** Of this site, what is not over at {@code now}, the earliest first. */
    public List<Work> ahead(long siteId, Instant now) {
        return suppressions.ofSite(siteId, now, false, Integer.MAX_VALUE);
    }

    /** Of this site, what is over at {@code now}, the latest first, at most {@code most}. */
    public List<Work> past(long siteId, Instant now, int most) {
        return suppressions.ofSite(siteId, now, true, most);
    }
}
