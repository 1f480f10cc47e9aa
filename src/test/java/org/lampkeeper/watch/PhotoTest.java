package org.lampkeeper.watch;

import java.awt.Color;
import java.awt.Graphics2D;
import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Random;

import javax.imageio.ImageIO;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

public class PhotoTest {

    private static final String SECRET_OF_THE_CAMERA = "GPS 51.5007 N 0.1246 W";

    /**
     * Where the red corner of the stored picture, its row 0 and column 0, is seen: TIFF 6.0, tag 274 (from memory): 1 top left, 2 top right, 3 bottom
     * right, 4 bottom left, 5 left top, 6 right top, 7 right bottom, 8 left bottom; from 5 on the sides change places.
     */
    @ParameterizedTest
    @CsvSource({"1, false, false", "2, true, false", "3, true, true", "4, false, true", "5, false, false", "6, true, false", "7, true, true", "8, false, true"})
    void photoIsTurnedUprightAsTheCameraSays(int orientation, boolean isRight, boolean isBelow) throws IOException {
        BufferedImage seen = shown(withExif(jpeg(320, 200), orientation));

        assertThat(seen.getWidth()).isEqualTo(orientation >= 5 ? 200 : 320);
        assertThat(seen.getHeight()).isEqualTo(orientation >= 5 ? 320 : 200);
        Color corner = new Color(seen.getRGB(isRight ? seen.getWidth() - 10 : 10, isBelow ? seen.getHeight() - 10 : 10));
        assertThat(corner.getRed()).isGreaterThan(180);
        assertThat(corner.getBlue()).isLessThan(90);
        Color opposite = new Color(seen.getRGB(isRight ? 10 : seen.getWidth() - 10, isBelow ? 10 : seen.getHeight() - 10));
        assertThat(opposite.getBlue()).isGreaterThan(180);
    }

    @Test
    void nothingOfThePlaceAndTheTelephoneIsKept() throws IOException {
        byte[] sent = withExif(jpeg(320, 200), 6);
        assertThat(new String(sent, StandardCharsets.ISO_8859_1)).contains("Exif", SECRET_OF_THE_CAMERA);

        Photo photo = photo(sent);

        assertThat(new String(photo.jpeg(), StandardCharsets.ISO_8859_1)).doesNotContain("Exif", SECRET_OF_THE_CAMERA);
        assertThat(photo.sha256()).matches("[0-9a-f]{64}").isEqualTo(photo(sent).sha256());
    }

    @ParameterizedTest
    @CsvSource({"4000, 3000, 1600, 1200", "3000, 4000, 1200, 1600", "1600, 900, 1600, 900", "1, 1, 1, 1", "9000, 10, 1600, 2"})
    void photoIsMadeSmall(int width, int height, int keptWidth, int keptHeight) throws IOException {
        BufferedImage kept = shown(jpeg(width, height));

        assertThat(kept.getWidth()).isEqualTo(keptWidth);
        assertThat(kept.getHeight()).isBetween(keptHeight - 1, keptHeight + 1);
    }

    @Test
    void pngIsTakenAndWhatItLetsThroughIsWhite() throws IOException {
        BufferedImage clear = new BufferedImage(40, 40, BufferedImage.TYPE_INT_ARGB);

        assertThat(shown(written(clear, "png")).getRGB(20, 20) & 0xffffff).isEqualTo(0xffffff);
    }

    /** What no compression makes small: every point by chance. */
    @Test
    void noPhotoIsKeptThatTheDatabaseCannotHold() throws IOException {
        BufferedImage noise = new BufferedImage(1600, 1600, BufferedImage.TYPE_INT_RGB);
        Random random = new Random(1);
        for (int y = 0; y < 1600; y++) {
            for (int x = 0; x < 1600; x++) {
                noise.setRGB(x, y, random.nextInt());
            }
        }

        assertThat(photo(written(noise, "jpeg")).jpeg().length).isLessThanOrEqualTo(900_000);
    }

