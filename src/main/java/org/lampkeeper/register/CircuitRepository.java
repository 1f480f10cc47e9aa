package org.lampkeeper.register;

import java.util.Collection;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

/** Fetches a circuit always with its cabinet, its board and both their sites: one query, however many. */
@ApplicationScoped
class CircuitRepository implements PanacheRepositoryBase<Circuit, Long> {

    private static final String WITH_WHAT_A_SHEET_NEEDS = """
            FROM Circuit c JOIN FETCH c.cabinet k JOIN FETCH k.site s JOIN FETCH c.board b JOIN FETCH b.site
            """;

    Optional<Circuit> ofCabinet(long cabinetId) {
        return find(WITH_WHAT_A_SHEET_NEEDS + "WHERE k.id = ?1", cabinetId).firstResultOptional();
    }

    List<Circuit> ofCabinets(Collection<Long> cabinetIds) {
        return list(WITH_WHAT_A_SHEET_NEEDS + "WHERE k.id IN ?1", cabinetIds);
    }

    List<Circuit> ofSite(long siteId) {
        return list(WITH_WHAT_A_SHEET_NEEDS + "WHERE s.id = ?1", siteId);
    }

    List<Circuit> onBoard(long boardId) {
        return list(WITH_WHAT_A_SHEET_NEEDS + "WHERE b.id = ?1", boardId);
    }

    List<Circuit> everywhere() {
        return list(WITH_WHAT_A_SHEET_NEEDS);
    }
}
