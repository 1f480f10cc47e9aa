package org.lampkeeper.message;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Instant;
import java.util.Base64;
import java.util.concurrent.Callable;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class LinkTokensTest {

    private static final Instant END = Instant.parse("2026-11-26T02:41:00Z");
    private static final Instant BEFORE = END.minusNanos(1);

    @TempDir
    Path folder;

    private Path file() {
        return folder.resolve("keys").resolve("links.json");
    }

    private LinkTokens tokens() {
        return new LinkTokens(KeyFile.at(file()));
    }

    @Test
    void tokenTellsWhatItWasIssuedForUntilItsEnd() {
        String token = tokens().issue(12, 1049, END);

        assertThat(tokens().read(token, BEFORE)).isEqualTo(new LinkReading.Valid(12, 1049, END));
        assertThat(tokens().read(token, END)).isEqualTo(new LinkReading.Expired(12, 1049, END));
    }

    @Test
    void tokenIsShortAndStandsInALinkAsItIs() {
        assertThat(tokens().issue(Long.MAX_VALUE, Long.MAX_VALUE, END)).matches("[A-Za-z0-9_-]{58}");
    }

    @Test
    void tokenWithAnyCharacterAlteredIsNotOurs() {
        LinkTokens tokens = tokens();
        String token = tokens.issue(12, 1049, END);

        for (int i = 0; i < token.length(); i++) {
            for (char other : "AZaz09-_".toCharArray()) {
                if (token.charAt(i) != other) {
                    String altered = token.substring(0, i) + other + token.substring(i + 1);
                    assertThat(tokens.read(altered, BEFORE)).as(altered).isEqualTo(new LinkReading.NotOurs());
                }
            }
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "x", "' OR 1=1 --", "../../etc/passwd", "%00", "ééééééééééééééééééééééééééééééééééééééééééééééééééééééééééé",
        "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA="})
    void whatIsNoTokenIsNotOurs(String text) {
        assertThat(tokens().read(text, BEFORE)).isEqualTo(new LinkReading.NotOurs());
    }

    @Test
    void tokenCutShortOrContinuedIsNotOurs() {
        String token = tokens().issue(12, 1049, END);

        assertThat(tokens().read(token.substring(1), BEFORE)).isEqualTo(new LinkReading.NotOurs());
        assertThat(tokens().read(token + "A", BEFORE)).isEqualTo(new LinkReading.NotOurs());
        assertThat(tokens().read(token + "=", BEFORE)).isEqualTo(new LinkReading.NotOurs());
    }

    @Test
    void tokenSignedWithAnotherInstallationsKeyIsNotOurs() {
        String foreign = new LinkTokens(KeyFile.at(folder.resolve("others.json"))).issue(12, 1049, END);

        assertThat(tokens().read(foreign, BEFORE)).isEqualTo(new LinkReading.NotOurs());
    }

    @Test
    void newKeySignsFromThenOnAndOldLinksStayGoodUntilTheirKeyIsRemoved() throws IOException {
        LinkTokens tokens = tokens();
        String old = tokens.issue(12, 1049, END);
        String first = Files.readString(file());

        String second = Base64.getEncoder().encodeToString(new byte[32]);
        write(first.replaceAll("\\}\\s*$", ", \"2\": \"" + second + "\"}"));
        String renewed = tokens.issue(12, 1049, END);
        assertThat(renewed).isNotEqualTo(old);
        assertThat(tokens.read(old, BEFORE)).isInstanceOf(LinkReading.Valid.class);
        assertThat(tokens.read(renewed, BEFORE)).isInstanceOf(LinkReading.Valid.class);

        write("{\"2\": \"" + second + "\"}");
        assertThat(tokens.read(old, BEFORE)).isEqualTo(new LinkReading.NotOurs());
        assertThat(tokens.read(renewed, BEFORE)).isInstanceOf(LinkReading.Valid.class);
    }

    @Test
    void halfWrittenFileLeavesTheKeysInUse() throws IOException {
        LinkTokens tokens = tokens();
        String token = tokens.issue(12, 1049, END);

        write("{\"1\": \"");

        assertThat(tokens.read(token, BEFORE)).isInstanceOf(LinkReading.Valid.class);
    }

    @Test
    void keysAreMadeForTheirOwnerOnly() throws IOException {
        tokens();

        assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(file()))).isEqualTo("rw-------");
        assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(file().getParent()))).isEqualTo("rwx------");
    }

    @Test
    void instancesThatStartTogetherShareOneKey() throws Exception {
        ExecutorService instances = Executors.newFixedThreadPool(8);
        var issued = instances.invokeAll(IntStream.range(0, 8).<Callable<String>> mapToObj(i -> () -> tokens().issue(12, 1049, END)).toList());
        instances.shutdown();

        for (var token : issued) {
            assertThat(tokens().read(token.get(), BEFORE)).isInstanceOf(LinkReading.Valid.class);
        }
        try (var files = Files.list(file().getParent())) {
            assertThat(files).containsExactly(file());
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "[]", "{}", "{\"1\": \"short\"}", "{\"1\": \"QUJD\"}", "{\"0\": \"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\"}",
        "{\"65536\": \"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\"}", "{\"one\": \"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\"}"})
    void fileThatIsWrongStopsTheStartAndIsNamedWithoutItsSecrets(String text) throws IOException {
        Files.createDirectories(file().getParent());
        write(text);

        assertThatThrownBy(this::tokens).isInstanceOf(IllegalStateException.class).hasMessageContaining(file().toString())
                .hasMessageNotContaining("AAAA").hasMessageNotContaining("QUJD");
    }

    @Test
    void maskedTokenCannotBeUsed() {
        assertThat(LinkTokens.masked("abcdefgh")).isEqualTo("abcd…");
        assertThat(LinkTokens.masked("ab")).isEqualTo("ab…");
    }

    private int writes;

    /** As an editor would, with a time of its own even on a clock of whole seconds. */
    private void write(String text) throws IOException {
        Files.writeString(file(), text);
        Files.setLastModifiedTime(file(), FileTime.from(Instant.parse("2026-11-25T00:00:00Z").plusSeconds(++writes)));
    }
}
