package org.lampkeeper.message;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;

/**
 * A text as a mobile network carries it: in one part where it can be, otherwise in several that the telephone joins. Pure.
 *
 * <p>Source: 3GPP TS 23.038, section 6.2.1 (default alphabet) and 6.2.1.1 (its extension); 3GPP TS 23.040, section 9.2.3.24.1 (concatenation).
 */
final class ShortText {

    /** 3GPP TS 23.038, 6.2.1: by code, 0 to 127. The escape to the extension table stands as a no-break space, which nothing writes. */
    private static final String DEFAULT = "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\u00a0ÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§"
            + "¿abcdefghijklmnopqrstuvwxyzäöñüà";
    private static final int ESCAPE = 0x1B;
    /** 3GPP TS 23.038, 6.2.1.1: what takes two septets, and the second of them. */
    private static final String EXTENSION = "\f^{}\\[~]|€";
    private static final int[] EXTENSION_CODES = {0x0A, 0x14, 0x28, 0x29, 0x2F, 0x3C, 0x3D, 0x3E, 0x40, 0x65};

    /** 3GPP TS 23.040: 140 octets are 160 septets; a header of 6 octets leaves 153. */
    private static final int SEPTETS_ALONE = 160;
    private static final int SEPTETS_OF_SEVERAL = 153;
    /** The same in 16-bit units. */
    private static final int UNITS_ALONE = 70;
    private static final int UNITS_OF_SEVERAL = 67;
    /** 3GPP TS 23.040: the parts are counted in one octet. Ours is far less: nobody reads a book at night. */
    private static final int MOST_PARTS = 10;

    /** By character, up to the last that is in either table: how many septets it takes; 0 where it is in neither. */
    private static final byte[] TAKES = takes();

    private ShortText() {
    }

    private static byte[] takes() {
        byte[] takes = new byte['€' + 1];
        DEFAULT.chars().filter(each -> each != '\u00a0').forEach(each -> takes[each] = 1);
        EXTENSION.chars().forEach(each -> takes[each] = 2);
        return takes;
    }

    /**
     * @param octets    one septet an octet, or UTF-16 big-endian, after the header where there is one
     * @param isUnicode UCS-2 instead of the default alphabet
     * @param hasHeader whether the octets begin with a user data header
     */
    record Part(byte[] octets, boolean isUnicode, boolean hasHeader) {
        Part {
            octets = octets.clone();
        }

        @Override
        public byte[] octets() {
            return octets.clone();
        }
    }

    /** The same without what the default alphabet lacks and a reader does not miss: the sign for degrees, long dashes, curly quotes. */
    static String plain(String text) {
        if (text.chars().allMatch(each -> each == '\n' || each == '\r' || (each >= ' ' && each <= '~'))) {
            return text;
        }
        return text.replaceAll("\\s*°\\s*C\\b", " C").replace("°", " deg").replaceAll("[–—−]", "-").replaceAll("[‘’]", "'").replaceAll("[“”„]", "\"")
                .replace("…", "...").replace('\u00a0', ' ').replaceAll("[\\t\\f]", " ");
    }

    /** Septets that the text takes in the default alphabet; -1 where it has a character that is in neither table. */
    static int septets(String text) {
        int septets = 0;
        for (int i = 0; i < text.length(); i++) {
            char each = text.charAt(i);
            if (each >= TAKES.length || TAKES[each] == 0) {
                return -1;
            }
            septets += TAKES[each];
        }
        return septets;
    }

    /**
     * The first of these that goes in one part of the default alphabet with {@code end} after it; the last where none does. The end is never
     * shortened.
     *
     * @param texts the same in ever fewer words; one or more
     */
    static String fitting(List<String> texts, String end) {
        return texts.stream().map(text -> plain(text + end)).filter(text -> septets(text) >= 0 && septets(text) <= SEPTETS_ALONE).findFirst()
                .orElseGet(() -> plain(texts.get(texts.size() - 1) + end));
    }

    /**
     * The parts in order; of a text that takes more than ten, the first ten.
     *
     * @param reference the same for all parts of one text, and unlike that of the text before
     */
    static List<Part> parts(String text, int reference) {
        String plain = plain(text);
        boolean isUnicode = septets(plain) < 0;
        int whole = isUnicode ? plain.length() : septets(plain);
        if (whole <= (isUnicode ? UNITS_ALONE : SEPTETS_ALONE)) {
            return List.of(new Part(octets(plain, isUnicode), isUnicode, false));
        }
        List<String> pieces = pieces(plain, isUnicode);
        List<Part> parts = new ArrayList<>();
        for (String piece : pieces) {
            ByteArrayOutputStream written = new ByteArrayOutputStream();
            // 3GPP TS 23.040, 9.2.3.24.1: header length 5, element 0 (concatenation, 8-bit reference) of length 3, reference, of how many, which.
            written.writeBytes(new byte[]{5, 0, 3, (byte) reference, (byte) pieces.size(), (byte) (parts.size() + 1)});
            written.writeBytes(octets(piece, isUnicode));
            parts.add(new Part(written.toByteArray(), isUnicode, true));
        }
        return parts;
    }

    /** Cut neither within an escaped character nor within a surrogate pair. */
    private static List<String> pieces(String text, boolean isUnicode) {
        List<String> pieces = new ArrayList<>();
        int room = isUnicode ? UNITS_OF_SEVERAL : SEPTETS_OF_SEVERAL;
        StringBuilder piece = new StringBuilder();
        int used = 0;
        for (int i = 0; i < text.length();) {
            String character = new String(Character.toChars(text.codePointAt(i)));
            int takes = isUnicode ? character.length() : septets(character);
            if (used + takes > room) {
                pieces.add(piece.toString());
                piece.setLength(0);
                used = 0;
            }
            piece.append(character);
            used += takes;
            i += character.length();
        }
        pieces.add(piece.toString());
        return pieces.subList(0, Math.min(MOST_PARTS, pieces.size()));
    }

    /** What these octets of the default alphabet say; a code that is in neither table stands as a space (3GPP TS 23.038, 6.2.1.1). */
    static String text(byte[] septets) {
        StringBuilder text = new StringBuilder();
        for (int i = 0; i < septets.length; i++) {
            if (septets[i] == ESCAPE && i + 1 < septets.length) {
                text.append(extended(septets[++i]));
            } else {
                text.append(septets[i] < 0 || septets[i] == ESCAPE ? ' ' : DEFAULT.charAt(septets[i]));
            }
        }
        return text.toString();
    }

    private static char extended(byte code) {
        for (int i = 0; i < EXTENSION_CODES.length; i++) {
            if (EXTENSION_CODES[i] == code) {
                return EXTENSION.charAt(i);
            }
        }
        return ' ';
    }

    private static byte[] octets(String text, boolean isUnicode) {
        if (isUnicode) {
            return text.getBytes(StandardCharsets.UTF_16BE);
        }
        ByteArrayOutputStream written = new ByteArrayOutputStream();
        for (char each : text.toCharArray()) {
            int extended = EXTENSION.indexOf(each);
            if (extended >= 0) {
                written.write(ESCAPE);
                written.write(EXTENSION_CODES[extended]);
            } else {
                written.write(DEFAULT.indexOf(each));
            }
        }
        return written.toByteArray();
    }
}
