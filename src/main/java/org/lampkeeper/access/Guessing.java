package org.lampkeeper.access;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.narayana.jta.QuarkusTransaction;

/**
 * Slows guessing down, by mail address and by where it comes from, counted in the database so that it holds over all instances. Nobody is
 * ever locked out: after the wait the right password works, and who is signed in notices nothing. A try counts as wrong from its beginning
 * until it turns out to be right, so that many at once are not more than one after the other.
 */
@ApplicationScoped
class Guessing {

    // Ours. The longest wait for an address keeps an hour's tries below the 100 of OWASP ASVS 4.0.3, 2.2.1; behind one network address
    // there may be a whole office.
    private static final Limit BY_MAIL = new Limit(5, Duration.ofSeconds(60));
    private static final Limit BY_CLIENT = new Limit(20, Duration.ofMinutes(5));
    private static final Duration FIRST_WAIT = Duration.ofSeconds(5);
    private static final Duration FORGOTTEN_AFTER = Duration.ofHours(1);
    private static final Duration KEPT_FOR = Duration.ofDays(1);

    // By the primary key.
    private static final String IS_THERE = "SELECT subject FROM sign_in_failure WHERE subject = ?";
    private static final String ADD = "INSERT INTO sign_in_failure (subject, failures, last_at, next_at) VALUES (?, 0, ?, ?)";
    private static final String HOLD = "SELECT failures, last_at, next_at FROM sign_in_failure WHERE subject = ? FOR UPDATE";
    private static final String COUNT = "UPDATE sign_in_failure SET failures = ?, last_at = ?, next_at = ? WHERE subject = ?";
    private static final String FORGET = "UPDATE sign_in_failure SET failures = 0, next_at = last_at WHERE subject = ?";
    private static final String TAKE_BACK = "UPDATE sign_in_failure SET failures = failures - 1, next_at = last_at WHERE subject = ? AND failures > 0";
    // By sign_in_failure_by_last_at.
    private static final String DROP_OLD = "DELETE FROM sign_in_failure WHERE last_at < ?";

    private final Tables tables;

    Guessing(Tables tables) {
        this.tables = tables;
    }

    /** {@code free}: so many wrong ones before the first wait. */
    record Limit(int free, Duration longest) {

        /** What has to be waited after so many wrong ones: doubled with each, up to the longest. */
        Duration waitAfter(int failures) {
            if (failures < free) {
                return Duration.ZERO;
            }
            Duration grown = FIRST_WAIT.multipliedBy(1L << Math.min(failures - free, 20));
            return grown.compareTo(longest) < 0 ? grown : longest;
        }
    }

    /** {@code failures}: of this mail address, this try counted as one. {@code left}: nothing may be looked at before it is over. */
    record Try(int failures, Optional<Duration> left) {

        /** Whether the journal should hear of it: at the first wait, and each time the number has doubled. */
        boolean isNews() {
            return failures >= BY_MAIL.free() && failures % BY_MAIL.free() == 0 && Integer.bitCount(failures / BY_MAIL.free()) == 1;
        }
    }

    private record Count(int failures, Instant lastAt, Instant nextAt) {
    }

    /** Must not be called inside a transaction: the count stands whatever becomes of the try. */
    Try begin(String mail, String client, Instant now) {
        List<String> subjects = List.of(subject("from", client), subject("mail", mail));
        subjects.forEach(subject -> addIfMissing(subject, now));
        return QuarkusTransaction.requiringNew().call(() -> {
            // Always in this order, so that two tries never wait for each other.
            Count byClient = hold(subjects.get(0), now);
            Count byMail = hold(subjects.get(1), now);
            Instant next = byClient.nextAt().isAfter(byMail.nextAt()) ? byClient.nextAt() : byMail.nextAt();
            if (next.isAfter(now)) {
                return new Try(byMail.failures(), Optional.of(Duration.between(now, next)));
            }
            count(subjects.get(0), byClient, BY_CLIENT, now);
            return new Try(count(subjects.get(1), byMail, BY_MAIL, now), Optional.empty());
        });
    }

    /** It was the right password after all. What others guessed from the same network address still counts. */
    void right(String mail, String client) {
        tables.run(FORGET, subject("mail", mail));
        tables.run(TAKE_BACK, subject("from", client));
    }

    private void addIfMissing(String subject, Instant now) {
        if (tables.first(IS_THERE, row -> row.text("subject"), subject).isEmpty()) {
            tables.run(DROP_OLD, now.minus(KEPT_FOR));
            // False when another instance was first: then it is there.
            tables.insertedAlone(ADD, subject, now, now);
        }
    }

    private Count hold(String subject, Instant now) {
        Count stored = tables.first(HOLD, row -> new Count((int) row.number("failures"), row.instant("last_at"), row.instant("next_at")), subject)
                .orElse(new Count(0, now, now));
        return stored.lastAt().plus(FORGOTTEN_AFTER).isBefore(now) ? new Count(0, now, now) : stored;
    }

    private int count(String subject, Count before, Limit limit, Instant now) {
        int failures = before.failures() + 1;
        tables.run(COUNT, failures, now, now.plus(limit.waitAfter(failures)), subject);
        return failures;
    }

    private static String subject(String what, String value) {
        return what + ":" + Secrets.hash(value.strip().toLowerCase(Locale.ROOT));
    }
}