    @Test
    void whatIsNoPhotoIsRefusedWithWhatWouldBeRight() throws IOException {
        assertThat(why("GIF89a".getBytes(StandardCharsets.US_ASCII))).contains("must be a JPEG or a PNG");
        assertThat(why("<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>".getBytes(StandardCharsets.US_ASCII))).contains("JPEG");
        assertThat(why(new byte[0])).contains("JPEG");
        byte[] whole = jpeg(800, 600);
        assertThat(why(Arrays.copyOf(whole, 60))).contains("broken");
        assertThat(why(new byte[Photo.MOST_BYTES_SENT + 1])).contains("more than 5 MB");
        assertThat(why(endlessPng())).contains("more than can be read here");
    }

    @Property(tries = 300)
    void anyBytesAreAPhotoOrARefusal(@ForAll @Size(max = 400) byte[] noise, @ForAll boolean isPng) {
        byte[] head = isPng ? ByteBuffer.allocate(8).putLong(0x89504e470d0a1a0aL).array() : new byte[] {(byte) 0xff, (byte) 0xd8, (byte) 0xff};
        byte[] sent = ByteBuffer.allocate(head.length + noise.length).put(head).put(noise).array();

        assertThat(Photo.read(sent)).isNotNull();
        assertThat(Photo.orientation(noise)).isBetween(1, 8);
    }

    private static Photo photo(byte[] sent) {
        return ((Photo.Read.Fine) Photo.read(sent)).photo();
    }

    private static String why(byte[] sent) {
        return ((Photo.Read.Refused) Photo.read(sent)).why();
    }

    private static BufferedImage shown(byte[] sent) throws IOException {
        return ImageIO.read(new ByteArrayInputStream(photo(sent).jpeg()));
    }

    /** Blue, with a red quarter at its row 0 and column 0. */
    public static byte[] jpeg(int width, int height) throws IOException {
        BufferedImage image = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
        Graphics2D drawing = image.createGraphics();
        drawing.setColor(Color.BLUE);
        drawing.fillRect(0, 0, width, height);
        drawing.setColor(Color.RED);
        drawing.fillRect(0, 0, width / 2, height / 2);
        drawing.dispose();
        return written(image, "jpeg");
    }

    private static byte[] written(BufferedImage image, String format) throws IOException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        assertThat(ImageIO.write(image, format, bytes)).isTrue();
        return bytes.toByteArray();
    }

    /** After the first marker: APP1 with a directory of one entry, the orientation, and something that tells where it was. */
    private static byte[] withExif(byte[] jpeg, int orientation) {
        byte[] secret = SECRET_OF_THE_CAMERA.getBytes(StandardCharsets.US_ASCII);
        ByteBuffer exif = ByteBuffer.allocate(6 + 8 + 2 + 12 + 4 + secret.length);
        exif.put("Exif\0\0".getBytes(StandardCharsets.US_ASCII)).put("MM".getBytes(StandardCharsets.US_ASCII)).putShort((short) 42).putInt(8);
        exif.putShort((short) 1).putShort((short) 0x0112).putShort((short) 3).putInt(1).putShort((short) orientation).putShort((short) 0).putInt(0).put(secret);
        return ByteBuffer.allocate(jpeg.length + 4 + exif.capacity()).put(jpeg, 0, 2).put((byte) 0xff).put((byte) 0xe1).putShort((short) (exif.capacity() + 2))
                .put(exif.array()).put(jpeg, 2, jpeg.length - 2).array();
    }

    /** Some bytes that say they are 60,000 by 60,000 points. */
    private static byte[] endlessPng() throws IOException {
        byte[] png = written(new BufferedImage(2, 2, BufferedImage.TYPE_INT_RGB), "png");
        ByteBuffer edited = ByteBuffer.wrap(png);
        edited.putInt(16, 60_000).putInt(20, 60_000);
        java.util.zip.CRC32 check = new java.util.zip.CRC32();
        check.update(png, 12, 17);
        edited.putInt(29, (int) check.getValue());
        return png;
    }
}
