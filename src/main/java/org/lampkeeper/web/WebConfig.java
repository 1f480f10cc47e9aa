package org.lampkeeper.web;

import java.time.Duration;
import java.util.Set;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** How the pages behave. */
@ConfigMapping(prefix = "lampkeeper.web")
interface WebConfig {

    /**
     * Host names under which the pages may be asked for, without a port. A request for any other is refused, so that a page elsewhere
     * cannot reach a loopback address through a name of its own.
     */
    @WithDefault("localhost,127.0.0.1,[::1]")
    Set<String> hosts();

    /** With more cabinets than this on the supply page, a site where all is lit is folded into one line. */
    @WithDefault("40")
    @Min(1)
    @Max(1000)
    int foldOver();

    /** When Lampkeeper last listened longer ago than this, nothing that it knows counts as fresh. */
    @WithDefault("60s")
    Duration listeningWithin();

    /** Without anything new, a live page is told this often that the connection stands. */
    @WithDefault("4s")
    Duration heartbeat();
}
