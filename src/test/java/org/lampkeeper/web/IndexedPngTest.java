package org.lampkeeper.web;

import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.util.Random;

import javax.imageio.ImageIO;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class IndexedPngTest {

    /** Held against another reader of the same standard: the Java library's. */
    @Property(tries = 200)
    void everyDotIsReadAsItWasWritten(@ForAll @IntRange(min = 1, max = 70) int width, @ForAll @IntRange(min = 1, max = 50) int height,
            @ForAll @IntRange(min = 1, max = 256) int colours, @ForAll long seed) throws IOException {
        Random lot = new Random(seed);
        int[] palette = lot.ints(colours, 0, 1 << 24).toArray();
        byte[] places = new byte[width * height];
        for (int i = 0; i < places.length; i++) {
            places[i] = (byte) lot.nextInt(colours);
        }

        BufferedImage read = ImageIO.read(new ByteArrayInputStream(IndexedPng.of(width, height, places, palette)));

        assertThat(read.getWidth()).isEqualTo(width);
        assertThat(read.getHeight()).isEqualTo(height);
        for (int i = 0; i < places.length; i++) {
            assertThat(read.getRGB(i % width, i / width)).isEqualTo(0xff000000 | palette[places[i] & 0xff]);
        }
    }

    /** W3C, Portable Network Graphics, third edition, 5.2 (signature), 11.2.1 (the first chunk), 11.2.4 (the last, whose check is always this). */
    @Test
    void beginsAndEndsAsTheStandardSays() {
        byte[] png = IndexedPng.of(3, 2, new byte[6], new int[] {0xfffdf8});

        assertThat(png).startsWith(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 'I', 'H', 'D', 'R', 0, 0, 0, 3, 0, 0, 0, 2, 8, 3, 0, 0, 0);
        assertThat(png).endsWith(0, 0, 0, 0, 'I', 'E', 'N', 'D', 0xae, 0x42, 0x60, 0x82);
    }

    @Test
    void dotsThatDoNotFillItAreRefused() {
        assertThatThrownBy(() -> IndexedPng.of(3, 2, new byte[5], new int[] {0})).hasMessageContaining("5 dots").hasMessageContaining("3 by 2");
    }
}
