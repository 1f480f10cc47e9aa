package org.lampkeeper.access;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;

/**
 * Telephones that say of themselves whose they are. An enrolled phone takes its person's looks and nothing else: it is no session, and opens
 * no page that asks for one. It stays so until it is revoked or its person is erased.
 */
@ApplicationScoped
public class Phones {

    // Ours: nobody carries more; an old one is revoked.
    private static final int AT_MOST_A_PERSON = 10;
    // Width of the column.
    private static final int LONGEST_DEVICE = 120;
    private static final Duration SEEN_AT_MOST_EVERY = Duration.ofMinutes(1);

    private static final String DROP_INVITATIONS = "DELETE FROM phone_invitation WHERE person_id = ? OR ends_at <= ?";
    private static final String INVITE = "INSERT INTO phone_invitation (token_hash, person_id, made_at, ends_at) VALUES (?, ?, ?, ?)";

    /** By the primary keys. */
    private static final String INVITED = """
            SELECT i.person_id, p.name FROM phone_invitation i JOIN person p ON p.id = i.person_id WHERE i.token_hash = ? AND i.ends_at > ?
            """;
    private static final String USE_INVITATION = "DELETE FROM phone_invitation WHERE token_hash = ? AND ends_at > ?";
    private static final String HOLD_PERSON = "SELECT id FROM person WHERE id = ? AND salt IS NOT NULL FOR UPDATE";
    private static final String ENROL = "INSERT INTO phone (id, secret_hash, person_id, device, enrolled_at, seen_at) VALUES (?, ?, ?, ?, ?, ?)";

    /** By phone_secret_is_unique. */
    private static final String WHOSE = """
            SELECT t.id, t.person_id, t.seen_at, p.name FROM phone t JOIN person p ON p.id = t.person_id WHERE t.secret_hash = ?
            """;
    private static final String SEEN = "UPDATE phone SET seen_at = ? WHERE id = ? AND seen_at < ?";

    /** By phone_by_person. */
    private static final String PHONES_OF = "SELECT id, device, enrolled_at, seen_at FROM phone WHERE person_id = ? ORDER BY id";
    private static final String REVOKE = "DELETE FROM phone WHERE id = ? AND person_id = ?";

    private static final List<String> FORGET = List.of("DELETE FROM phone_invitation WHERE person_id = ?", "DELETE FROM phone WHERE person_id = ?");

    private final Tables tables;
    private final Accounts accounts;
    private final People people;
    private final Journal journal;
    private final AccessConfig config;
    private final Clock clock;

