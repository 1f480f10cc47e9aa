package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

import org.lampkeeper.callout.Phase;

@ApplicationScoped
class CallOutBook implements PanacheRepositoryBase<CallOutRecord, Long> {

    /** Those about losses of a site that are not over and have got their newest at or after {@code since}. By call_out_by_site. */
    List<CallOutRecord> joinable(long siteId, Instant since) {
        return list("siteId = ?1 and joinedAt >= ?2 and phase <> ?3 order by id", siteId, since, Phase.ENDED);
    }
}
