package org.lampkeeper.journal;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class EntryTest {

    private static final Instant AT = Instant.parse("2026-11-25T02:41:20.123456789Z");

    @Test
    void bodyHasSortedKeysAndIsoTimesAtEveryLevel() {
        Entry entry = Entry.of(AT, "loss-confirmed").with("since", AT).with("after", Duration.ofSeconds(20))
                .with("near", List.of(Map.of("z", 1, "a", Optional.of("é")), true)).with("gone", Optional.empty()).with("inside", 9.5);

        assertThat(entry.body()).isEqualTo(
                "{\"after\":\"PT20S\",\"inside\":9.5,\"near\":[{\"a\":\"é\",\"z\":1},true],\"since\":\"2026-11-25T02:41:20.123456789Z\"}");
    }

    @Test
    void momentIsKeptToTheMicrosecondAsBothDatabasesKeepIt() {
        assertThat(Entry.of(AT, "loss-confirmed").at()).isEqualTo(Instant.parse("2026-11-25T02:41:20.123456Z"));
    }

    @Test
    void furtherFactLeavesTheFirstEntryAsItWas() {
        Entry first = Entry.of(AT, "loss-confirmed").with("a", 1);
        first.with("b", 2);

        assertThat(first.body()).isEqualTo("{\"a\":1}");
    }

    @Test
    void longTextIsCutAndNotInTheMiddleOfACharacter() {
        String body = Entry.of(AT, "message-attempt-failed").with("error", "x".repeat(998) + "😀😀").body();

        assertThat(body).isEqualTo("{\"error\":\"" + "x".repeat(998) + "…\"}");
    }

    @Test
    void unpairedSurrogateIsReplacedBecauseItHasNoUtf8Form() {
        assertThat(Entry.of(AT, "note-written").with("text", "a\uD83Db").body()).isEqualTo("{\"text\":\"a?b\"}");
    }

    @Test
    void numberThatIsNotFiniteIsRefusedByName() {
        assertThatThrownBy(() -> Entry.of(AT, "report-heard").with("inside", Double.NaN)).hasMessageContaining("'inside'");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "Loss", "loss confirmed", "-loss", "loss-", "a23456789-123456789-123456789-123456789-123456789"})
    void kindThatIsNoPhraseIsRefused(String kind) {
        assertThatThrownBy(() -> Entry.of(AT, kind)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining(kind);
    }
}
