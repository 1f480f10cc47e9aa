package org.lampkeeper.access;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import io.quarkus.narayana.jta.QuarkusTransaction;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.By;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Registration;

/**
 * Who has an account, and which roles: invitations, passwords, giving and taking roles. Every verb is one transaction and one journal
 * entry. Nobody gives, takes or takes over more than they have: what they may not is refused with {@link NotAllowed}.
 */
@ApplicationScoped
public class Accounts {

    /** Goes on after a name. */
    static final String LAST_ADMINISTRATOR = "is the last administrator of everything who can sign in. Make somebody else one first.";

    // Whoever decides whether there is an administrator at all holds this row: two of them see each other.
    private static final String HOLD_INSTALLATION = "SELECT site_id FROM site_watch WHERE site_id = 0 FOR UPDATE";

    private static final String COUNT_ABLE = "SELECT COUNT(*) AS able FROM account WHERE password_hash IS NOT NULL";

    private static final String ACCOUNT = "SELECT sign_in_mail, password_hash FROM account WHERE person_id = ?";
    private static final String HOLD_ACCOUNT = "SELECT person_id FROM account WHERE person_id = ? FOR UPDATE";
    private static final String OWNER_OF_MAIL = "SELECT person_id FROM account WHERE sign_in_mail = ?";
    private static final String ADD_ACCOUNT = "INSERT INTO account (person_id, sign_in_mail, session_version, created_at) VALUES (?, ?, 0, ?)";
    private static final String SET_MAIL = "UPDATE account SET sign_in_mail = ? WHERE person_id = ?";
    private static final String SET_PASSWORD = """
            UPDATE account SET password_hash = ?, password_at = ?, sign_in_mail = ?, session_version = session_version + 1 WHERE person_id = ?
            """;
    private static final String RAISE_SESSION_VERSION = "UPDATE account SET session_version = session_version + 1 WHERE person_id = ?";
    private static final String DROP_SESSIONS = "DELETE FROM sign_in WHERE person_id = ?";

    private static final String INVITE = "INSERT INTO invitation (token_hash, person_id, made_at, ends_at) VALUES (?, ?, ?, ?)";
    private static final String DROP_INVITATIONS = "DELETE FROM invitation WHERE person_id = ? AND used_at IS NULL";
    private static final String DROP_FIRST_INVITATIONS = "DELETE FROM invitation WHERE person_id IS NULL AND used_at IS NULL";
    private static final String OPEN_INVITATION = "SELECT person_id FROM invitation WHERE token_hash = ? AND used_at IS NULL AND ends_at > ?";
    private static final String USE_INVITATION = "UPDATE invitation SET used_at = ? WHERE token_hash = ? AND used_at IS NULL AND ends_at > ?";

    private static final String GRANTS = "SELECT role, site_id FROM role_grant WHERE person_id = ? ORDER BY role, holds_at";
    private static final String HAS_GRANT = "SELECT role, site_id FROM role_grant WHERE person_id = ? AND role = ? AND holds_at = ?";
    private static final String ADD_GRANT = "INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (?, ?, ?, ?)";
    private static final String DROP_GRANT = "DELETE FROM role_grant WHERE person_id = ? AND role = ? AND holds_at = ?";
    private static final String OTHER_ADMINISTRATORS = """
            SELECT COUNT(*) AS others
              FROM role_grant g
              JOIN account a ON a.person_id = g.person_id
             WHERE g.role = 'ADMINISTRATOR' AND g.site_id IS NULL AND a.password_hash IS NOT NULL AND g.person_id <> ?
            """;

    private static final String DROP_TOKEN_SITES = """
            DELETE FROM api_token_site WHERE api_token_id IN (SELECT t.id FROM api_token t WHERE t.person_id = ?)
            """;
    private static final List<String> FORGET = List.of(DROP_TOKEN_SITES, "DELETE FROM api_token WHERE person_id = ?", DROP_SESSIONS,
            "DELETE FROM invitation WHERE person_id = ?", "DELETE FROM role_grant WHERE person_id = ?", "DELETE FROM account WHERE person_id = ?");

    private final Tables tables;
    private final Passwords passwords;
    private final Guessing guessing;
    private final People people;
    private final Registration registration;
    private final Journal journal;
    private final AccessConfig config;
    private final Clock clock;

