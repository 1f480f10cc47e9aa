package org.lampkeeper.journal;

import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.HexFormat;
import java.util.OptionalLong;
import java.util.regex.Pattern;

/**
 * What is hashed of an entry, and how. The layout is public (docs/journal.md): a stranger must be able to verify a journal, so a change
 * of it needs a new mark and both must be readable for ever.
 *
 * @param salt 32 hexadecimal digits that nobody could guess; anything else only where somebody tampered with it
 */
record Link(Instant at, String kind, OptionalLong site, OptionalLong cabinet, OptionalLong alarm, String body, String salt) {

    /** Layout 2 of Lampkeeper's journal; the one before it was never released. */
    private static final byte[] MARK = "LKJ2".getBytes(StandardCharsets.US_ASCII);

    private static final Pattern SALT = Pattern.compile("[0-9a-f]{32}");

    /** The head of the chain once this entry follows {@code previous}. */
    Head after(Head previous) {
        return after(previous, digest());
    }

    /** The same of an entry of which only the digest is known, 64 hexadecimal digits. */
    static Head after(Head previous, String digest) {
        ByteBuffer bytes = ByteBuffer.allocate(MARK.length + 32 + Long.BYTES + 32).put(MARK).put(previous.hashBytes()).putLong(previous.number() + 1)
                .put(HexFormat.of().parseHex(digest));
        return new Head(previous.number() + 1, sha256(bytes.array()));
    }

    /** The same entry with this salt. */
    Link salted(String with) {
        return new Link(at, kind, site, cabinet, alarm, body, with);
    }

    /** What stands for the entry in the chain, in hexadecimal; who knows only this cannot tell what the entry says. */
    String digest() {
        return sha256(bytes());
    }

    /** Every field has a fixed width or its length in front, so no two entries share an encoding. */
    byte[] bytes() {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream(128 + body.length());
        try (DataOutputStream out = new DataOutputStream(bytes)) {
            out.write(SALT.matcher(salt).matches() ? HexFormat.of().parseHex(salt) : new byte[16]);
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

    private static String sha256(byte[] bytes) {
        try {
            return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(bytes));
        } catch (NoSuchAlgorithmException impossible) {
            throw new IllegalStateException("every Java platform must provide SHA-256", impossible);
        }
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
