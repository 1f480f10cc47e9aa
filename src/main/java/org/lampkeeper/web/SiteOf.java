package org.lampkeeper.web;

import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;

/**
 * At which site a thing is that a path names: the one place where that is looked up, by the name of the path parameter. A parameter that is
 * not known here does not exist, and a test looks for one.
 */
@ApplicationScoped
class SiteOf {

    /** The secret of an address that is open to anybody: it names no site. */
    static final String TOKEN = "token";

    /** The installation itself, as a site. */
    static final long OPERATOR = 0;

    private static final String PERSON = "person";
    private static final String SENSOR = "sensor";

    /** Each by a primary key or a unique one. A message about no alarm and no month, and an entry about no site, are the installation's. */
    private static final Map<String, String> STATEMENTS = Map.ofEntries(
            Map.entry("site", "SELECT id AS site_id FROM site WHERE id = ?"),
            Map.entry("board", "SELECT site_id FROM board WHERE id = ?"),
            Map.entry("cabinet", "SELECT site_id FROM cabinet WHERE id = ?"),
            Map.entry("circuit", "SELECT c.site_id FROM circuit w JOIN cabinet c ON c.id = w.cabinet_id WHERE w.id = ?"),
            Map.entry(SENSOR, "SELECT c.site_id FROM sensor s JOIN cabinet c ON c.id = s.cabinet_id WHERE s.device_id = ?"),
            Map.entry("alarm", "SELECT site_id FROM alarm WHERE id = ?"),
            Map.entry("message", "SELECT COALESCE(a.site_id, r.site_id, 0) AS site_id FROM outgoing_message m LEFT JOIN alarm a ON a.id = m.alarm_id"
                    + " LEFT JOIN month_report r ON r.id = m.month_report_id WHERE m.id = ?"),
            Map.entry("work", "SELECT site_id FROM suppression WHERE id = ?"),
            Map.entry("entry", "SELECT COALESCE(site_id, 0) AS site_id FROM journal_entry WHERE seal_number = ?"),
            // One of every site is the installation's.
            Map.entry("webhook", "SELECT COALESCE(site_id, 0) AS site_id FROM webhook_endpoint WHERE id = ?"),
            Map.entry("delivery", "SELECT COALESCE(e.site_id, 0) AS site_id FROM webhook_delivery d JOIN webhook_endpoint e ON e.id = d.endpoint_id WHERE d.id = ?"),
            Map.entry("check", "SELECT site_id FROM check_due WHERE id = ?"),
            Map.entry("plan", "SELECT site_id FROM check_plan WHERE id = ?"),
            Map.entry("handover", "SELECT c.site_id FROM handover h JOIN cabinet c ON c.id = h.cabinet_id WHERE h.id = ?"),
            Map.entry("shift", "SELECT site_id FROM duty_shift WHERE id = ?"),
            // Where they have a role, and where they have a turn on the list; nothing for whoever is not registered.
            Map.entry(PERSON, """
                    SELECT g.site_id FROM person p JOIN role_grant g ON g.person_id = p.id WHERE p.id = ?
                    UNION SELECT l.listed_for FROM call_out_step t JOIN call_out_list l ON l.id = t.list_id WHERE t.person_id = ?
                    UNION SELECT -1 FROM person WHERE id = ?
                    """));
    private static final long IS_REGISTERED = -1;

    /** A channel is where its person is. */
    private static final String CHANNEL = "channel";
    private static final String OF_CHANNEL = "SELECT person_id FROM person_channel WHERE id = ?";

    private final Reads reads;

    SiteOf(Reads reads) {
        this.reads = reads;
    }

    /**
     * Where a thing is. A person may be at several sites, at every one ({@code isEverywhere}), or at none.
     *
     * @param person whose page it is; empty for a thing
     */
    record Whereabouts(Set<Long> sites, boolean isEverywhere, OptionalLong person) {

        boolean isSeenBy(Caller caller) {
            boolean isSelf = person.isPresent() && person.getAsLong() == caller.personId();
            return isSelf || letsDo(Right.SEE, caller.reach());
        }

        /** A person is in reach, and may be dealt with, at any site where they are; a thing is at one. */
        boolean letsDo(Right right, Reach reach) {
            return reach.mayEverywhere(right) || isEverywhere && reach.maySomewhere(right)
                    || sites.stream().anyMatch(site -> reach.may(right, site));
        }
    }

    static boolean isKnown(String parameter) {
        return parameter.equals(TOKEN) || parameter.equals(CHANNEL) || STATEMENTS.containsKey(parameter);
    }

    /** Empty when there is no such thing. */
    Optional<Whereabouts> find(String parameter, String value) {
        if (parameter.equals(SENSOR)) {
            return at(parameter, value);
        }
        OptionalLong id = number(value);
        if (id.isEmpty()) {
            return Optional.empty();
        }
        if (parameter.equals("site") && id.getAsLong() == OPERATOR) {
            return Optional.of(new Whereabouts(Set.of(OPERATOR), false, OptionalLong.empty()));
        }
        if (parameter.equals(CHANNEL)) {
            return reads.first(OF_CHANNEL, row -> row.number("person_id"), id.getAsLong()).flatMap(this::person);
        }
        return parameter.equals(PERSON) ? person(id.getAsLong()) : at(parameter, id.getAsLong());
    }

    private Optional<Whereabouts> at(String parameter, Object id) {
        String statement = STATEMENTS.get(parameter);
        if (statement == null) {
            throw new IllegalStateException("path parameter {" + parameter + "}: nobody knows at which site that is, must be one of " + STATEMENTS.keySet());
        }
        return reads.first(statement, row -> row.number("site_id"), id).map(site -> new Whereabouts(Set.of(site), false, OptionalLong.empty()));
    }

    private Optional<Whereabouts> person(long id) {
        List<OptionalLong> found = reads.list(STATEMENTS.get(PERSON), row -> row.optionalNumber("site_id"), id, id, id);
        if (found.isEmpty()) {
            return Optional.empty();
        }
        Set<Long> sites = new HashSet<>();
        found.forEach(site -> site.ifPresent(sites::add));
        sites.remove(IS_REGISTERED);
        return Optional.of(new Whereabouts(Set.copyOf(sites), found.contains(OptionalLong.empty()), OptionalLong.of(id)));
    }

    private static OptionalLong number(String value) {
        return value.matches("\\d{1,18}") ? OptionalLong.of(Long.parseLong(value)) : OptionalLong.empty();
    }
}
