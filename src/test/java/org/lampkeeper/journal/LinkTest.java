package org.lampkeeper.journal;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.HexFormat;
import java.util.OptionalLong;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Assume;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class LinkTest {

    private static final Instant AT = Instant.parse("2026-11-25T02:41:20.000001Z");

    @Test
    void layoutIsTheOneOfTheDocumentation() throws Exception {
        Link link = new Link(AT, "loss-confirmed", OptionalLong.of(3), OptionalLong.of(7), OptionalLong.empty(), "{\"é\":1}",
                "000102030405060708090a0b0c0d0e0f");

        // written out by hand from the table in docs/journal.md
        String bytes = "000102030405060708090a0b0c0d0e0f" + "00066110c30c5401"
                + "0000000e" + HexFormat.of().formatHex("loss-confirmed".getBytes(StandardCharsets.US_ASCII))
                + "01" + "0000000000000003" + "01" + "0000000000000007" + "00" + "0000000000000000"
                + "00000008" + "7b22c3a9223a317d";
        assertThat(ChronoUnit.MICROS.between(Instant.EPOCH, AT)).isEqualTo(Long.parseLong("00066110c30c5401", 16));
        assertThat(HexFormat.of().formatHex(link.bytes())).isEqualTo(bytes);
        String digest = sha256(bytes);
        assertThat(link.digest()).isEqualTo(digest);
        assertThat(link.after(Head.EMPTY)).isEqualTo(new Head(1, sha256("4c4b4a32" + "00".repeat(32) + "0000000000000001" + digest)));
    }

    /** Texts from a tiny alphabet and small ids, so that two different entries often consist of the same characters in another split. */
    @Property(tries = 5000)
    void noTwoDifferentEntriesAreEncodedTheSame(@ForAll("placed") Placed one, @ForAll("placed") Placed other) {
        Assume.that(!one.equals(other));

        assertThat(one.link().after(one.previous())).isNotEqualTo(other.link().after(other.previous()));
    }

    @Property
    void encodingDependsOnNothingElse(@ForAll("placed") Placed one) {
        Link copy = new Link(one.link().at(), new String(one.link().kind()), one.link().site(), one.link().cabinet(), one.link().alarm(),
                new String(one.link().body()), new String(one.link().salt()));

        assertThat(copy.after(one.previous())).isEqualTo(one.link().after(one.previous()));
    }

    private static String sha256(String hex) throws Exception {
        return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(HexFormat.of().parseHex(hex)));
    }

    record Placed(Head previous, Link link) {
    }

    @Provide
    Arbitrary<Placed> placed() {
        Arbitrary<OptionalLong> id = Arbitraries.longs().between(0, 2).injectNull(0.3)
                .map(value -> value == null ? OptionalLong.empty() : OptionalLong.of(value));
        Arbitrary<String> text = Arbitraries.strings().withChars('a', '\u0000', '\u0001', 'é').ofMaxLength(3);
        Arbitrary<Head> head = Combinators.combine(Arbitraries.longs().between(0, 1), Arbitraries.of("0", "a"))
                .as((number, digit) -> new Head(number, digit.repeat(64)));
        Arbitrary<Instant> at = Arbitraries.longs().between(-1, 1).map(micros -> Instant.EPOCH.plus(micros, ChronoUnit.MICROS));
        Arbitrary<Link> link = Combinators.combine(at, text, id, id, id, text, Arbitraries.of("0", "a").map(digit -> digit.repeat(32))).as(Link::new);
        return Combinators.combine(head, link).as(Placed::new);
    }
}
