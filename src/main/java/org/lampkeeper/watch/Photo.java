package org.lampkeeper.watch;

import java.awt.Color;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.geom.AffineTransform;
import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Optional;
import java.util.concurrent.Semaphore;

import javax.imageio.IIOImage;
import javax.imageio.ImageIO;
import javax.imageio.ImageReadParam;
import javax.imageio.ImageReader;
import javax.imageio.ImageWriteParam;
import javax.imageio.ImageWriter;
import javax.imageio.stream.ImageInputStream;
import javax.imageio.stream.ImageOutputStream;

import org.lampkeeper.register.Sha256;

/**
 * A photo of what somebody saw, made anew from what they sent: upright, small, and with nothing of the place and the telephone that a camera
 * writes into its files. What cannot be decoded is none. The same bytes make the same photo.
 */
public final class Photo {

    /** Ours: what a telephone sends in some seconds; our own pages make it smaller before. */
    public static final int MOST_BYTES_SENT = 5_000_000;

    /** Ours: enough to read the rating on a device in an open cover. */
    private static final int LONGEST_SIDE = 1600;

    /** Below what H2 takes in one value, 1,048,576 bytes. */
    private static final int MOST_BYTES_KEPT = 900_000;

    /** Ours: no telephone's camera takes more; only the size is read before this is looked at. */
    private static final long MOST_PIXELS = 250_000_000;

    private static final float[] QUALITIES = {0.82f, 0.7f, 0.55f, 0.4f, 0.25f};

    /** So that many at once take no more memory than the machine has: one takes up to 40 MB while it is read. */
    private static final Semaphore AT_ONCE = new Semaphore(2, true);

    private static final int TIFF_ORIENTATION = 0x0112;
    private static final int JPEG_APP1 = 0xE1;
    private static final int JPEG_SCAN = 0xDA;

    private final byte[] jpeg;
    private final String sha256;

    private Photo(byte[] jpeg) {
        this.jpeg = jpeg;
        this.sha256 = Sha256.hex(jpeg);
    }

    /** What was sent is a photo, or is not, and why. */
    public sealed interface Read {

        record Fine(Photo photo) implements Read {
        }

        /** @param why a sentence that says what would be right */
        record Refused(String why) implements Read {
        }
    }

    private static final class NotOurs extends Exception {
        private static final long serialVersionUID = 1L;

        NotOurs(String why) {
            super(why);
        }
    }

    /** A JPEG, to be shown. */
    public byte[] jpeg() {
        return jpeg.clone();
    }

    /** Of {@link #jpeg()}, in small hexadecimal digits. */
    public String sha256() {
        return sha256;
    }

    /** Never throws for what was sent. Takes a second for a large one. */
    public static Read read(byte[] sent) {
        if (sent.length > MOST_BYTES_SENT) {
            return new Read.Refused("The photo has more than " + MOST_BYTES_SENT / 1_000_000 + " MB: choose a smaller size in the camera, or leave it out.");
        }
        Optional<String> format = format(sent);
        if (format.isEmpty()) {
            return new Read.Refused("This is no photo that can be read here: it must be a JPEG or a PNG.");
        }
        AT_ONCE.acquireUninterruptibly();
        try {
            return new Read.Fine(new Photo(encoded(upright(decoded(sent, format.get())))));
        } catch (NotOurs refused) {
            return new Read.Refused(refused.getMessage());
        } catch (IOException | RuntimeException broken) {
            // The decoder throws both for files that are cut off or made up.
            return new Read.Refused("The photo cannot be read: it is broken, or was cut off on its way. Take it again, as a JPEG or a PNG.");
        } finally {
            AT_ONCE.release();
        }
    }

    /** By how it begins: JPEG, ISO/IEC 10918-1 annex B (SOI and a marker); PNG, ISO/IEC 15948 section 5.2. */
    private static Optional<String> format(byte[] sent) {
        if (sent.length > 3 && (sent[0] & 0xff) == 0xff && (sent[1] & 0xff) == 0xd8 && (sent[2] & 0xff) == 0xff) {
            return Optional.of("jpeg");
        }
        return sent.length > 8 && ByteBuffer.wrap(sent).getLong() == 0x89504e470d0a1a0aL ? Optional.of("png") : Optional.empty();
    }

    /** @param orientation as in TIFF 6.0, tag 274: 1 is upright */
    private record Decoded(BufferedImage image, int orientation) {
    }

    private static Decoded decoded(byte[] sent, String format) throws IOException, NotOurs {
        ImageReader reader = ImageIO.getImageReadersByFormatName(format).next();
        try (ImageInputStream in = ImageIO.createImageInputStream(new ByteArrayInputStream(sent))) {
            reader.setInput(in, true, true);
            int width = reader.getWidth(0);
            int height = reader.getHeight(0);
            if ((long) width * height > MOST_PIXELS) {
                throw new NotOurs("The photo has " + width + " by " + height + " points, which is more than can be read here: choose a smaller size in the camera.");
            }
            ImageReadParam param = reader.getDefaultReadParam();
            // Read no finer than twice what is kept: a small file may say that it is an enormous picture.
            int every = Math.max(1, Math.max(width, height) / (2 * LONGEST_SIDE));
            param.setSourceSubsampling(every, every, 0, 0);
            int orientation = format.equals("jpeg") ? orientationOf(sent) : 1;
            return new Decoded(reader.read(0, param), orientation);
        } finally {
            reader.dispose();
        }
    }

