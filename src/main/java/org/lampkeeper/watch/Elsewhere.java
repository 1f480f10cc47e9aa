package org.lampkeeper.watch;

import java.util.Collection;
import java.util.List;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.LostElsewhere;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Rows;

/** What is lost at other sites that share a board or an intake. Reads only; joins the caller's transaction. */
@ApplicationScoped
@Transactional
public class Elsewhere {

    /** By alarm_open_since: only what is open. */
    private static final String LOST = """
            SELECT s.name, k.board_id, COUNT(*)
              FROM alarm a
              JOIN circuit k ON k.cabinet_id = a.cabinet_id
              JOIN board b ON b.id = k.board_id
              JOIN site s ON s.id = a.site_id
             WHERE a.closed_at IS NULL AND a.kind = 'SUPPLY_LOST' AND a.live AND a.site_id <> :site AND b.site_id IN (:intakes)
             GROUP BY s.name, k.board_id""";

    private final EntityManager entities;

    Elsewhere(EntityManager entities) {
        this.entities = entities;
    }

    /** Of other sites, by name: what is lost there and has its origin in common with one of these cabinets of {@code siteId}. */
    public List<LostElsewhere> besides(long siteId, Collection<CabinetSheet> cabinets) {
        if (cabinets.isEmpty()) {
            return List.of();
        }
        Set<Long> boards = cabinets.stream().map(sheet -> sheet.board().id()).collect(Collectors.toSet());
        Set<Long> intakes = cabinets.stream().map(sheet -> sheet.board().siteId()).collect(Collectors.toSet());
        TreeMap<String, LostElsewhere> bySite = new TreeMap<>();
        for (Object found : entities.createNativeQuery(LOST).setParameter("site", siteId).setParameter("intakes", intakes).getResultList()) {
            Object[] row = (Object[]) found;
            String name = (String) row[0];
            int count = (int) Rows.number(row[2]);
            boolean isOnBoard = boards.contains(Rows.number(row[1]));
            bySite.merge(name, new LostElsewhere(name, isOnBoard ? count : 0, isOnBoard ? 0 : count),
                    (one, other) -> new LostElsewhere(name, one.onBoard() + other.onBoard(), one.onIntake() + other.onIntake()));
        }
        return List.copyOf(bySite.values());
    }
}
