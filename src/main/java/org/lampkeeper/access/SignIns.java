package org.lampkeeper.access;

import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import io.quarkus.narayana.jta.QuarkusTransaction;

import org.lampkeeper.access.Tables.Row;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;

/**
 * Signing in and the sessions that it opens. A session is a random secret that the browser keeps; its hash is a row, looked up at each
 * request, so that a session outlives a restart, counts on every instance, and is over everywhere the moment that it is ended.
 */
@ApplicationScoped
public class SignIns {

    private static final Duration SEEN_AT_MOST_EVERY = Duration.ofMinutes(1);
    // Width of the column.
    private static final int LONGEST_DEVICE = 120;

    /** By account_sign_in_mail_is_unique. */
    private static final String ACCOUNT_OF_MAIL = """
            SELECT a.person_id, a.password_hash, a.session_version, p.reference
              FROM account a
              JOIN person p ON p.id = a.person_id
             WHERE a.sign_in_mail = ?
            """;

    /** By the primary key. */
    private static final String ACCOUNT_OF_PERSON = """
            SELECT a.person_id, a.password_hash, a.session_version, p.reference
              FROM account a
              JOIN person p ON p.id = a.person_id
             WHERE a.person_id = ?
            """;

    private static final String OPEN = """
            INSERT INTO sign_in (token_hash, id, person_id, session_version, opened_at, seen_at, ends_at, device)
            VALUES (?, ?, ?, ?, ?, ?, ?, ?)
            """;

    /** By sign_in_by_ends_at. */
    private static final String DROP_ENDED = "DELETE FROM sign_in WHERE ends_at < ?";

    /** By the primary keys; a row for each role, or one without. */
    private static final String WHO_ASKS = """
            SELECT s.id, s.person_id, s.seen_at, p.name, p.reference, g.role, g.site_id
              FROM sign_in s
              JOIN account a ON a.person_id = s.person_id AND a.session_version = s.session_version
              JOIN person p ON p.id = s.person_id
              LEFT JOIN role_grant g ON g.person_id = s.person_id
             WHERE s.token_hash = ? AND s.ends_at > ? AND s.seen_at > ?
            """;

    private static final String SEEN = "UPDATE sign_in SET seen_at = ? WHERE token_hash = ? AND seen_at < ?";

    private static final String CLOSE = "DELETE FROM sign_in WHERE token_hash = ?";

    private static final String END_ONE = "DELETE FROM sign_in WHERE id = ? AND person_id = ?";

    /** By sign_in_by_person. */
    private static final String SESSIONS_OF = """
            SELECT s.id, s.device, s.opened_at, s.seen_at
              FROM sign_in s
              JOIN account a ON a.person_id = s.person_id AND a.session_version = s.session_version
             WHERE s.person_id = ? AND s.ends_at > ? AND s.seen_at > ?
             ORDER BY s.seen_at DESC, s.id
            """;

    private final Tables tables;
    private final Passwords passwords;
    private final Guessing guessing;
    private final Journal journal;
    private final AccessConfig config;
    private final Clock clock;