    /** By the segments before the picture itself: ISO/IEC 10918-1, annex B.1.1.4. Not by the decoder, which takes no Exif before a JFIF header. */
    private static int orientationOf(byte[] jpeg) {
        int at = 2;
        while (at + 4 <= jpeg.length && (jpeg[at] & 0xff) == 0xff && (jpeg[at + 1] & 0xff) != JPEG_SCAN) {
            int length = ByteBuffer.wrap(jpeg).getShort(at + 2) & 0xffff;
            int end = Math.min(jpeg.length, at + 2 + length);
            int found = (jpeg[at + 1] & 0xff) == JPEG_APP1 && at + 4 <= end ? orientation(Arrays.copyOfRange(jpeg, at + 4, end)) : 1;
            if (found > 1) {
                return found;
            }
            at += 2 + length;
        }
        return 1;
    }

    /** Exif 2.32, sections 4.5.2 and 4.6.4: "Exif", two zeros, a TIFF header, and in its first directory the tag. 1 where it says nothing that can be read. */
    static int orientation(byte[] app1) {
        int start = 6;
        if (app1.length < start + 10 || !new String(app1, 0, 4, StandardCharsets.US_ASCII).equals("Exif")) {
            return 1;
        }
        ByteBuffer tiff = ByteBuffer.wrap(app1, start, app1.length - start).slice();
        tiff.order(tiff.get(0) == 'I' ? ByteOrder.LITTLE_ENDIAN : ByteOrder.BIG_ENDIAN);
        long directory = tiff.getInt(4) & 0xffffffffL;
        if (directory < 8 || directory + 2 > tiff.limit()) {
            return 1;
        }
        int entries = tiff.getShort((int) directory) & 0xffff;
        for (int i = 0; i < entries; i++) {
            int at = (int) directory + 2 + 12 * i;
            if (at + 12 > tiff.limit()) {
                return 1;
            }
            if ((tiff.getShort(at) & 0xffff) == TIFF_ORIENTATION) {
                int value = tiff.getShort(at + 8) & 0xffff;
                return value >= 1 && value <= 8 ? value : 1;
            }
        }
        return 1;
    }

    /** Of the size that is kept, on white where it lets something through. */
    private static BufferedImage upright(Decoded decoded) {
        BufferedImage image = decoded.image();
        double scale = Math.min(1, (double) LONGEST_SIDE / Math.max(image.getWidth(), image.getHeight()));
        int width = Math.max(1, (int) Math.round(image.getWidth() * scale));
        int height = Math.max(1, (int) Math.round(image.getHeight() * scale));
        boolean isTurned = decoded.orientation() >= 5;
        BufferedImage upright = new BufferedImage(isTurned ? height : width, isTurned ? width : height, BufferedImage.TYPE_INT_RGB);
        Graphics2D drawing = upright.createGraphics();
        drawing.setColor(Color.WHITE);
        drawing.fillRect(0, 0, upright.getWidth(), upright.getHeight());
        drawing.setRenderingHint(RenderingHints.KEY_INTERPOLATION, RenderingHints.VALUE_INTERPOLATION_BICUBIC);
        AffineTransform turn = turn(decoded.orientation(), width, height);
        turn.scale((double) width / image.getWidth(), (double) height / image.getHeight());
        drawing.drawImage(image, turn, null);
        drawing.dispose();
        return upright;
    }

    /** TIFF 6.0, tag 274: where row 0 and column 0 of what is stored are seen. */
    private static AffineTransform turn(int orientation, int width, int height) {
        return switch (orientation) {
            case 2 -> new AffineTransform(-1, 0, 0, 1, width, 0);
            case 3 -> new AffineTransform(-1, 0, 0, -1, width, height);
            case 4 -> new AffineTransform(1, 0, 0, -1, 0, height);
            case 5 -> new AffineTransform(0, 1, 1, 0, 0, 0);
            case 6 -> new AffineTransform(0, 1, -1, 0, height, 0);
            case 7 -> new AffineTransform(0, -1, -1, 0, height, width);
            case 8 -> new AffineTransform(0, -1, 1, 0, 0, width);
            default -> new AffineTransform();
        };
    }

    private static byte[] encoded(BufferedImage image) throws IOException, NotOurs {
        for (float quality : QUALITIES) {
            byte[] jpeg = encoded(image, quality);
            if (jpeg.length <= MOST_BYTES_KEPT) {
                return jpeg;
            }
        }
        throw new NotOurs("The photo cannot be made small enough to be kept: take another.");
    }

    private static byte[] encoded(BufferedImage image, float quality) throws IOException {
        ImageWriter writer = ImageIO.getImageWritersByFormatName("jpeg").next();
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ImageOutputStream out = ImageIO.createImageOutputStream(bytes)) {
            writer.setOutput(out);
            ImageWriteParam param = writer.getDefaultWriteParam();
            param.setCompressionMode(ImageWriteParam.MODE_EXPLICIT);
            param.setCompressionQuality(quality);
            writer.write(null, new IIOImage(image, null, null), param);
        } finally {
            writer.dispose();
        }
        return bytes.toByteArray();
    }

    /** Without what it shows. */
    @Override
    public String toString() {
        return "a photo of " + jpeg.length + " bytes";
    }
}
