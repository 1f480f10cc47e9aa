package org.lampkeeper.journal;

import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.HexFormat;
import java.util.OptionalLong;

/**
 * What is hashed of an entry, and how. The layout is public (docs/journal.md): a stranger must be able to verify a journal, so a change
 * of it needs a new mark and both must be readable for ever.
 */
record Link(Instant at, String kind, OptionalLong site, OptionalLong cabinet, OptionalLong alarm, String body) {

    /** Layout 1 of Lampkeeper's journal. */
    private static final byte[] MARK = "LKJ1".getBytes(StandardCharsets.US_ASCII);

    /** The head of the chain once this entry follows {@code previous}. */
    Head after(Head previous) {
        try {
            byte[] digest = MessageDigest.getInstance("SHA-256").digest(bytes(previous));
            return new Head(previous.number() + 1, HexFormat.of().formatHex(digest));
        } catch (NoSuchAlgorithmException impossible) {
            throw new IllegalStateException("every Java platform must provide SHA-256", impossible);
        }
    }

    /** Every field has a fixed width or its length in front, so no two entries share an encoding. */
    byte[] bytes(Head previous) {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream(128 + body.length());
        try (DataOutputStream out = new DataOutputStream(bytes)) {
            out.write(MARK);
            out.write(previous.hashBytes());
            out.writeLong(previous.number() + 1);
            out.writeLong(ChronoUnit.MICROS.between(Instant.EPOCH, at));
            writeText(out, kind);
            writeId(out, site);
            writeId(out, cabinet);
            writeId(out, alarm);
            writeText(out, body);
        } catch (IOException impossible) {
            throw new UncheckedIOException("writing into memory", impossible);
        }
        return bytes.toByteArray();
    }

    private static void writeText(DataOutputStream out, String text) throws IOException {
        byte[] utf8 = text.getBytes(StandardCharsets.UTF_8);
        out.writeInt(utf8.length);
        out.write(utf8);
    }

    private static void writeId(DataOutputStream out, OptionalLong id) throws IOException {
        out.writeByte(id.isPresent() ? 1 : 0);
        out.writeLong(id.orElse(0));
    }
}
