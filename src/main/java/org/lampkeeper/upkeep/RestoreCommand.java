package org.lampkeeper.upkeep;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Path;
import java.sql.SQLException;
import java.util.List;
import java.util.Optional;

import org.eclipse.microprofile.config.Config;

/** {@code restore BACKUP.zip}: puts the database of a backup where the service looks for it, and ends. Overwrites nothing. */
public final class RestoreCommand {

    public static final String NAME = "restore";
    public static final String USAGE = NAME + " BACKUP.zip";

    private static final int DONE = 0;
    private static final int FAILED = 1;
    // As shells and getopt programs do: 2 for a command that was not understood.
    private static final int MISUSED = 2;

    private final Config config;
    private final PrintStream out;
    private final PrintStream err;

    public RestoreCommand(Config config, PrintStream out, PrintStream err) {
        this.config = config;
        this.out = out;
        this.err = err;
    }

    /** What the process should exit with. {@code arguments}: those after the command's name. */
    public int run(List<String> arguments) {
        if (arguments.size() != 1 || arguments.get(0).isBlank()) {
            err.println(NAME + ": " + (arguments.isEmpty() ? "no backup" : String.join(" ", arguments)) + ", must be: " + USAGE);
            return MISUSED;
        }
        String url = config.getValue("quarkus.datasource.jdbc.url", String.class);
        Optional<Path> target = BackupFile.file(url);
        if (target.isEmpty()) {
            err.println(NAME + ": " + url + " is no file of the embedded database. To move a backup to PostgreSQL, start the service with LAMPKEEPER_MOVE_FROM=BACKUP.zip");
            return MISUSED;
        }
        try {
            BackupFile.restore(Path.of(arguments.get(0)), url, config.getValue("quarkus.datasource.username", String.class),
                    config.getValue("quarkus.datasource.password", String.class));
            out.println("restored to " + target.get() + "; put the keys of that installation back beside it before the service is started");
            return DONE;
        } catch (FileAlreadyExistsException there) {
            err.println(NAME + ": " + target.get() + " is there already; stop the service and move it away first, it is not overwritten");
            return FAILED;
        } catch (IOException | SQLException failed) {
            err.println(NAME + ": " + failed.getMessage());
            return FAILED;
        }
    }
}
