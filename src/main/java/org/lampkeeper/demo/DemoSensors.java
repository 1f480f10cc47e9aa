package org.lampkeeper.demo;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.ArrayList;
import java.util.List;

/**
 * The file that tells the simulator as whom to log in: a line {@code deviceId,secret,baseName} for each sensor below a heading. The
 * register keeps only hashes, so without this file a restart would not know the secrets that were made at the first fill.
 */
final class DemoSensors {

    private static final String HEADING = "deviceId,secret,baseName";

    private DemoSensors() {
    }

    /** One sensor of the demo; its text form hides the secret. */
    record Line(String deviceId, String secret, String baseName) {

        @Override
        public String toString() {
            return "Line[" + deviceId + "]";
        }
    }

    static List<Line> read(Path file) {
        try {
            List<Line> lines = new ArrayList<>();
            int number = 0;
            for (String text : Files.readAllLines(file)) {
                number++;
                if (text.isBlank() || text.equals(HEADING)) {
                    continue;
                }
                String[] cells = text.split(",", -1);
                if (cells.length != 3) {
                    throw new IllegalArgumentException(file + ", line " + number + ": has " + cells.length + " cells, must have 3: "
                            + HEADING);
                }
                lines.add(new Line(cells[0], cells[1], cells[2]));
            }
            return lines;
        } catch (IOException broken) {
            throw new UncheckedIOException("demo sensors " + file.toAbsolutePath() + " cannot be read", broken);
        }
    }

    /** Replaces the file as a whole, so that a reader finds the old or the new one. */
    static void write(Path file, List<Line> lines) {
        try {
            Path directory = file.toAbsolutePath().getParent();
            Files.createDirectories(directory);
            // A temporary file is readable by its owner only, and the move keeps that.
            Path draft = Files.createTempFile(directory, "demo-sensors", ".tmp");
            StringBuilder text = new StringBuilder(HEADING).append('\n');
            lines.forEach(line -> text.append(line.deviceId()).append(',').append(line.secret()).append(',').append(line.baseName())
                    .append('\n'));
            Files.writeString(draft, text);
            if (draft.getFileSystem().supportedFileAttributeViews().contains("posix")) {
                Files.setPosixFilePermissions(draft, PosixFilePermissions.fromString("rw-------"));
            }
            Files.move(draft, file.toAbsolutePath(), StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
        } catch (IOException broken) {
            throw new UncheckedIOException("demo sensors " + file.toAbsolutePath() + " cannot be written", broken);
        }
    }
}
