package org.lampkeeper.telemetry;

import java.time.Duration;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** How reports are taken from the broker. */
@ConfigMapping(prefix = "lampkeeper.ingest")
public interface IngestConfig {

    /** How many messages the broker may have under way to one slot, and so how many wait in memory at most. */
    @WithDefault("2000")
    @Min(1)
    @Max(65_535)
    int inFlight();

    /** How many messages go into one transaction at most. Larger: more reports a second, later acknowledgements. */
    @WithDefault("1000")
    @Min(1)
    @Max(10_000)
    int batch();

    /** How long a slot's lease lasts without being renewed; after that another instance takes its client id and queue over. */
    @WithDefault("15s")
    Duration lease();

    /** How often leases are renewed and the connection is looked at; well below {@link #lease()}. */
    @WithDefault("3s")
    Duration tick();

    /** The longest pause between two attempts to connect; attempts never end. One client's attempt costs a broker nothing. */
    @WithDefault("2s")
    Duration longestPause();

    /** How long after a start, or after a connection, suspected losses are left to what may still come in, at most. */
    @WithDefault("5m")
    Duration longestCatchUp();

    /** How long the broker keeps a slot's queue while nobody holds it. */
    @WithDefault("30d")
    Duration sessionKept();
}
