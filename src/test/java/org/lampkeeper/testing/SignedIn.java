package org.lampkeeper.testing;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.UUID;
import java.util.concurrent.atomic.AtomicLong;

import javax.sql.DataSource;

import io.quarkus.arc.Arc;
import io.restassured.RestAssured;
import io.restassured.specification.RequestSpecification;

import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Role;

/**
 * Somebody who has signed in to the application of a Quarkus test: a new person each time, with the roles asked for, and a session that
 * does not end by itself, however the test moves the clock. Written straight into the database.
 *
 * @param cookie the session's secret, for a cookie named {@link #COOKIE}
 */
public record SignedIn(long personId, String name, String cookie) {

    /** What a session's cookie is called without https. */
    public static final String COOKIE = "lampkeeper";

    // Clear of the sequences and of every fixture; a run never makes so many. 0: nobody yet.
    private static final AtomicLong NEXT = new AtomicLong();
    private static final long FIRST = 7_000_000;
    private static final Instant LONG_AGO = Instant.parse("2026-01-01T00:00:00Z");
    private static final Instant NEVER = Instant.parse("2100-01-01T00:00:00Z");

    /** In this role at these sites; at every site when none is named. */
    public static SignedIn as(Role role, long... siteIds) {
        return with(siteIds.length == 0 ? List.of(Grant.everywhere(role)) : Arrays.stream(siteIds).mapToObj(id -> Grant.at(role, id)).toList());
    }

    public static SignedIn with(List<Grant> grants) {
        NEXT.compareAndSet(0, highest());
        long id = NEXT.incrementAndGet();
        String secret = UUID.randomUUID().toString();
        String name = "Tester " + id;
        run("INSERT INTO person (id, reference, salt, name, version) VALUES (?, ?, ?, ?, 0)", id, "reference-" + id, "salt-" + id, name);
        run("INSERT INTO account (person_id, session_version, created_at) VALUES (?, 0, ?)", id, LONG_AGO);
        grants.forEach(grant -> run("INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (?, ?, ?, ?)", id, grant.role().name(),
                grant.siteId().isPresent() ? grant.siteId().getAsLong() : null, LONG_AGO));
        run("""
                INSERT INTO sign_in (token_hash, id, person_id, session_version, opened_at, seen_at, ends_at, device)
                VALUES (?, ?, ?, 0, ?, ?, ?, 'a test')
                """, hash(secret), id, id, LONG_AGO, NEVER, NEVER);
        return new SignedIn(id, name, secret);
    }

    /** A request with the session, as our own page would send it; redirections are not followed. */
    public RequestSpecification request() {
        return RestAssured.given().cookie(COOKIE, cookie).header("Sec-Fetch-Site", "same-origin").redirects().follow(false);
    }

    /** The same, of a browser that wants a page. */
    public RequestSpecification browser() {
        return request().accept("text/html,application/xhtml+xml");
    }

    private static String hash(String secret) {
        try {
            return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(secret.getBytes(StandardCharsets.UTF_8)));
        } catch (NoSuchAlgorithmException everyJavaHasIt) {
            throw new IllegalStateException(everyJavaHasIt);
        }
    }

    /** A test that is run once more finds those of before in the database, but not in this class, which was loaded anew. */
    private static long highest() {
        DataSource database = Arc.container().instance(DataSource.class).get();
        try (Connection connection = database.getConnection();
                PreparedStatement statement = connection.prepareStatement("SELECT COALESCE(MAX(id), ?) FROM person WHERE id > ?")) {
            statement.setLong(1, FIRST);
            statement.setLong(2, FIRST);
            try (ResultSet row = statement.executeQuery()) {
                row.next();
                return row.getLong(1);
            }
        } catch (SQLException failed) {
            throw new IllegalStateException("nobody could be signed in for a test", failed);
        }
    }

    private static void run(String sql, Object... parameters) {
        DataSource database = Arc.container().instance(DataSource.class).get();
        try (Connection connection = database.getConnection(); PreparedStatement statement = connection.prepareStatement(sql)) {
            for (int i = 0; i < parameters.length; i++) {
                statement.setObject(i + 1, parameters[i] instanceof Instant at ? at.atOffset(ZoneOffset.UTC) : parameters[i]);
            }
            statement.executeUpdate();
        } catch (SQLException failed) {
            throw new IllegalStateException("nobody could be signed in for a test", failed);
        }
    }
}
