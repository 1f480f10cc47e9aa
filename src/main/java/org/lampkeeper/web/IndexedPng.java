package org.lampkeeper.web;

import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.zip.CRC32;
import java.util.zip.DeflaterOutputStream;

/**
 * An image of at most 256 colours in PNG's own words (W3C, Portable Network Graphics, third edition: sections 5 and 11.2), with no filter, which section
 * 12.7 advises for such images. The Java library's writer tries all five filters on every line of exactly these: with it a picture took most of what a
 * message costs, and was larger.
 */
final class IndexedPng {

    private static final byte[] SIGNATURE = {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
    private static final int BITS = 8;
    private static final int OF_A_PALETTE = 3;
    private static final int MOST = 256;

    private IndexedPng() {
    }

    /**
     * @param places  line after line, for each dot the place of its colour in {@code palette}
     * @param palette at most 256 colours, red in bits 16 to 23, green in 8 to 15, blue in 0 to 7
     */
    static byte[] of(int width, int height, byte[] places, int[] palette) {
        if (places.length != width * height || palette.length > MOST) {
            throw new IllegalArgumentException(places.length + " dots and " + palette.length + " colours for an image of " + width + " by " + height);
        }
        ByteArrayOutputStream png = new ByteArrayOutputStream();
        png.writeBytes(SIGNATURE);
        chunk(png, "IHDR", to -> {
            to.writeInt(width);
            to.writeInt(height);
            // The only compression and the only set of filters there are, and not interlaced.
            to.write(new byte[] {BITS, OF_A_PALETTE, 0, 0, 0});
        });
        chunk(png, "PLTE", to -> {
            for (int colour : palette) {
                to.write(new byte[] {(byte) (colour >> 16), (byte) (colour >> 8), (byte) colour});
            }
        });
        chunk(png, "IDAT", to -> {
            DeflaterOutputStream small = new DeflaterOutputStream(to);
            for (int line = 0; line < height; line++) {
                small.write(0);
                small.write(places, line * width, width);
            }
            small.finish();
        });
        chunk(png, "IEND", to -> { });
        return png.toByteArray();
    }

    private interface Content {
        void write(DataOutputStream to) throws IOException;
    }

    /** Its length, its kind, what is in it, and a check over the last two. */
    private static void chunk(ByteArrayOutputStream png, String kind, Content content) {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        bytes.writeBytes(kind.getBytes(StandardCharsets.US_ASCII));
        CRC32 check = new CRC32();
        try {
            content.write(new DataOutputStream(bytes));
            check.update(bytes.toByteArray());
            DataOutputStream to = new DataOutputStream(png);
            to.writeInt(bytes.size() - kind.length());
            bytes.writeTo(to);
            to.writeInt((int) check.getValue());
        } catch (IOException inMemory) {
            throw new IllegalStateException("writing an image into memory failed", inMemory);
        }
    }
}
