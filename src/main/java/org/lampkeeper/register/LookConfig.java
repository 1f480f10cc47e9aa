package org.lampkeeper.register;

import java.nio.file.Path;
import java.util.Optional;

import io.smallrye.config.ConfigMapping;

/** What is asked at a look. */
@ConfigMapping(prefix = "lampkeeper.look")
interface LookConfig {

    /**
     * The file with the questions. Not set: {@code config/look-questions.yaml} in the working directory, or where that is missing the one
     * that came with the program.
     */
    Optional<Path> questions();
}
