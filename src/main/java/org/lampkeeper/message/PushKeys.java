package org.lampkeeper.message;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.Signature;
import java.security.interfaces.ECPrivateKey;
import java.security.interfaces.ECPublicKey;
import java.time.Duration;
import java.time.Instant;
import java.util.Base64;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ConcurrentHashMap;

import jakarta.inject.Inject;
import jakarta.inject.Singleton;

/**
 * Shows a push service who sends: RFC 8292. A browser ties its subscription to the key that was newest then, so that a subscription names its key, and
 * an older key goes on signing for those of its time. Safe for use by many threads.
 */
@Singleton
class PushKeys {

    /** RFC 8292, section 2: at most 24 hours. Ours: half of that, since clocks differ. */
    private static final Duration LIFE = Duration.ofHours(12);

    private static final Base64.Encoder BASE64 = Base64.getUrlEncoder().withoutPadding();

    private final KeyFile keys;
    private final Map<Integer, Pair> known = new ConcurrentHashMap<>();

    private record Pair(ECPrivateKey own, ECPublicKey open) {
    }

    @Inject
    PushKeys(PushConfig config) {
        this(KeyFile.at(Path.of(config.keys())));
    }

    PushKeys(KeyFile keys) {
        this.keys = keys;
    }

    /** The id of the key that a new subscription is tied to. */
    int newest() {
        return keys.newest().id();
    }

    /** As a browser asks for it; empty when the key has been removed from the file. */
    Optional<String> publicKey(int id) {
        return pair(id).map(pair -> BASE64.encodeToString(Point256.bytes(pair.open())));
    }

    private Optional<Pair> pair(int id) {
        return keys.find(id).map(key -> known.computeIfAbsent(id, unknown -> {
            ECPrivateKey own = Point256.privateKeyFrom(key.secret());
            return new Pair(own, Point256.publicKeyOf(own));
        }));
    }

    /** The header {@code Authorization}; empty when the key has been removed from the file. */
    Optional<String> authorization(int id, URI service, String contact, Instant now) {
        return pair(id).map(pair -> "vapid t=" + token(pair.own(), audience(service), contact, now.plus(LIFE)) + ", k="
                + BASE64.encodeToString(Point256.bytes(pair.open())));
    }

    /** RFC 6454, section 6.2: the origin, without the port that is usual. */
    private static String audience(URI service) {
        String port = service.getPort() < 0 || service.getPort() == 443 && service.getScheme().equalsIgnoreCase("https") ? "" : ":" + service.getPort();
        return service.getScheme().toLowerCase(Locale.ROOT) + "://" + service.getHost().toLowerCase(Locale.ROOT) + port;
    }

    /** RFC 7519, signed by ES256 of RFC 7518, section 3.4. Nothing in it needs escaping: addresses have neither quotes nor backslashes. */
    static String token(ECPrivateKey key, String audience, String contact, Instant end) {
        if ((audience + contact).matches(".*[\"\\\\\\p{Cntrl}].*")) {
            throw new IllegalArgumentException("an address with a quote, a backslash or a control character in it");
        }
        String signed = BASE64.encodeToString("{\"typ\":\"JWT\",\"alg\":\"ES256\"}".getBytes(StandardCharsets.US_ASCII)) + "."
                + BASE64.encodeToString(("{\"aud\":\"" + audience + "\",\"exp\":" + end.getEpochSecond() + ",\"sub\":\"" + contact + "\"}").getBytes(StandardCharsets.UTF_8));
        try {
            Signature signature = Signature.getInstance("SHA256withECDSAinP1363Format");
            signature.initSign(key);
            signature.update(signed.getBytes(StandardCharsets.US_ASCII));
            return signed + "." + BASE64.encodeToString(signature.sign());
        } catch (GeneralSecurityException missing) {
            throw new IllegalStateException("this Java does not sign by ES256, which every Java 17 does", missing);
        }
    }
}
