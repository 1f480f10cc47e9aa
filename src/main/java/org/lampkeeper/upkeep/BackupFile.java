package org.lampkeeper.upkeep;

import java.io.IOException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.util.Optional;
import java.util.Properties;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.zip.ZipFile;

import org.lampkeeper.register.AnyDatabaseDriver;

/** What {@link Backup} wrote. */
final class BackupFile {

    /** How H2 ends the name of a database's file. */
    static final String DATABASE = ".mv.db";

    private static final Pattern H2_FILE = Pattern.compile("jdbc:h2:file:([^;]+)(;.*)?");

    /** How H2 calls what it writes. */
    private static final String SCRIPT = "script.sql";

    private BackupFile() {
    }

    /** Where a database of this URL has its file; nothing where it has none. */
    static Optional<Path> file(String url) {
        Matcher file = H2_FILE.matcher(url);
        return file.matches() ? Optional.of(Path.of(file.group(1) + DATABASE)) : Optional.empty();
    }

    /**
     * Makes the database of the backup anew.
     *
     * @param url of a file of H2 that is not there yet
     * @throws FileAlreadyExistsException when it is
     * @throws IOException                when the backup is none
     */
    static void restore(Path backup, String url, String user, String password) throws IOException, SQLException {
        Path target = file(url).orElseThrow(() -> new IllegalArgumentException(url + ", must be a file of H2"));
        if (Files.exists(target)) {
            throw new FileAlreadyExistsException(target.toString());
        }
        try (ZipFile zip = new ZipFile(backup.toFile())) {
            if (zip.getEntry(SCRIPT) == null) {
                throw new IOException(backup + " has no database in it, must be a file that a backup of Lampkeeper wrote");
            }
        }
        try (Connection connection = open(url, user, password);
                PreparedStatement run = connection.prepareStatement("RUNSCRIPT FROM ? COMPRESSION ZIP CHARSET 'UTF-8'")) {
            run.setString(1, backup.toAbsolutePath().toString());
            run.execute();
        } catch (SQLException failed) {
            Files.deleteIfExists(target);
            throw failed;
        }
    }

    static Connection open(String url, String user, String password) throws SQLException {
        Properties login = new Properties();
        login.setProperty("user", user);
        login.setProperty("password", password);
        return new AnyDatabaseDriver().connect(url, login);
    }
}
