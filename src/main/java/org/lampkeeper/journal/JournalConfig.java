package org.lampkeeper.journal;

import java.time.Duration;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** How quickly entries are sealed, and when an unsealed one is a fault. */
@ConfigMapping(prefix = "lampkeeper.journal")
public interface JournalConfig {

    /** How long an entry committed by another instance may wait before the sealer looks; entries of its own wake it at once. */
    @WithDefault("500ms")
    Duration poll();

    /** After a sealer has died, nothing is sealed for at most this long. */
    @WithDefault("3s")
    Duration lease();

    /** Most entries sealed in one transaction. */
    @WithDefault("500")
    int batch();

    /** An entry still unsealed after this is reported by the verifier: the sealer does not work, or somebody took the seal off. */
    @WithDefault("5m")
    Duration unsealedLimit();
}