    SignIns(Tables tables, Passwords passwords, Guessing guessing, Journal journal, AccessConfig config, Clock clock) {
        this.tables = tables;
        this.passwords = passwords;
        this.guessing = guessing;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    /** What became of a try to sign in. */
    public sealed interface Result {

        /** {@code token}: for the browser to keep; it cannot be read again. */
        record Opened(String token, long personId) implements Result {
        }

        /** Nobody of this mail address, or not the password: which of them is not said. */
        record Wrong() implements Result {
        }

        /** Too many were wrong lately; nothing was looked at. */
        record Wait(Duration left) implements Result {
        }
    }

    /** How somebody came in, for the journal. */
    public enum Way {
        PASSWORD, INVITATION, PROVIDER, DEMO
    }

    /** A caller and the session that they ask in. */
    public record SignedIn(Caller caller, long sessionId) {
    }

    /** An open session. {@code device}: in words, as far as the browser tells. */
    public record Session(long id, String device, Instant openedAt, Instant seenAt) {
    }

    private record Account(long personId, Optional<String> passwordHash, long sessionVersion, String reference) {

        static Account of(Row row) throws SQLException {
            return new Account(row.number("person_id"), row.optionalText("password_hash"), row.number("session_version"), row.text("reference"));
        }
    }

    /**
     * Takes its time on purpose, and the same for a stranger as for somebody known.
     *
     * @param client where the try comes from: a network address
     */
    public Result signIn(String mail, String password, String client, String device) {
        Instant now = clock.instant();
        String address = Accounts.signInMail(mail);
        Guessing.Try begun = guessing.begin(address, client, now);
        if (begun.left().isPresent()) {
            return new Result.Wait(begun.left().get());
        }
        Optional<Account> account = tables.first(ACCOUNT_OF_MAIL, Account::of, address);
        if (!passwords.isRight(password, account.flatMap(Account::passwordHash))) {
            if (begun.isNews()) {
                journal.append(Entry.of(now, "sign-in-refused").with("person", account.map(Account::reference)).with("times", begun.failures()));
            }
            return new Result.Wrong();
        }
        guessing.right(address, client);
        Account known = account.orElseThrow();
        return new Result.Opened(open(known, Way.PASSWORD, device, now), known.personId());
    }

    /**
     * A session for somebody who has shown who they are in another way.
     *
     * @throws IllegalArgumentException when the person has no account
     */
    public String open(long personId, Way way, String device) {
        Account account = tables.first(ACCOUNT_OF_PERSON, Account::of, personId)
                .orElseThrow(() -> new IllegalArgumentException("person " + personId + " has no account"));
        return open(account, way, device, clock.instant());
    }

    /** The person whose account has this mail address; for a provider that vouches for the address. */
    public OptionalLong personOfMail(String mail) {
        return tables.first(ACCOUNT_OF_MAIL, Account::of, Accounts.signInMail(mail)).map(account -> OptionalLong.of(account.personId()))
                .orElse(OptionalLong.empty());
    }

    private String open(Account account, Way way, String device, Instant now) {
        String token = Secrets.make();
        QuarkusTransaction.joiningExisting().run(() -> {
            tables.run(DROP_ENDED, now);
            // With the version that was read with the password: if that was changed meanwhile, this session is over before it begins.
            tables.run(OPEN, Secrets.hash(token), tables.nextId(), account.personId(), account.sessionVersion(), now, now,
                    now.plus(config.sessionLife()), device.substring(0, Math.min(device.length(), LONGEST_DEVICE)));
            journal.append(Entry.of(now, "signed-in").with("person", account.reference()).with("by", way.name().toLowerCase(Locale.ROOT)));
        });
        return token;
    }

    /** Who asks with this secret; empty when the session is over or never was. Notes, once a minute, that it is in use. */
    public Optional<SignedIn> find(String token) {
        Instant now = clock.instant();
        String hash = Secrets.hash(token);
        List<Grant> grants = new ArrayList<>();
        record Found(long sessionId, long personId, String name, String reference, Instant seenAt) {
        }
        List<Found> rows = tables.list(WHO_ASKS, row -> {
            GrantRow.of(row).ifPresent(grants::add);
            return new Found(row.number("id"), row.number("person_id"), row.text("name"), row.text("reference"), row.instant("seen_at"));
        }, hash, now, now.minus(config.sessionIdle()));
        if (rows.isEmpty()) {
            return Optional.empty();
        }
        Found found = rows.get(0);
        if (found.seenAt().plus(SEEN_AT_MOST_EVERY).isBefore(now)) {
            tables.run(SEEN, now, hash, now);
        }
        return Optional.of(new SignedIn(new Caller(found.personId(), found.name(), found.reference(), Reach.of(grants)), found.sessionId()));
    }

    /** Ends the session of this secret. */
    @Transactional
    public void signOut(String token) {
        Optional<SignedIn> whose = find(token);
        if (tables.run(CLOSE, Secrets.hash(token)) > 0) {
            whose.ifPresent(it -> journal.append(Entry.of(clock.instant(), "signed-out").with("person", it.caller().reference())));
        }
    }

    /** The person's open sessions, the one used last first. */
    public List<Session> of(long personId) {
        Instant now = clock.instant();
        return tables.list(SESSIONS_OF, row -> new Session(row.number("id"), row.text("device"), row.instant("opened_at"), row.instant("seen_at")),
                personId, now, now.minus(config.sessionIdle()));
    }

    /** Ends one session of the caller's own; of anybody else's, nothing happens. */
    @Transactional
    public void end(long sessionId, Caller owner) {
        if (tables.run(END_ONE, sessionId, owner.personId()) > 0) {
            journal.append(Entry.of(clock.instant(), "sessions-revoked").with("person", owner.reference()).with("by", owner.reference())
                    .with("sessions", 1));
        }
    }
}
