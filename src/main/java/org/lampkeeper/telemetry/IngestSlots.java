package org.lampkeeper.telemetry;

import java.time.Duration;
import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.register.Rows;

/**
 * Which instance listens under which client id. A dead instance's persistent session goes on being dealt its share of the messages, so
 * client ids are fixed slots, leased in the database: whoever takes a slot takes its queue with it, and nothing is stranded.
 *
 * <p>An instance takes one slot at first, then every slot whose lease ran out. One that holds several gives one back when an instance
 * has none. A new slot is made only when there are more instances than slots, and only where slots share the messages: else there is one,
 * and the other instances stand by for it.
 */
@ApplicationScoped
class IngestSlots {

    private static final String LOCK = "SELECT slot, leased_by, leased_until FROM ingest_slot ORDER BY slot FOR UPDATE";

    private static final String SEE = "UPDATE instance SET seen_at = :now WHERE id = :id";

    private static final String APPEAR = "INSERT INTO instance (id, started_at, seen_at) VALUES (:id, :now, :now)";

    private static final String COUNT_ALIVE = "SELECT COUNT(*) FROM instance WHERE seen_at > :since";

    private static final String COUNT_ALIVE_WITHOUT_SLOT = """
            SELECT COUNT(*) FROM instance i WHERE i.seen_at > :since AND i.id <> :id
               AND NOT EXISTS (SELECT 1 FROM ingest_slot s WHERE s.leased_by = i.id AND s.leased_until > :now)""";

    private static final String LEASE = "UPDATE ingest_slot SET leased_by = :id, leased_until = :until WHERE slot = :slot";

    private static final String MAKE = "INSERT INTO ingest_slot (slot, leased_by, leased_until) VALUES (:slot, :id, :until)";

    private static final String RELEASE = "UPDATE ingest_slot SET leased_by = NULL, leased_until = NULL WHERE slot = :slot AND leased_by = :id";

    private static final String LISTENED = """
            UPDATE ingest_slot SET listened_until = :now WHERE slot IN (:slots) AND leased_by = :id""";

    private static final String DROP_ALL_BUT_THE_FIRST = "DELETE FROM ingest_slot WHERE slot > 0";

    private static final String FORGET_THE_DEAD = "DELETE FROM instance WHERE seen_at < :since";

    /** Serialises the making of slots: the row that stands for the installation. */
    private static final String LOCK_INSTALLATION = "SELECT site_id FROM site_watch WHERE site_id = 0 FOR UPDATE";

    private final EntityManager entities;

    IngestSlots(EntityManager entities) {
        this.entities = entities;
    }

    private record Slot(int number, String leasedBy, Instant leasedUntil) {
        private boolean isFree(Instant now) {
            return leasedBy.isEmpty() || !leasedUntil.isAfter(now);
        }
    }

    /**
     * Renews what this instance holds, takes over what is free, gives one back where another has none; returns what it holds now.
     *
     * @param many whether there may be more slots than one
     */
    @Transactional
    public Set<Integer> renew(String instance, Duration lease, boolean many, Instant now) {
        entities.createNativeQuery(LOCK_INSTALLATION).getResultList();
        if (entities.createNativeQuery(SEE).setParameter("now", now).setParameter("id", instance).executeUpdate() == 0) {
            entities.createNativeQuery(APPEAR).setParameter("now", now).setParameter("id", instance).executeUpdate();
        }
        entities.createNativeQuery(FORGET_THE_DEAD).setParameter("since", now.minus(lease.multipliedBy(100))).executeUpdate();
        if (!many) {
            // Left from a time when messages were shared; nobody listens there any more, so nobody may wait for it.
            entities.createNativeQuery(DROP_ALL_BUT_THE_FIRST).executeUpdate();
        }
        List<Slot> slots = slots();
        TreeSet<Integer> held = new TreeSet<>();
        for (Slot slot : slots) {
            if (slot.leasedBy().equals(instance)) {
                held.add(slot.number());
            }
        }
        boolean othersWait = count(COUNT_ALIVE_WITHOUT_SLOT, instance, lease, now) > 0;
        for (Slot slot : slots) {
            boolean mayTake = held.isEmpty() || !othersWait;
            if (slot.isFree(now) && !slot.leasedBy().equals(instance) && mayTake) {
                held.add(slot.number());
            }
        }
        if (held.size() > 1 && othersWait) {
            int given = held.last();
            held.remove(given);
            entities.createNativeQuery(RELEASE).setParameter("slot", given).setParameter("id", instance).executeUpdate();
        }
        Instant until = now.plus(lease);
        if (held.isEmpty() && (many || slots.isEmpty()) && slots.size() < count(COUNT_ALIVE, instance, lease, now)) {
            int made = slots.size();
            entities.createNativeQuery(MAKE).setParameter("slot", made).setParameter("id", instance).setParameter("until", until)
                    .executeUpdate();
            held.add(made);
        }
        for (int slot : held) {
            entities.createNativeQuery(LEASE).setParameter("id", instance).setParameter("until", until).setParameter("slot", slot)
                    .executeUpdate();
        }
        return held;
    }

    /** This instance listens on these slots, up to and including now. */
    @Transactional
    public void listened(String instance, Collection<Integer> slots, Instant now) {
        if (!slots.isEmpty()) {
            entities.createNativeQuery(LISTENED).setParameter("now", now).setParameter("slots", slots).setParameter("id", instance)
                    .executeUpdate();
        }
    }

    /** Gives everything back at an orderly stop, so that nobody has to wait for the lease to run out. */
    @Transactional
    public void release(String instance, Collection<Integer> slots) {
        for (int slot : slots) {
            entities.createNativeQuery(RELEASE).setParameter("slot", slot).setParameter("id", instance).executeUpdate();
        }
        entities.createNativeQuery("DELETE FROM instance WHERE id = :id").setParameter("id", instance).executeUpdate();
    }

    private List<Slot> slots() {
        return entities.createNativeQuery(LOCK).getResultList().stream().map(found -> {
            Object[] row = (Object[]) found;
            return new Slot((int) Rows.number(row[0]), row[1] == null ? "" : (String) row[1],
                    row[2] == null ? Instant.MIN : Rows.instant(row[2]));
        }).toList();
    }

    private long count(String query, String instance, Duration lease, Instant now) {
        var counting = entities.createNativeQuery(query).setParameter("since", now.minus(lease));
        if (query.contains(":id")) {
            counting.setParameter("id", instance).setParameter("now", now);
        }
        return Rows.number(counting.getSingleResult());
    }
}
