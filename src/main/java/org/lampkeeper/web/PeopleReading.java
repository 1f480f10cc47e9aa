package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;

/** People with their roles and their turns on the call-out lists. */
@ApplicationScoped
class PeopleReading {

    // What erasing a person leaves is nobody any more.
    private static final String PEOPLE = """
            SELECT p.id, p.name, p.mail, p.phone, a.password_hash, a.sign_in_mail,
                   (SELECT MAX(i.ends_at) FROM invitation i WHERE i.person_id = p.id AND i.used_at IS NULL) AS invited_until
              FROM person p
              LEFT JOIN account a ON a.person_id = p.id
             WHERE NOT (p.name = 'erased' AND p.salt IS NULL AND p.mail IS NULL)
             ORDER BY p.name, p.id
            """;

    private static final String ROLES = """
            SELECT g.person_id, g.role, g.site_id, s.name AS site
              FROM role_grant g
              LEFT JOIN site s ON s.id = g.site_id
             ORDER BY g.person_id, g.role, s.name
            """;

    private static final String TURNS = """
            SELECT t.person_id, t.position, t.after_seconds, l.listed_for, s.name AS site
              FROM call_out_step t
              JOIN call_out_list l ON l.id = t.list_id
              LEFT JOIN site s ON s.id = l.site_id
             WHERE t.person_id IS NOT NULL
             ORDER BY t.person_id, s.name, t.position
            """;

    private static final String SITES = "SELECT id, name FROM site WHERE (? OR id = ANY (?)) ORDER BY name";

    private final Reads reads;

    PeopleReading(Reads reads) {
        this.reads = reads;
    }

    /** {@code site}: its name; empty for every site. */
    record RoleAt(Grant grant, String site) {

        String words() {
            return grant.role().words() + (grant.siteId().isPresent() ? " at " + site : " of every site");
        }
    }

    /** A turn on a list. {@code siteId} 0 and no {@code site}: the operator's list. {@code place} counts from 1. */
    record TurnAt(long siteId, String site, int place, Duration after) {

        String words() {
            return ordinal(place) + " on the list of " + (site.isEmpty() ? "Lampkeeper's own faults" : site);
        }

        private static String ordinal(int place) {
            return switch (place) {
                case 1 -> "first";
                case 2 -> "second";
                case 3 -> "third";
                default -> "number " + place;
            };
        }
    }

    /** {@code invitedUntil}: an invitation that was not used; it may be over. */
    record PersonRow(long id, String name, Optional<String> mail, Optional<String> phone, Optional<String> signInMail, boolean hasPassword,
            Optional<Instant> invitedUntil, List<RoleAt> roles, List<TurnAt> turns) {

        /** Their roles as one phrase: {@code duty manager at North Stair and Reedholm}. */
        String roleWords() {
            Map<Role, List<String>> sites = new LinkedHashMap<>();
            roles.forEach(role -> sites.computeIfAbsent(role.grant().role(), it -> new ArrayList<>()).add(role.site()));
            return sites.entrySet().stream().map(entry -> entry.getKey().words()
                    + (entry.getValue().contains("") ? " of every site" : " at " + listed(entry.getValue()))).collect(Collectors.joining("; "));
        }

        /** A role or a turn at a site in reach, or it is the caller's own page. */
        boolean isSeenBy(Caller caller) {
            Reach reach = caller.reach();
            return id == caller.personId() || reach.mayEverywhere(Right.SEE)
                    || roles.stream().anyMatch(role -> isIn(reach, role)) || turns.stream().anyMatch(turn -> reach.sees(turn.siteId()));
        }

        private static boolean isIn(Reach reach, RoleAt role) {
            return role.grant().siteId().isPresent() ? reach.sees(role.grant().siteId().getAsLong()) : reach.maySomewhere(Right.SEE);
        }

        /** What {@code caller} sees of them: at other sites they may be somebody, too. */
        PersonRow asSeenBy(Caller caller) {
            if (id == caller.personId()) {
                return this;
            }
            return new PersonRow(id, name, mail, phone, signInMail, hasPassword, invitedUntil,
                    roles.stream().filter(role -> isIn(caller.reach(), role)).toList(),
                    turns.stream().filter(turn -> caller.reach().sees(turn.siteId())).toList());
        }
    }

    record SiteRow(long id, String name) {
    }

    /** By name; of each only what {@code caller} may see. */
    List<PersonRow> seenBy(Caller caller) {
        return all().stream().filter(person -> person.isSeenBy(caller)).map(person -> person.asSeenBy(caller)).toList();
    }

    Optional<PersonRow> find(long personId, Caller caller) {
        return seenBy(caller).stream().filter(person -> person.id() == personId).findFirst();
    }

    /** Everybody who has a role; those who have it at every site first. */
    List<PersonRow> withRoles() {
        return all().stream().filter(person -> !person.roles().isEmpty())
                .sorted(Comparator.comparing(person -> person.roles().stream().allMatch(role -> role.grant().siteId().isPresent()))).toList();
    }

    /** The sites that {@code reach} sees, by name. */
    List<SiteRow> sites(Reach reach) {
        return reads.list(SITES, row -> new SiteRow(row.number("id"), row.text("name")), reach);
    }

    private List<PersonRow> all() {
        record Of<T>(long person, T what) {
        }
        Map<Long, List<RoleAt>> roles = reads.list(ROLES, row -> new Of<>(row.number("person_id"),
                new RoleAt(new Grant(Role.valueOf(row.text("role")), row.optionalNumber("site_id")), row.optionalText("site").orElse(""))))
                .stream().collect(Collectors.groupingBy(Of::person, Collectors.mapping(Of::what, Collectors.toList())));
        Map<Long, List<TurnAt>> turns = reads.list(TURNS, row -> new Of<>(row.number("person_id"),
                new TurnAt(row.number("listed_for"), row.optionalText("site").orElse(""), (int) row.number("position") + 1,
                        Duration.ofSeconds(row.number("after_seconds")))))
                .stream().collect(Collectors.groupingBy(Of::person, Collectors.mapping(Of::what, Collectors.toList())));
        return reads.list(PEOPLE, row -> new PersonRow(row.number("id"), row.text("name"), row.optionalText("mail"), row.optionalText("phone"),
                row.optionalText("sign_in_mail"), row.has("password_hash"), row.optionalInstant("invited_until"),
                roles.getOrDefault(row.number("id"), List.of()), turns.getOrDefault(row.number("id"), List.of())));
    }

    /** {@code North Stair, Reedholm and Cray Point}. */
    static String listed(List<String> names) {
        int last = names.size() - 1;
        return last <= 0 ? String.join("", names) : String.join(", ", names.subList(0, last)) + " and " + names.get(last);
    }
}
