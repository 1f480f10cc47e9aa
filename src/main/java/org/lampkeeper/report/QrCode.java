package org.lampkeeper.report;

import com.google.zxing.WriterException;
import com.google.zxing.qrcode.decoder.ErrorCorrectionLevel;
import com.google.zxing.qrcode.encoder.ByteMatrix;
import com.google.zxing.qrcode.encoder.Encoder;

/**
 * A text as a code for cameras (ISO/IEC 18004), to be drawn as one SVG path with a unit a module.
 *
 * @param side of the square, the quiet zone around it included
 * @param path the dark modules: a subpath for each run of them in a row
 */
public record QrCode(int side, String path) {

    /** ISO/IEC 18004:2015, 6.3.8: four modules of nothing around it. */
    public static final int QUIET = 4;

    /** @throws IllegalArgumentException when the text is too long for a code: an address of ours never is */
    public static QrCode of(String text) {
        try {
            // Level M, 15 %: outdoors a label is scratched. More would make the modules too small for a camera in the rain.
            return drawn(Encoder.encode(text, ErrorCorrectionLevel.M).getMatrix());
        } catch (WriterException tooLong) {
            throw new IllegalArgumentException("label of " + text.length() + " characters: no code holds so many", tooLong);
        }
    }

    private static QrCode drawn(ByteMatrix modules) {
        StringBuilder path = new StringBuilder();
        for (int y = 0; y < modules.getHeight(); y++) {
            for (int x = 0; x < modules.getWidth(); x++) {
                int from = x;
                while (x < modules.getWidth() && modules.get(x, y) == 1) {
                    x++;
                }
                if (x > from) {
                    path.append('M').append(from + QUIET).append(' ').append(y + QUIET).append('h').append(x - from).append("v1h-").append(x - from).append('z');
                }
            }
        }
        return new QrCode(modules.getWidth() + 2 * QUIET, path.toString());
    }
}
