package org.lampkeeper.report;

import java.util.regex.Matcher;
import java.util.regex.Pattern;

import com.google.zxing.ChecksumException;
import com.google.zxing.FormatException;
import com.google.zxing.qrcode.decoder.Decoder;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** What is drawn on a label is read back as what it was made of. */
public class QrCodeTest {

    private static final Pattern RUN = Pattern.compile("M(\\d+) (\\d+)h(\\d+)v1h-(\\d+)z");

    @ParameterizedTest
    @ValueSource(strings = {"http://localhost:8080/at/AAAAAAAAAAAAAAAAAAAAAA", "https://lampkeeper.hallowwater.example/at/w9Qm_-3tY0aLk2PzX7bVhQ", "a"})
    void drawnCodeIsReadBack(String text) throws ChecksumException, FormatException {
        QrCode code = QrCode.of(text);

        assertThat(read(code.side(), code.path())).isEqualTo(text);
    }

    @ParameterizedTest
    @ValueSource(ints = {3000})
    void tooLongATextIsRefused(int length) {
        assertThatThrownBy(() -> QrCode.of("x".repeat(length))).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("3000 characters");
    }

    /** Reads the path of an SVG as a camera would the modules; the quiet zone must be free. */
    public static String read(int side, String path) throws ChecksumException, FormatException {
        int modules = side - 2 * QrCode.QUIET;
        boolean[][] dark = new boolean[modules][modules];
        Matcher run = RUN.matcher(path);
        int end = 0;
        while (run.find()) {
            assertThat(run.start()).isEqualTo(end);
            end = run.end();
            for (int i = 0; i < Integer.parseInt(run.group(3)); i++) {
                dark[Integer.parseInt(run.group(2)) - QrCode.QUIET][Integer.parseInt(run.group(1)) - QrCode.QUIET + i] = true;
            }
        }
        assertThat(end).isEqualTo(path.length());
        return new Decoder().decode(dark).getText();
    }
}
