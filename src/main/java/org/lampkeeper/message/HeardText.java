package org.lampkeeper.message;

import java.nio.ByteBuffer;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Optional;

/**
 * A text that a person sent, or a part of one, as the network hands it over. Pure.
 *
 * @param part which of several it is; empty where it is all
 */
record HeardText(String text, Optional<Part> part) {

    /** 3GPP TS 23.040, 9.2.3.24.1 and .8: concatenation with a reference of one octet, of two. */
    private static final int CONCATENATED = 0x00;
    private static final int CONCATENATED_16_BIT = 0x08;
    /** 3GPP TS 23.040, 9.2.2.3 with a header: no part holds more. */
    private static final int LONGEST_PART = 160;
    /** Ours, as in what we send: nobody reads a book at night. */
    private static final int MOST_PARTS = 10;
    private static final int LONGEST = LONGEST_PART * MOST_PARTS;

    /**
     * @param reference the same for all parts of one text
     * @param count     how many there are, 2 to 10
     * @param number    which it is, from 1
     */
    record Part(int reference, int count, int number) {
    }

    /**
     * Empty for what is no text, such as a picture, or a part of what is too long for one.
     *
     * @param coding    SMPP 3.4, 5.2.19
     * @param hasHeader whether the octets begin with a user data header
     * @param segment   what the network says beside it of its place among the parts (SMPP 3.4, 5.3.2.22 to 24)
     */
    static Optional<HeardText> of(byte[] octets, byte coding, boolean hasHeader, Optional<Part> segment) {
        int header = hasHeader && octets.length > 0 ? 1 + Byte.toUnsignedInt(octets[0]) : 0;
        if (header > octets.length) {
            return Optional.empty();
        }
        Optional<Part> part = segment.or(() -> concatenation(Arrays.copyOf(octets, header)));
        if (part.filter(it -> it.count() < 1 || it.count() > MOST_PARTS || it.number() < 1 || it.number() > it.count()).isPresent()) {
            return Optional.empty();
        }
        return decoded(Arrays.copyOfRange(octets, header, octets.length), coding).map(HeardText::storable)
                .map(text -> new HeardText(text.substring(0, Math.min(part.isPresent() ? LONGEST_PART : LONGEST, text.length())),
                        part.filter(it -> it.count() > 1)));
    }

    private static Optional<Part> concatenation(byte[] header) {
        ByteBuffer elements = ByteBuffer.wrap(header);
        if (elements.hasRemaining()) {
            elements.get();
        }
        while (elements.remaining() >= 2) {
            int element = Byte.toUnsignedInt(elements.get());
            int length = Byte.toUnsignedInt(elements.get());
            if (length > elements.remaining()) {
                return Optional.empty();
            }
            if (element == CONCATENATED && length == 3) {
                return Optional.of(part(Byte.toUnsignedInt(elements.get()), elements));
            }
            if (element == CONCATENATED_16_BIT && length == 4) {
                return Optional.of(part(Short.toUnsignedInt(elements.getShort()), elements));
            }
            elements.position(elements.position() + length);
        }
        return Optional.empty();
    }

    private static Part part(int reference, ByteBuffer rest) {
        return new Part(reference, Byte.toUnsignedInt(rest.get()), Byte.toUnsignedInt(rest.get()));
    }

    private static Optional<String> decoded(byte[] octets, byte coding) {
        int code = Byte.toUnsignedInt(coding);
        // 3GPP TS 23.038, section 4: with a class, bit 2 tells octets that are no text from the default alphabet; the general group has
        // the alphabet in bits 2 and 3, as SMPP has it for the values that both know.
        if (code >= 0xF0) {
            return (code & 0x04) == 0 ? Optional.of(ShortText.text(octets)) : Optional.empty();
        }
        return switch (code) {
            case 0x00, 0x10, 0x11, 0x12, 0x13 -> Optional.of(ShortText.text(octets));
            case 0x01 -> Optional.of(new String(octets, StandardCharsets.US_ASCII));
            case 0x03 -> Optional.of(new String(octets, StandardCharsets.ISO_8859_1));
            case 0x06 -> Optional.of(new String(octets, Charset.forName("ISO-8859-5")));
            case 0x07 -> Optional.of(new String(octets, Charset.forName("ISO-8859-8")));
            case 0x08, 0x18, 0x19, 0x1A, 0x1B -> Optional.of(new String(octets, StandardCharsets.UTF_16BE));
            default -> Optional.empty();
        };
    }

    /** PostgreSQL stores neither NUL nor half a surrogate pair. */
    private static String storable(String text) {
        return new String(text.getBytes(StandardCharsets.UTF_8), StandardCharsets.UTF_8).replaceAll("\\p{Cntrl}", " ");
    }
}
