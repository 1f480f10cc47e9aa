package org.lampkeeper.message;

import java.time.Duration;
import java.util.Optional;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** SMS by SMPP 3.4. Without {@code host} there is no such channel. */
@ConfigMapping(prefix = "lampkeeper.sms")
interface SmsConfig {

    /** The network's short message centre; SMS is offered once it is set. */
    Optional<String> host();

    @WithDefault("2775")
    @Min(1)
    @Max(65_535)
    int port();

    /** Who we are to the short message centre; at most 15 characters. */
    @WithDefault("lampkeeper")
    String systemId();

    /** At most 8 characters. */
    Optional<String> password();

    /** As the network wants it; at most 12 characters. */
    Optional<String> systemType();

    /** The number or name that messages come from; a name cannot be answered. */
    Optional<String> sender();

    /** Whether the network passes on what people send back to the sender; messages then say with which words they can. */
    @WithDefault("true")
    boolean replies();

    /** The country, as in ISO 3166-1, of a number that is entered without one; without it a number begins with {@code +}. */
    Optional<String> country();

    /** Longest wait for a connection, for binding, and for the answer to one part. */
    @WithDefault("10s")
    Duration timeout();

    /** How often the line is tried while nothing is said on it. */
    @WithDefault("30s")
    Duration enquireLink();

    /** Parts handed over and not answered, at most. */
    @WithDefault("10")
    @Min(1)
    @Max(1000)
    int window();
}
