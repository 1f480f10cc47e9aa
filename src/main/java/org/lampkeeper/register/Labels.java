package org.lampkeeper.register;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeMap;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.register.Locks.OptionalVersion;

/**
 * Which cabinet a printed label is on. Its code is random, so that nobody finds others by counting; it says where somebody stands, not who
 * they are. The code for looks beside it is for people to type, and stands nowhere else. Each verb is one transaction, or part of the caller's.
 */
@ApplicationScoped
@Transactional
public class Labels {

    /** By label_names_one_cabinet. */
    private static final String CABINET_OF = "SELECT cabinet_id FROM cabinet_label WHERE code = :code";

    private static final String OF_SITE = """
            SELECT l.cabinet_id, l.code FROM cabinet_label l JOIN cabinet c ON c.id = l.cabinet_id WHERE c.site_id = :site""";

    /** By the primary key. */
    private static final String LOOK_CODE = "SELECT look_code FROM cabinet_label WHERE cabinet_id = :cabinet AND look_code IS NOT NULL";

    private static final String LOOK_CODES = """
            SELECT l.cabinet_id, l.look_code FROM cabinet_label l JOIN cabinet c ON c.id = l.cabinet_id WHERE c.site_id = :site AND l.look_code IS NOT NULL""";

    private static final String DROP = "DELETE FROM cabinet_label WHERE cabinet_id = :cabinet";

    private static final String ADD = "INSERT INTO cabinet_label (cabinet_id, code, look_code, made_at) VALUES (:cabinet, :code, :lookCode, :now)";

    /** Ours: with the few tries that a look allows it is not found by guessing, and it is typed with cold fingers. */
    public static final int LOOK_CODE_DIGITS = 6;

    private final EntityManager entities;
    private final Register register;
    private final Locks locks;
    private final Event<Edited> edited;

    Labels(EntityManager entities, Register register, Locks locks, Event<Edited> edited) {
        this.entities = entities;
        this.register = register;
        this.locks = locks;
        this.edited = edited;
    }

    /** Empty for a code that is none, or whose label was replaced. */
    public OptionalLong cabinetOf(String code) {
        List<?> found = entities.createNativeQuery(CABINET_OF).setParameter("code", code).getResultList();
        return found.isEmpty() ? OptionalLong.empty() : OptionalLong.of(Rows.number(found.get(0)));
    }

    /** The codes by cabinet; one without a label is not among them. */
    public Map<Long, String> ofSite(long siteId) {
        return byCabinet(OF_SITE, siteId);
    }

    /** The codes for looks by cabinet: for whoever prints them. A label that was made before there were any has none. */
    public Map<Long, String> lookCodes(long siteId) {
        return byCabinet(LOOK_CODES, siteId);
    }

    /** What stands on the label that counts now; empty without one, or where it was printed before there were any. */
    public Optional<String> lookCode(long cabinetId) {
        return entities.createNativeQuery(LOOK_CODE).setParameter("cabinet", cabinetId).getResultList().stream().findFirst().map(String.class::cast);
    }

    private Map<Long, String> byCabinet(String statement, long siteId) {
        Map<Long, String> codes = new HashMap<>();
        for (Object found : entities.createNativeQuery(statement).setParameter("site", siteId).getResultList()) {
            Object[] row = (Object[]) found;
            codes.put(Rows.number(row[0]), (String) row[1]);
        }
        return codes;
    }

    /** A code for each cabinet in use at this site that has none; those that have one keep it, for it is on the wall. */
    public void makeMissing(long siteId, By by) {
        for (CabinetSheet cabinet : register.sheetsOfSite(siteId)) {
            locks.cabinet(cabinet.cabinetId(), OptionalVersion.ANY);
            if (!ofSite(siteId).containsKey(cabinet.cabinetId())) {
                add(cabinet, "made", by);
            }
        }
    }

    /**
     * Another code: the label that is printed leads nowhere from now on.
     *
     * @throws NotRegistered when the cabinet is not in use
     */
    public void renew(long cabinetId, By by) {
        locks.cabinet(cabinetId, OptionalVersion.ANY);
        CabinetSheet cabinet = register.findSheet(cabinetId)
                .orElseThrow(() -> new NotRegistered("label of cabinet " + cabinetId, List.of(new Problem("", "the cabinet is not in use"))));
        entities.createNativeQuery(DROP).setParameter("cabinet", cabinetId).executeUpdate();
        add(cabinet, "renewed", by);
    }

    private void add(CabinetSheet cabinet, String verb, By by) {
        entities.createNativeQuery(ADD).setParameter("cabinet", cabinet.cabinetId()).setParameter("now", by.at())
                .setParameter("code", Unguessable.make()).setParameter("lookCode", Unguessable.digits(LOOK_CODE_DIGITS)).executeUpdate();
        edited.fire(new Edited("cabinet-label", cabinet.cabinetId(), OptionalLong.of(cabinet.site().id()), verb, new TreeMap<>(),
                new TreeMap<>(Map.of("cabinet", cabinet.cabinetId())), by));
    }
}
