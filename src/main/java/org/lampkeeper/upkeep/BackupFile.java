package org.lampkeeper.upkeep;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Enumeration;
import java.util.zip.ZipEntry;
import java.util.zip.ZipFile;

/** What {@link Backup} wrote. */
final class BackupFile {

    static final String DATABASE = ".mv.db";

    private BackupFile() {
    }

    /**
     * Writes the database's file to {@code target}.
     *
     * @throws IOException when the backup is none, or {@code target} is there already
     */
    static void unpack(Path backup, Path target) throws IOException {
        try (ZipFile zip = new ZipFile(backup.toFile())) {
            for (Enumeration<? extends ZipEntry> entries = zip.entries(); entries.hasMoreElements();) {
                ZipEntry entry = entries.nextElement();
                if (entry.getName().endsWith(DATABASE)) {
                    try (InputStream content = zip.getInputStream(entry)) {
                        Files.createDirectories(target.toAbsolutePath().getParent());
                        Files.copy(content, target);
                    }
                    return;
                }
            }
        }
        throw new IOException(backup + " has no database in it, must be a file that a backup of Lampkeeper wrote");
    }
}
