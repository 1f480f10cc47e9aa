package org.lampkeeper.message;

import java.net.URI;
import java.time.Duration;
import java.util.Optional;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** How messages leave, and for how long that is tried. */
@ConfigMapping(prefix = "lampkeeper.message")
public interface MessageConfig {

    /** Where people reach this installation from outside; the links in messages begin with it. */
    @WithDefault("http://localhost:8080")
    URI baseUrl();

    /**
     * The whole address of one of ours. {@link #baseUrl()} may end with a slash, and may have a path, where a proxy serves several things
     * under one name.
     *
     * @param path without a slash before it; empty: what all of ours begin with
     */
    default String address(String path) {
        String base = baseUrl().toString();
        return (base.endsWith("/") ? base : base + "/") + path;
    }

    /**
     * The sender, an address or {@code Name <address>}; {@code quarkus.mailer.from} where this is not set. One of the two must be set as
     * soon as mail goes by SMTP: a server that doubts the sender refuses every alarm.
     */
    Optional<String> from();

    /**
     * Messages on their way at the same moment in one instance. A mail server that needs half a second for each then takes twice as many
     * in a second.
     */
    @WithDefault("8")
    @Min(1)
    @Max(64)
    int workers();

    /** After a crash between sending and recording, a message is sent again this much later. Must be longer than the channel's time-out. */
    @WithDefault("60s")
    Duration lease();

    /** How long a message committed by another instance, or one due for another try, may wait until somebody looks. */
    @WithDefault("500ms")
    Duration poll();

    /** Longest pause between two tries, before jitter of a fifth. */
    @WithDefault("5m")
    Duration backOffCap();

    /** A message that could not be handed over for this long is undelivered. */
    @WithDefault("24h")
    Duration giveUpAfter();

    /** An alarm that its channel has not taken after this long goes by the person's next channel as well, and waits on the first besides. */
    @WithDefault("30s")
    Duration nextChannelAfter();

    /** After this many failures in a row a channel is left alone for {@link #circuitPause()}, and what waits goes by the next. */
    @WithDefault("5")
    @Min(1)
    int circuitAfter();

    /** How long a channel that failed again and again is left alone before one message tries it. */
    @WithDefault("10s")
    Duration circuitPause();

    /** A channel that its person has not proven for this long counts as unproven, and they are reminded each month. */
    @WithDefault("90D")
    Duration proofLife();

    /** Keys that sign the links, made on first start. All instances must see the same file. */
    @WithDefault("data/keys/links.json")
    String linkKeys();
}
