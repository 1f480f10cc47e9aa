package org.lampkeeper.message;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.security.GeneralSecurityException;
import java.security.Signature;
import java.time.Instant;
import java.util.Base64;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

/** Against RFC 8292. */
class PushKeysTest {

    private static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");
    private static final String CONTACT = "mailto:operator@watch.example";

    @TempDir
    Path directory;

    /** RFC 8292, section 2.4: its token and its key. */
    @Test
    void tokenOfTheStandardIsGenuineByTheSameMeans() throws GeneralSecurityException {
        String token = "eyJ0eXAiOiJKV1QiLCJhbGciOiJFUzI1NiJ9.eyJhdWQiOiJodHRwczovL3B1c2guZXhhbXBsZS5uZXQiLCJleHAiOjE0NTM1MjM3NjgsInN1YiI6Im1haWx0bzpwdXNoQGV4YW1wbGUuY29tIn0"
                + ".i3CYb7t4xfxCDquptFOepC9GAu_HLGkMlMuCGSK2rpiUfnK9ojFwDXb1JrErtmysazNjjvW2L9OkSSHzvoD1oA";
        String key = "BA1Hxzyi1RUM1b5wjxsn7nGxAszw2u61m164i3MrAIxHF6YK5h4SDYic-dRuU_RCPCfA5aq9ojSwk5Y2EmClBPs";

        assertThat(isGenuine(token, key)).isTrue();
        assertThat(isGenuine(token.replace("eyJhdWQi", "eyJhdWQj"), key)).isFalse();
    }

    @Test
    void ourOwnTokenIsGenuineAndSaysForWhomAndUntilWhen() throws GeneralSecurityException {
        PushKeys keys = new PushKeys(KeyFile.at(directory.resolve("push.json")));
        String header = keys.authorization(1, URI.create("https://Push.example:443/send/x?y"), CONTACT, NOON).orElseThrow();
        String token = header.replaceAll("vapid t=([^,]+), k=.*", "$1");

        assertThat(header).endsWith(", k=" + keys.publicKey(1).orElseThrow());
        assertThat(isGenuine(token, keys.publicKey(1).orElseThrow())).isTrue();
        assertThat(decoded(token.split("\\.")[0])).isEqualTo("{\"typ\":\"JWT\",\"alg\":\"ES256\"}");
        assertThat(decoded(token.split("\\.")[1])).isEqualTo("{\"aud\":\"https://push.example\",\"exp\":" + NOON.plusSeconds(12 * 3600).getEpochSecond()
                + ",\"sub\":\"" + CONTACT + "\"}");
    }

    @ParameterizedTest
    @CsvSource({"https://push.example/a, https://push.example", "https://push.example:8443/a, https://push.example:8443", "http://127.0.0.1:80/a, http://127.0.0.1:80"})
    void tokenIsForTheOriginAlone(String service, String audience) {
        PushKeys keys = new PushKeys(KeyFile.at(directory.resolve("push.json")));
        String header = keys.authorization(1, URI.create(service), CONTACT, NOON).orElseThrow();

        assertThat(decoded(header.split("[.]")[1])).contains("\"aud\":\"" + audience + "\"");
    }

    @Test
    void newerKeyIsForNewPhonesAndTheOlderSignsOnUntilItIsRemoved() throws IOException {
        Path file = directory.resolve("push.json");
        PushKeys keys = new PushKeys(KeyFile.at(file));
        String first = keys.publicKey(1).orElseThrow();
        String secret = Files.readString(file).replaceAll("(?s).*\"1\"\\s*:\\s*(\"[^\"]+\").*", "$1");
        written(file, "{\"1\":" + secret + ",\"2\":\"" + Base64.getEncoder().encodeToString(new byte[32]) + "\"}", 1);

        assertThat(keys.newest()).isEqualTo(2);
        assertThat(keys.publicKey(1)).contains(first);
        assertThat(keys.publicKey(2)).isPresent().isNotEqualTo(keys.publicKey(1));
        written(file, "{\"2\":\"" + Base64.getEncoder().encodeToString(new byte[32]) + "\"}", 2);
        assertThat(keys.publicKey(1)).isEmpty();
        assertThat(keys.authorization(1, URI.create("https://push.example/a"), CONTACT, NOON)).isEmpty();
    }

    private static void written(Path file, String text, int later) throws IOException {
        Files.writeString(file, text);
        Files.setLastModifiedTime(file, FileTime.from(Instant.now().plusSeconds(10L * later)));
    }

    private static boolean isGenuine(String token, String key) throws GeneralSecurityException {
        int dot = token.lastIndexOf('.');
        Signature signature = Signature.getInstance("SHA256withECDSAinP1363Format");
        signature.initVerify(Point256.publicKey(Base64.getUrlDecoder().decode(key)));
        signature.update(token.substring(0, dot).getBytes(StandardCharsets.US_ASCII));
        return signature.verify(Base64.getUrlDecoder().decode(token.substring(dot + 1)));
    }

    private static String decoded(String part) {
        return new String(Base64.getUrlDecoder().decode(part), StandardCharsets.UTF_8);
    }
}
