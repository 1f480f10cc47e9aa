package org.lampkeeper.telemetry;

import java.security.SecureRandom;
import java.util.Base64;

/** How our own ingest client logs in at the broker. */
public record IngestLogin(String username, String password) {

    /** The client ids of ingest slots begin so; that of no sensor begins with {@code lampkeeper-}. */
    public static final String CLIENT_ID_PREFIX = "lampkeeper-ingest-";

    // Ours: as long as a sensor's secret.
    private static final int RANDOM_BYTES = 16;

    /** A password that nobody outside this process knows, for the broker inside it. */
    public static IngestLogin random(String username) {
        byte[] secret = new byte[RANDOM_BYTES];
        new SecureRandom().nextBytes(secret);
        return new IngestLogin(username, Base64.getUrlEncoder().withoutPadding().encodeToString(secret));
    }

    /** Without the password, for logs. */
    @Override
    public String toString() {
        return "IngestLogin[" + username + "]";
    }
}
