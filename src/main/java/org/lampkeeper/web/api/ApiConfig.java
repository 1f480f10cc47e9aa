package org.lampkeeper.web.api;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** How the interface for programs behaves. */
@ConfigMapping(prefix = "lampkeeper.api")
interface ApiConfig {

    /** How many requests a minute one token may make on one instance; more are answered with 429 until the minute is over. */
    @WithDefault("600")
    @Min(10)
    @Max(1_000_000)
    int requestsAMinute();
}
