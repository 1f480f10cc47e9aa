package org.lampkeeper.register;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

/**
 * Holds the row of what is to be changed until the end of the transaction, and compares its version under that lock: of two who change
 * the same version, the second finds it changed and overwrites nothing.
 */
@ApplicationScoped
class Locks {

    private static final String SITE = "SELECT version, changed_at, changed_by FROM site WHERE id = :id FOR UPDATE";
    private static final String BOARD = "SELECT version, changed_at, changed_by FROM board WHERE id = :id FOR UPDATE";
    private static final String CABINET = "SELECT version, changed_at, changed_by FROM cabinet WHERE id = :id FOR UPDATE";
    private static final String CIRCUIT = "SELECT version, changed_at, changed_by FROM circuit WHERE cabinet_id = :id FOR UPDATE";
    private static final String CONTENT = "SELECT version, changed_at, changed_by FROM content WHERE cabinet_id = :id FOR UPDATE";
    private static final String WARMTH = "SELECT version, changed_at, changed_by FROM warmth WHERE cabinet_id = :id FOR UPDATE";
    private static final String PERSON = "SELECT version, changed_at, changed_by FROM person WHERE id = :id FOR UPDATE";
    private static final String SENSOR = "SELECT version, changed_at, changed_by FROM sensor WHERE id = :id FOR UPDATE";
    private static final String LIST = "SELECT version, changed_at, changed_by FROM call_out_list WHERE listed_for = :id FOR UPDATE";

    private static final String SHIFT = "SELECT version, changed_at, changed_by FROM duty_shift WHERE id = :id FOR UPDATE";

    private static final String HOLD_SITE = "SELECT id FROM site WHERE id = :id FOR UPDATE";

    private static final String CHECK_PLAN = "SELECT version, changed_at, changed_by FROM check_plan WHERE id = :id FOR UPDATE";

    private final EntityManager entities;

    Locks(EntityManager entities) {
        this.entities = entities;
    }

    void site(long id, OptionalVersion expected) {
        lock(SITE, "site " + id, id, expected);
    }

    void board(long id, OptionalVersion expected) {
        lock(BOARD, "board " + id, id, expected);
    }

    void cabinet(long id, OptionalVersion expected) {
        lock(CABINET, "cabinet " + id, id, expected);
    }

    /** Of the cabinet with this id. */
    void circuit(long cabinetId, OptionalVersion expected) {
        lock(CIRCUIT, "circuit of cabinet " + cabinetId, cabinetId, expected);
    }

    /** Of the cabinet with this id. */
    void content(long cabinetId, OptionalVersion expected) {
        lock(CONTENT, "content of cabinet " + cabinetId, cabinetId, expected);
    }

    /** Of the cabinet with this id. */
    void warmth(long cabinetId, OptionalVersion expected) {
        lock(WARMTH, "warmth of cabinet " + cabinetId, cabinetId, expected);
    }

    void person(long id, OptionalVersion expected) {
        lock(PERSON, "person " + id, id, expected);
    }

    void sensor(long id) {
        lock(SENSOR, "sensor " + id, id, OptionalVersion.ANY);
    }

    /** Of the site with this id, or the operator's. */
    void callOutList(long siteId, OptionalVersion expected) {
        lock(LIST, "call-out list of site " + siteId, siteId, expected);
    }

    void dutyShift(long id, OptionalVersion expected) {
        lock(SHIFT, "shift " + id, id, expected);
    }

    void checkPlan(long id, OptionalVersion expected) {
        lock(CHECK_PLAN, "check plan " + id, id, expected);
    }

    /** Two who change what hangs on one site come one after the other. @return whether there is such a site */
    boolean holdSite(long id) {
        return !entities.createNativeQuery(HOLD_SITE).setParameter("id", id).getResultList().isEmpty();
    }

    /** Which version a change is meant for. */
    record OptionalVersion(boolean isGiven, int version) {

        /** Changes whatever is stored. */
        static final OptionalVersion ANY = new OptionalVersion(false, 0);

        static OptionalVersion of(int version) {
            return new OptionalVersion(true, version);
        }
    }

    /** What is not there is not locked either; its caller says that it is not registered. */
    private void lock(String sql, String thing, long id, OptionalVersion expected) {
        List<?> rows = entities.createNativeQuery(sql).setParameter("id", id).getResultList();
        if (rows.isEmpty()) {
            if (expected.isGiven() && expected.version() != CallOutLists.NONE_STORED) {
                throw new NotRegistered(thing, List.of(new Problem("", "not registered")));
            }
            return;
        }
        Object[] row = (Object[]) rows.get(0);
        int stored = (int) Rows.number(row[0]);
        if (expected.isGiven() && stored != expected.version()) {
            Optional<Instant> at = Optional.ofNullable(row[1]).map(Rows::instant);
            OptionalLong by = row[2] == null ? OptionalLong.empty() : OptionalLong.of(Rows.number(row[2]));
            throw new ChangedMeanwhile(thing, expected.version(), stored, at, by);
        }
    }
}