    Phones(Tables tables, Accounts accounts, People people, Journal journal, AccessConfig config, Clock clock) {
        this.tables = tables;
        this.accounts = accounts;
        this.people = people;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    /** {@code token}: for the link; it cannot be read again. */
    public record Invited(String token, Instant endsAt) {
    }

    /** Whose phone asks. */
    public record Known(long phoneId, long personId, String name) {
    }

    /** {@code device}: in words, as far as its browser tells. */
    public record Phone(long id, String device, Instant enrolledAt, Instant seenAt) {
    }

    /** Whether {@code by} may enrol and revoke phones of this person: their own, and those of whom they may invite anyway. */
    public boolean mayChange(Caller by, long personId) {
        return !by.isToken() && (by.personId() == personId || accounts.mayChange(by, personId));
    }

    /**
     * A link that enrols one phone, once. An earlier one for the same person that was not used can no longer be.
     *
     * @throws NotAllowed when {@code by} may not, or the person has too many phones already
     */
    @Transactional
    public Invited invite(long personId, Caller by) {
        Contact invited = people.contact(personId);
        refuseUnless(mayChange(by, personId), invited);
        refuseIfTooMany(personId);
        Instant now = clock.instant();
        Invited made = new Invited(Secrets.make(), now.plus(config.invitationLife()));
        tables.run(DROP_INVITATIONS, personId, now);
        tables.run(INVITE, Secrets.hash(made.token()), personId, now, made.endsAt());
        journal.append(Entry.of(now, "phone-invited").with("person", invited.reference()).with("by", by.reference()).with("endsAt", made.endsAt()));
        return made;
    }

    /** The name of whom a phone would be enrolled for. Changes nothing. Empty when it was used, has ended, or never was. */
    public Optional<String> invited(String token) {
        return tables.first(INVITED, row -> row.text("name"), Secrets.hash(token), clock.instant());
    }

    /**
     * Uses an invitation up.
     *
     * @return the secret for the phone to keep; empty when the invitation was used, has ended, or never was
     * @throws NotAllowed when the person has too many phones already
     */
    @Transactional
    public Optional<String> enrol(String token, String device) {
        Instant now = clock.instant();
        String hash = Secrets.hash(token);
        Optional<Long> person = tables.first(INVITED, row -> row.number("person_id"), hash, now);
        // By the row count, so that of two who press at once one comes in.
        return person.filter(id -> hold(id) && tables.run(USE_INVITATION, hash, now) > 0).map(id -> enrolled(people.contact(id), device, now));
    }

    /**
     * The phone that somebody has signed in on.
     *
     * @throws NotAllowed when they have too many phones already
     */
    @Transactional
    public String enrol(Caller owner, String device) {
        hold(owner.personId());
        return enrolled(people.contact(owner.personId()), device, clock.instant());
    }

    private boolean hold(long personId) {
        return tables.first(HOLD_PERSON, row -> row.number("id"), personId).isPresent();
    }

    private String enrolled(Contact person, String device, Instant now) {
        refuseIfTooMany(person.personId());
        String secret = Secrets.make();
        long id = tables.nextId();
        tables.run(ENROL, id, Secrets.hash(secret), person.personId(), device.substring(0, Math.min(device.length(), LONGEST_DEVICE)), now, now);
        journal.append(Entry.of(now, "phone-enrolled").with("person", person.reference()).with("phone", id));
        return secret;
    }

    /** Whose phone keeps this secret; empty when it was revoked or never was. Notes, once a minute, that it is in use. */
    public Optional<Known> find(String secret) {
        Instant now = clock.instant();
        record Found(Known known, Instant seenAt) {
        }
        Optional<Found> found = tables.first(WHOSE, row -> new Found(new Known(row.number("id"), row.number("person_id"), row.text("name")),
                row.instant("seen_at")), Secrets.hash(secret));
        found.filter(it -> it.seenAt().plus(SEEN_AT_MOST_EVERY).isBefore(now)).ifPresent(it -> tables.run(SEEN, now, it.known().phoneId(), now));
        return found.map(Found::known);
    }

    /** In the order in which they were enrolled. */
    public List<Phone> of(long personId) {
        return tables.list(PHONES_OF, row -> new Phone(row.number("id"), row.text("device"), row.instant("enrolled_at"), row.instant("seen_at")), personId);
    }

    /**
     * From the next request on it is nobody's. Nothing happens to a phone of anybody but {@code personId}.
     *
     * @throws NotAllowed when {@code by} may not
     */
    @Transactional
    public void revoke(long phoneId, long personId, Caller by) {
        Contact owner = people.contact(personId);
        refuseUnless(mayChange(by, personId), owner);
        if (tables.run(REVOKE, phoneId, personId) > 0) {
            journal.append(Entry.of(clock.instant(), "phone-revoked").with("person", owner.reference()).with("by", by.reference()).with("phone", phoneId));
        }
    }

    void forget(long personId) {
        FORGET.forEach(statement -> tables.run(statement, personId));
    }

    private static void refuseUnless(boolean may, Contact person) {
        if (!may) {
            throw new NotAllowed("You cannot enrol or revoke phones of " + person.name() + ".");
        }
    }

    private void refuseIfTooMany(long personId) {
        if (of(personId).size() >= AT_MOST_A_PERSON) {
            throw new NotAllowed(AT_MOST_A_PERSON + " phones are enrolled already. Revoke one that is no longer used first.");
        }
    }
}
