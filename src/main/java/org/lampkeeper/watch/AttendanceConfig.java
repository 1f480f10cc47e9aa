package org.lampkeeper.watch;

import java.nio.file.Path;
import java.util.Optional;

import io.smallrye.config.ConfigMapping;

/** What the record of an attendance offers. */
@ConfigMapping(prefix = "lampkeeper.attendance")
interface AttendanceConfig {

    /**
     * The file with the causes. Not set: {@code config/attendance-causes.yaml} in the working directory, or where that is missing the list
     * that came with the program.
     */
    Optional<Path> causes();
}
