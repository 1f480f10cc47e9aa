package org.lampkeeper.testing;

import java.io.IOException;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.URLDecoder;
import java.nio.charset.StandardCharsets;
import java.util.HashMap;
import java.util.Map;
import java.util.UUID;
import java.util.concurrent.ConcurrentHashMap;

import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpServer;
import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;
import org.jose4j.jwk.RsaJsonWebKey;
import org.jose4j.jwk.RsaJwkGenerator;
import org.jose4j.jws.AlgorithmIdentifiers;
import org.jose4j.jws.JsonWebSignature;
import org.jose4j.jwt.JwtClaims;
import org.jose4j.lang.JoseException;

/**
 * An identity provider of a test, as far as the authorization code flow of OpenID Connect goes. Whoever comes is at once let in with the
 * claims that the test has {@link #says set}; there is no page to sign in on.
 */
public class IdentityProvider implements QuarkusTestResourceLifecycleManager {

    private static final String CLIENT = "lampkeeper";
    private static final Map<String, Object> CLAIMS = new ConcurrentHashMap<>();

    private final Map<String, Map<String, Object>> codes = new ConcurrentHashMap<>();
    private HttpServer server;
    private RsaJsonWebKey key;
    private String issuer;

    /** What the next to come is told to be. */
    public static void says(Map<String, Object> claims) {
        CLAIMS.clear();
        CLAIMS.putAll(claims);
    }

    @Override
    public Map<String, String> start() {
        try {
            key = RsaJwkGenerator.generateJwk(2048);
            key.setKeyId("test");
            server = HttpServer.create(new InetSocketAddress(InetAddress.getLoopbackAddress(), 0), 0);
        } catch (JoseException | IOException broken) {
            throw new IllegalStateException("no identity provider for a test", broken);
        }
        issuer = "http://localhost:" + server.getAddress().getPort();
        server.createContext("/.well-known/openid-configuration", exchange -> answer(exchange, """
                {"issuer": "%1$s", "authorization_endpoint": "%1$s/authorize", "token_endpoint": "%1$s/token", "jwks_uri": "%1$s/keys"}
                """.formatted(issuer)));
        server.createContext("/keys", exchange -> answer(exchange, "{\"keys\": [" + key.toJson() + "]}"));
        server.createContext("/authorize", this::authorize);
        server.createContext("/token", this::token);
        server.start();
        return Map.of("quarkus.oidc.tenant-enabled", "true", "quarkus.oidc.auth-server-url", issuer, "quarkus.oidc.client-id", CLIENT,
                "quarkus.oidc.credentials.secret", "a-secret-of-the-test-that-is-long-enough");
    }

    private void authorize(HttpExchange exchange) throws IOException {
        Map<String, String> asked = parameters(exchange.getRequestURI().getRawQuery());
        String code = UUID.randomUUID().toString();
        codes.put(code, Map.copyOf(CLAIMS));
        exchange.getResponseHeaders().set("Location", asked.get("redirect_uri") + "?code=" + code + "&state=" + asked.get("state"));
        exchange.sendResponseHeaders(302, -1);
        exchange.close();
    }

    private void token(HttpExchange exchange) throws IOException {
        String body = new String(exchange.getRequestBody().readAllBytes(), StandardCharsets.UTF_8);
        Map<String, Object> claims = codes.remove(parameters(body).get("code"));
        if (claims == null) {
            exchange.sendResponseHeaders(400, -1);
            exchange.close();
            return;
        }
        String token = signed(claims);
        answer(exchange, "{\"token_type\": \"Bearer\", \"expires_in\": 300, \"access_token\": \"%1$s\", \"id_token\": \"%1$s\"}".formatted(token));
    }

    private String signed(Map<String, Object> more) {
        try {
            JwtClaims claims = new JwtClaims();
            claims.setIssuer(issuer);
            claims.setAudience(CLIENT);
            claims.setSubject("somebody");
            claims.setIssuedAtToNow();
            claims.setExpirationTimeMinutesInTheFuture(5);
            more.forEach(claims::setClaim);
            JsonWebSignature signature = new JsonWebSignature();
            signature.setPayload(claims.toJson());
            signature.setKey(key.getPrivateKey());
            signature.setKeyIdHeaderValue(key.getKeyId());
            signature.setAlgorithmHeaderValue(AlgorithmIdentifiers.RSA_USING_SHA256);
            return signature.getCompactSerialization();
        } catch (JoseException broken) {
            throw new IllegalStateException(broken);
        }
    }

    private static Map<String, String> parameters(String encoded) {
        Map<String, String> parameters = new HashMap<>();
        for (String pair : encoded.split("&")) {
            int equals = pair.indexOf('=');
            parameters.put(pair.substring(0, equals), URLDecoder.decode(pair.substring(equals + 1), StandardCharsets.UTF_8));
        }
        return parameters;
    }

    private static void answer(HttpExchange exchange, String json) {
        byte[] bytes = json.getBytes(StandardCharsets.UTF_8);
        exchange.getResponseHeaders().set("Content-Type", "application/json");
        try (OutputStream out = exchange.getResponseBody()) {
            exchange.sendResponseHeaders(200, bytes.length);
            out.write(bytes);
        } catch (IOException gone) {
            throw new UncheckedIOException(gone);
        }
    }

    @Override
    public void stop() {
        server.stop(0);
    }
}