    Accounts(Tables tables, Passwords passwords, Guessing guessing, People people, Registration registration, Journal journal,
            AccessConfig config, Clock clock) {
        this.tables = tables;
        this.passwords = passwords;
        this.guessing = guessing;
        this.people = people;
        this.registration = registration;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    /** @param token for the address that is handed over; it cannot be read again */
    public record Invited(String token, Instant endsAt) {
    }

    /**
     * An invitation that can be accepted.
     *
     * @param name of the invited; empty for the first administrator, who says it themselves
     * @param mail what they will sign in with; empty where they say it themselves
     */
    public record Invitation(Optional<String> name, Optional<String> mail) {
    }

    /** What became of accepting an invitation. */
    public sealed interface Acceptance {

        record Accepted(long personId) implements Acceptance {
        }

        /** {@code field}: {@code name}, {@code mail} or {@code password}; {@code why} goes on after its label. */
        record NotGood(String field, String why) implements Acceptance {
        }

        /** Used, ended, or never made. */
        record Gone() implements Acceptance {
        }
    }

    /** What became of changing a password. */
    public sealed interface Change {

        record Done() implements Change {
        }

        record CurrentIsWrong() implements Change {
        }

        record NotGood(String why) implements Change {
        }

        record Wait(Duration left) implements Change {
        }
    }

    /** What is known of somebody's account. {@code mail}: what they sign in with. */
    public record Account(Optional<String> mail, boolean hasPassword) {
    }

    /** Empty when the person was never invited and never given a role. */
    public Optional<Account> find(long personId) {
        return tables.first(ACCOUNT, row -> new Account(row.optionalText("sign_in_mail"), row.optionalText("password_hash").isPresent()), personId);
    }

    public List<Grant> grantsOf(long personId) {
        return tables.list(GRANTS, row -> GrantRow.of(row).orElseThrow(), personId);
    }

    /** Whether {@code by} may invite this person and change how they are reached: not somebody who may more than {@code by}. */
    public boolean mayChange(Caller by, long personId) {
        return by.reach().maySomewhere(Right.EDIT_PEOPLE) && grantsOf(personId).stream().allMatch(by.reach()::covers);
    }

    /**
     * For an installation that nobody can sign in to: a link whose first user becomes administrator of everything. Empty once somebody has
     * a password.
     */
    @Transactional
    public Optional<Invited> inviteFirst() {
        hold();
        if (isInUse()) {
            return Optional.empty();
        }
        Instant now = clock.instant();
        Invited made = new Invited(Secrets.make(), now.plus(config.firstInvitationLife()));
        tables.run(INVITE, Secrets.hash(made.token()), OptionalLong.empty(), now, made.endsAt());
        journal.append(Entry.of(now, "invitation-made").with("first", true).with("endsAt", made.endsAt()));
        return Optional.of(made);
    }

    /** An earlier invitation of the same person that was not used can no longer be. Accepting it sets a new password, too. */
    @Transactional
    public Invited invite(long personId, Caller by) {
        Contact invited = people.contact(personId);
        if (!mayChange(by, personId)) {
            throw new NotAllowed("You cannot invite " + invited.name() + ", who has a role that reaches further than yours.");
        }
        Instant now = clock.instant();
        addAccountIfMissing(invited, now);
        tables.run(DROP_INVITATIONS, personId);
        Invited made = new Invited(Secrets.make(), now.plus(config.invitationLife()));
        tables.run(INVITE, Secrets.hash(made.token()), personId, now, made.endsAt());
        journal.append(Entry.of(now, "invitation-made").with("person", invited.reference()).with("by", by.reference()).with("endsAt", made.endsAt()));
        return made;
    }

    /** Opening it changes nothing. Empty when it was used, has ended, or never was. */
    public Optional<Invitation> invitation(String token) {
        Optional<OptionalLong> found = tables.first(OPEN_INVITATION, row -> row.optionalNumber("person_id"), Secrets.hash(token), clock.instant());
        return found.filter(person -> person.isPresent() || !isInUse()).map(person -> {
            if (person.isEmpty()) {
                return new Invitation(Optional.empty(), Optional.empty());
            }
            Contact invited = people.contact(person.getAsLong());
            Optional<String> mail = find(invited.personId()).flatMap(Account::mail).or(invited::mail);
            return new Invitation(Optional.of(invited.name()), mail.filter(it -> isFree(it, invited.personId())));
        });
    }

    /**
     * Sets the password, ends every session that the person may still have, and uses up the invitation. {@code name} and {@code mail} count
     * only where {@link #invitation} left them open.
     *
     * @throws org.lampkeeper.register.NotRegistered when the first administrator's name or mail address cannot be registered
     */
    public Acceptance accept(String token, String name, String mail, String password) {
        Optional<Invitation> open = invitation(token);
        if (open.isEmpty()) {
            return new Acceptance.Gone();
        }
        String address = open.get().mail().orElse(mail.strip());
        if (!address.contains("@") || address.length() > 254) {
            return new Acceptance.NotGood("mail", "is not one, must look like name@domain");
        }
        Optional<String> problem = passwords.problem(password, address, open.get().name().orElse(name));
        if (problem.isPresent()) {
            return new Acceptance.NotGood("password", problem.get());
        }
        // Slow, so before the transaction.
        String hash = passwords.hash(password);
        return QuarkusTransaction.requiringNew().call(() -> accept(token, open.get().name().orElse(name.strip()), address, new Hashed(hash)));
    }

    /** A password that was already made into what is stored. */
    private record Hashed(String value) {
    }

    private Acceptance accept(String token, String name, String address, Hashed password) {
        Instant now = clock.instant();
        hold();
        Optional<OptionalLong> invited = tables.first(OPEN_INVITATION, row -> row.optionalNumber("person_id"), Secrets.hash(token), now);
        boolean isFirst = invited.isPresent() && invited.get().isEmpty();
        if (invited.isEmpty() || isFirst && isInUse()) {
            return new Acceptance.Gone();
        }
        if (!isFree(address, invited.get().orElse(0))) {
            return new Acceptance.NotGood("mail", "is somebody else's already. Take another, or ask an administrator to invite that person again.");
        }
        Contact person = isFirst ? registration.addPerson(new NewPerson(name, Optional.of(address), Optional.empty()), By.nobody(now))
                : people.contact(invited.get().getAsLong());
        addAccountIfMissing(person, now);
        tables.run(USE_INVITATION, now, Secrets.hash(token), now);
        tables.run(SET_PASSWORD, password.value(), now, signInMail(address), person.personId());
        tables.run(DROP_SESSIONS, person.personId());
        journal.append(Entry.of(now, "invitation-used").with("person", person.reference()));
        if (isFirst) {
            tables.run(DROP_FIRST_INVITATIONS);
            addGrant(person, Grant.everywhere(Role.ADMINISTRATOR), now);
            journal.append(granted(now, "role-granted", person, Grant.everywhere(Role.ADMINISTRATOR)).with("by", "first-invitation"));
        }
        return new Acceptance.Accepted(person.personId());
    }

    /**
     * Ends every session of the caller, the present one too: a new one is to be opened for it.
     *
     * @param client where this comes from: guessing the current password is slowed down as at signing in
     */
    public Change changePassword(Caller caller, String current, String fresh, String client) {
        Instant now = clock.instant();
        Optional<Stored> stored = tables.first(ACCOUNT,
                row -> new Stored(row.optionalText("sign_in_mail").orElse(""), row.optionalText("password_hash")), caller.personId());
        String mail = stored.map(Stored::mail).orElse("");
        Guessing.Try begun = guessing.begin(mail, client, now);
        if (begun.left().isPresent()) {
            return new Change.Wait(begun.left().get());
        }
        if (!passwords.isRight(current, stored.flatMap(Stored::hash))) {
            return new Change.CurrentIsWrong();
        }
        guessing.right(mail, client);
        Optional<String> problem = passwords.problem(fresh, mail, caller.name());
        if (problem.isPresent()) {
            return new Change.NotGood(problem.get());
        }
        String hash = passwords.hash(fresh);
        QuarkusTransaction.requiringNew().run(() -> {
            tables.run(SET_PASSWORD, hash, now, Optional.of(mail).filter(it -> !it.isEmpty()), caller.personId());
            tables.run(DROP_SESSIONS, caller.personId());
            journal.append(Entry.of(now, "password-changed").with("person", caller.reference()));
        });
        return new Change.Done();
    }

    private record Stored(String mail, Optional<String> hash) {
    }

    /** Counts from the person's next request on. Given twice, nothing happens. */
    @Transactional
    public void grant(long personId, Grant grant, Caller by) {
        Contact person = people.contact(personId);
        refuseUnlessCovered(grant, by, "give");
        Instant now = clock.instant();
        if (addGrant(person, grant, now)) {
            journal.append(granted(now, "role-granted", person, grant).with("by", by.reference()));
        }
    }

    /** Counts from the person's next request on. The last administrator of everything stays one. */
    @Transactional
    public void take(long personId, Grant grant, Caller by) {
        Contact person = people.contact(personId);
        refuseUnlessCovered(grant, by, "take");
        if (grant.equals(Grant.everywhere(Role.ADMINISTRATOR)) && isLastAdministrator(personId)) {
            throw new NotAllowed(person.name() + " " + LAST_ADMINISTRATOR);
        }
        if (tables.run(DROP_GRANT, personId, grant.role().name(), grant.siteId().orElse(0)) > 0) {
            journal.append(granted(clock.instant(), "role-taken", person, grant).with("by", by.reference()));
        }
    }

    /** For people that the program itself sets up, the demo's: an account without a password, and their roles. */
    @Transactional
    public void setUp(long personId, Collection<Grant> grants) {
        Contact person = people.contact(personId);
        Instant now = clock.instant();
        addAccountIfMissing(person, now);
        for (Grant grant : grants) {
            if (addGrant(person, grant, now)) {
                journal.append(granted(now, "role-granted", person, grant).with("by", "set-up"));
            }
        }
    }

    /** Ends every session of this person, on every device. Their API tokens stay. */
    @Transactional
    public void signOutEverywhere(long personId, Caller by) {
        Contact person = people.contact(personId);
        if (by.personId() != personId && !mayChange(by, personId)) {
            throw new NotAllowed("You cannot sign out " + person.name() + ", who has a role that reaches further than yours.");
        }
        tables.run(RAISE_SESSION_VERSION, personId);
        int ended = tables.run(DROP_SESSIONS, personId);
        journal.append(Entry.of(clock.instant(), "sessions-revoked").with("person", person.reference()).with("by", by.reference())
                .with("sessions", ended));
    }

    /** What the person signs in with from now on; false when somebody else has that address. Without an account, nothing is to be done. */
    @Transactional
    boolean moveSignInMail(long personId, String mail) {
        if (!isFree(mail, personId)) {
            return false;
        }
        tables.run(SET_MAIL, signInMail(mail), personId);
        return true;
    }

    /**
     * Whether without this person nobody could sign in and do everything. Whoever asks holds the answer until their transaction ends: two
     * administrators cannot take each other away at once.
     */
    @Transactional
    boolean isLastAdministrator(long personId) {
        hold();
        Grant everything = Grant.everywhere(Role.ADMINISTRATOR);
        return grantsOf(personId).contains(everything) && tables.first(OTHER_ADMINISTRATORS, row -> row.number("others"), personId).orElse(0L) == 0;
    }

    /** When a person is erased: nothing is left that they could sign in with. */
    @Transactional
    void forget(long personId) {
        FORGET.forEach(statement -> tables.run(statement, personId));
    }

    /** As it is compared: addresses that differ in case only are the same person's. */
    static String signInMail(String mail) {
        return mail.strip().toLowerCase(Locale.ROOT);
    }

    private boolean isInUse() {
        return tables.first(COUNT_ABLE, row -> row.number("able")).orElse(0L) > 0;
    }

    /** Whether nobody else than this person signs in with that address. */
    public boolean isFree(String mail, long personId) {
        return tables.first(OWNER_OF_MAIL, row -> row.number("person_id"), signInMail(mail)).filter(owner -> owner != personId).isEmpty();
    }

    private void addAccountIfMissing(Contact person, Instant now) {
        if (!people.isKnown(person.personId())) {
            throw new NotAllowed("This person was erased. Register them anew.");
        }
        if (tables.first(HOLD_ACCOUNT, row -> row.number("person_id"), person.personId()).isEmpty()) {
            Optional<String> mail = person.mail().filter(it -> isFree(it, person.personId())).map(Accounts::signInMail);
            tables.run(ADD_ACCOUNT, person.personId(), mail, now);
        }
    }

    /** False when the person has it already. */
    private boolean addGrant(Contact person, Grant grant, Instant now) {
        addAccountIfMissing(person, now);
        if (tables.first(HAS_GRANT, GrantRow::of, person.personId(), grant.role().name(), grant.siteId().orElse(0)).isPresent()) {
            return false;
        }
        tables.run(ADD_GRANT, person.personId(), grant.role().name(), grant.siteId(), now);
        return true;
    }

    private static void refuseUnlessCovered(Grant grant, Caller by, String verb) {
        boolean mayThere = grant.siteId().isPresent() ? by.reach().may(Right.EDIT_PEOPLE, grant.siteId().getAsLong())
                : by.reach().mayEverywhere(Right.EDIT_PEOPLE);
        if (!mayThere || !by.reach().covers(grant)) {
            throw new NotAllowed("You cannot " + verb + " the role " + grant.role().words()
                    + (grant.siteId().isPresent() ? " at a site where you are not administrator." : " at every site: you are not administrator of all."));
        }
    }

    private void hold() {
        tables.first(HOLD_INSTALLATION, row -> row.number("site_id")).orElseThrow();
    }

    private static Entry granted(Instant now, String kind, Contact person, Grant grant) {
        Entry entry = Entry.of(now, kind).with("person", person.reference()).with("role", grant.role());
        return grant.siteId().isPresent() ? entry.site(grant.siteId().getAsLong()) : entry;
    }
}
