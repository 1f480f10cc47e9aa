package org.lampkeeper.watch;

import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Rows;

/** Who belongs to a site: whom the last resort tells, and to whom an alarm may be handed on. Joins the caller's transaction. */
@ApplicationScoped
@Transactional
public class SitePeople {

    /** By role_grant_by_site. A role at every site is one at this. */
    private static final String WITH_A_ROLE = """
            SELECT g.person_id FROM role_grant g WHERE g.site_id = :site OR g.site_id IS NULL ORDER BY g.person_id""";

    /** By role_grant_by_site. */
    private static final String WITH_ONE_OF = """
            SELECT g.person_id, g.site_id FROM role_grant g
             WHERE (g.site_id = :site OR g.site_id IS NULL) AND g.role IN (:roles) ORDER BY g.person_id""";

    /** By the primary keys of a role and of a site; a role at every site, and a turn on the operator's list, are at none of them. */
    private static final String ZONE_OF = """
            SELECT s.zone FROM site s
             WHERE s.id IN (SELECT g.site_id FROM role_grant g WHERE g.person_id = :person
                            UNION SELECT l.site_id FROM call_out_step t JOIN call_out_list l ON l.id = t.list_id WHERE t.person_id = :person)
             ORDER BY s.name, s.id LIMIT 1""";

    private final EntityManager entities;
    private final CallOutLists lists;
    private final People people;
    private final OnDuty onDuty;
    private final WatchConfig config;

    SitePeople(EntityManager entities, CallOutLists lists, People people, OnDuty onDuty, WatchConfig config) {
        this.entities = entities;
        this.lists = lists;
        this.people = people;
        this.onDuty = onDuty;
        this.config = config;
    }

    /**
     * Everybody of a site, each once: first those of its list, as it is resolved at {@code moment}, then whoever has a role there or at
     * every site.
     *
     * @param siteId 0: Lampkeeper itself
     */
    public List<Contact> everybody(long siteId, Instant moment) {
        Set<Long> ids = new LinkedHashSet<>();
        CallOutList list = lists.ofSite(siteId);
        list.turns().forEach(turn -> ids.addAll(whoIs(turn.whom(), siteId, moment)));
        for (Object id : entities.createNativeQuery(WITH_A_ROLE).setParameter("site", siteId).getResultList()) {
            ids.add(Rows.number(id));
        }
        return inOrder(ids);
    }

    /** Whoever has one of {@code roles}, each once: at the site itself, or at every site, and of these alone. */
    List<Contact> withRole(long siteId, boolean atTheSite, List<String> roles) {
        Set<Long> ids = new LinkedHashSet<>();
        for (Object found : entities.createNativeQuery(WITH_ONE_OF).setParameter("site", siteId).setParameter("roles", roles).getResultList()) {
            Object[] row = (Object[]) found;
            if ((row[1] != null) == atTheSite) {
                ids.add(Rows.number(row[0]));
            }
        }
        return inOrder(ids);
    }

    /** Who that is at {@code moment}, in the order of telling; nobody where nobody is on duty for a role. */
    public List<Long> whoIs(Whom whom, long siteId, Instant moment) {
        if (whom instanceof Whom.Person person) {
            return List.of(person.personId());
        }
        if (whom instanceof Whom.OnDutyFor duty) {
            return onDuty.at(siteId, duty.role(), moment);
        }
        throw new IllegalStateException("whom without a rule: " + whom);
    }

    /** Who is on duty for a role at each of these sites at {@code moment}, in the order of telling. */
    Map<Long, List<Long>> onDuty(Collection<Long> siteIds, DutyRole role, Instant moment) {
        return onDuty.at(siteIds, role, moment);
    }

    /** On whose clocks somebody lives: those of the first of their sites, by name; the operator's where they belong to none. */
    public ZoneId zoneOf(long personId) {
        List<?> zones = entities.createNativeQuery(ZONE_OF).setParameter("person", personId).getResultList();
        return zones.isEmpty() ? config.operatorZone() : ZoneId.of((String) zones.get(0));
    }

    /** By id, without those who are not registered; one query. */
    Map<Long, Contact> contacts(Collection<Long> ids) {
        return people.find(ids);
    }

    List<Contact> inOrder(Collection<Long> ids) {
        var known = contacts(ids);
        List<Contact> contacts = new ArrayList<>();
        ids.stream().filter(known::containsKey).forEach(id -> contacts.add(known.get(id)));
        return contacts;
    }
}
