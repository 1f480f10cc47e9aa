package org.lampkeeper.access;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;

/**
 * What programs show instead of signing in. A token may at most what its owner may at that moment, and less where it was made for less:
 * reading only, some sites only, until an end.
 */
@ApplicationScoped
public class ApiTokens {

    /** Tells a token from anything else, for whoever finds one where it should not be. */
    public static final String PREFIX = "lamp_";

    /** What a token may that was made for reading. */
    private static final Set<Right> TO_READ = EnumSet.of(Right.SEE, Right.READ_JOURNAL);
    // Ours: nobody tells more of them apart.
    private static final int AT_MOST_A_PERSON = 50;
    // Width of the column.
    private static final int LONGEST_NAME = 80;
    private static final Duration USED_AT_MOST_EVERY = Duration.ofMinutes(1);

    private static final String MAKE = """
            INSERT INTO api_token (id, token_hash, person_id, name, may_write, all_sites, created_at, ends_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
            """;
    private static final String NARROW = "INSERT INTO api_token_site (api_token_id, site_id) VALUES (?, ?)";

    /** By api_token_hash_is_unique; a row for each role, or one without. */
    private static final String WHO_ASKS = """
            SELECT t.id, t.person_id, t.may_write, t.all_sites, t.last_used_at, p.name, p.reference, g.role, g.site_id
              FROM api_token t
              JOIN person p ON p.id = t.person_id
              LEFT JOIN role_grant g ON g.person_id = t.person_id
             WHERE t.token_hash = ? AND t.revoked_at IS NULL AND (t.ends_at IS NULL OR t.ends_at > ?)
            """;
    private static final String SITES_OF = "SELECT site_id FROM api_token_site WHERE api_token_id = ?";
    private static final String USED = "UPDATE api_token SET last_used_at = ? WHERE id = ? AND (last_used_at IS NULL OR last_used_at < ?)";

    /** By api_token_by_person. */
    private static final String TOKENS_OF = """
            SELECT id, name, may_write, all_sites, created_at, ends_at, last_used_at
              FROM api_token
             WHERE person_id = ? AND revoked_at IS NULL
             ORDER BY id
            """;
    private static final String REVOKE = "UPDATE api_token SET revoked_at = ? WHERE id = ? AND person_id = ? AND revoked_at IS NULL";

    private final Tables tables;
    private final Journal journal;
    private final Clock clock;

    ApiTokens(Tables tables, Journal journal, Clock clock) {
        this.tables = tables;
        this.journal = journal;
        this.clock = clock;
    }

    /** @param secret begins with {@link #PREFIX}; it cannot be read again */
    public record Made(long id, String secret) {
    }

    /** @param siteIds where it may anything; empty: wherever its owner may */
    public record ApiToken(long id, String name, boolean mayWrite, Optional<Set<Long>> siteIds, Instant createdAt, Optional<Instant> endsAt,
            Optional<Instant> lastUsedAt) {
    }

    /**
     * @param siteIds at least one where present, and none that the owner does not see
     * @throws NotAllowed when the owner is a token, sees not all of {@code siteIds}, or has too many tokens already
     * @throws IllegalArgumentException when the name is empty or too long, or the end is not to come
     */
    @Transactional
    public Made make(Caller owner, String name, boolean mayWrite, Optional<Set<Long>> siteIds, Optional<Instant> endsAt) {
        Instant now = clock.instant();
        if (name.isBlank() || name.length() > LONGEST_NAME) {
            throw new IllegalArgumentException("token name has " + name.length() + " characters, must have 1 to " + LONGEST_NAME);
        }
        if (endsAt.filter(end -> !end.isAfter(now)).isPresent()) {
            throw new IllegalArgumentException("token ends at " + endsAt.get() + ", must be after " + now);
        }
        if (owner.isToken()) {
            throw new NotAllowed("A token cannot make tokens.");
        }
        if (siteIds.filter(ids -> ids.isEmpty() || !ids.stream().allMatch(owner.reach()::sees)).isPresent()) {
            throw new NotAllowed("A token needs at least one site, and only such as you see.");
        }
        if (of(owner.personId()).size() >= AT_MOST_A_PERSON) {
            throw new NotAllowed("You have " + AT_MOST_A_PERSON + " tokens. Revoke one that is no longer used first.");
        }
        String secret = PREFIX + Secrets.make();
        long id = tables.nextId();
        tables.run(MAKE, id, Secrets.hash(secret), owner.personId(), name.strip(), mayWrite, siteIds.isEmpty(), now, endsAt);
        siteIds.ifPresent(ids -> ids.forEach(site -> tables.run(NARROW, id, site)));
        journal.append(Entry.of(now, "token-made").with("person", owner.reference()).with("token", id).with("mayWrite", mayWrite)
                .with("sites", siteIds.map(ids -> ids.stream().sorted().toList())).with("endsAt", endsAt));
        return new Made(id, secret);
    }

    /** Those in use, oldest first; one that has ended is among them until it is revoked. */
    public List<ApiToken> of(long personId) {
        return tables.list(TOKENS_OF, row -> {
            Optional<Set<Long>> sites = row.is("all_sites") ? Optional.empty() : Optional.of(sitesOf(row.number("id")));
            return new ApiToken(row.number("id"), row.text("name"), row.is("may_write"), sites, row.instant("created_at"),
                    row.optionalInstant("ends_at"), row.optionalInstant("last_used_at"));
        }, personId);
    }

    /** From the next request on it is nobody's. Of another person's token, nothing happens. */
    @Transactional
    public void revoke(long id, Caller owner) {
        Instant now = clock.instant();
        if (tables.run(REVOKE, now, id, owner.personId()) > 0) {
            journal.append(Entry.of(now, "token-revoked").with("person", owner.reference()).with("token", id));
        }
    }

    /** Who asks with this secret, as far as the token goes. Notes, once a minute, that it is in use. */
    public Optional<Caller> find(String secret) {
        Instant now = clock.instant();
        record Found(long id, long personId, boolean mayWrite, boolean allSites, Optional<Instant> lastUsedAt, String name, String reference) {
        }
        List<Grant> grants = new ArrayList<>();
        List<Found> rows = tables.list(WHO_ASKS, row -> {
            GrantRow.of(row).ifPresent(grants::add);
            return new Found(row.number("id"), row.number("person_id"), row.is("may_write"), row.is("all_sites"),
                    row.optionalInstant("last_used_at"), row.text("name"), row.text("reference"));
        }, Secrets.hash(secret), now);
        if (rows.isEmpty()) {
            return Optional.empty();
        }
        Found found = rows.get(0);
        if (found.lastUsedAt().filter(at -> !at.plus(USED_AT_MOST_EVERY).isBefore(now)).isEmpty()) {
            tables.run(USED, now, found.id(), now);
        }
        Set<Right> rights = found.mayWrite() ? EnumSet.allOf(Right.class) : TO_READ;
        Reach reach = Reach.of(grants);
        Reach narrowed = found.allSites() ? reach.only(rights) : reach.only(sitesOf(found.id()), rights);
        return Optional.of(new Caller(found.personId(), found.name(), found.reference(), narrowed, OptionalLong.of(found.id())));
    }

    private Set<Long> sitesOf(long id) {
        return new HashSet<>(tables.list(SITES_OF, row -> row.number("site_id"), id));
    }
}
