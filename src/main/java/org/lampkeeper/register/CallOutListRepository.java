package org.lampkeeper.register;

import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

/** Fetches a list always with its steps. At most one list is found: a unique key says so. */
@ApplicationScoped
class CallOutListRepository implements PanacheRepositoryBase<CallOutListEntry, Long> {

    Optional<CallOutListEntry> ofSite(long siteId) {
        return find("FROM CallOutListEntry l LEFT JOIN FETCH l.steps WHERE l.site.id = ?1", siteId).stream().findFirst();
    }

    Optional<CallOutListEntry> ofOperator() {
        return find("FROM CallOutListEntry l LEFT JOIN FETCH l.steps WHERE l.site IS NULL").stream().findFirst();
    }

    /** Whether anybody would be missing a turn if this person were gone. */
    boolean names(long personId) {
        return count("FROM CallOutListEntry l JOIN l.steps s WHERE s.personId = ?1", personId) > 0;
    }
}
