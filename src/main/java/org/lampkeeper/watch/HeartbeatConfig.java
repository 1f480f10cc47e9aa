package org.lampkeeper.watch;

import java.net.URI;
import java.time.Duration;
import java.util.Optional;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMax;
import org.hibernate.validator.constraints.time.DurationMin;

/** How Lampkeeper says that it is alive, so that something outside notices when it is not. */
@ConfigMapping(prefix = "lampkeeper.heartbeat")
public interface HeartbeatConfig {

    /** How often. */
    @WithDefault("60s")
    @DurationMin(seconds = 1)
    @DurationMax(hours = 1)
    Duration every();

    /** An {@code http} or {@code https} address that is asked at each heartbeat besides, with what is said as query parameters; none by default. */
    Optional<URI> url();

    /** How long {@link #url()} may take to answer, from the beginning of the connection on. */
    @WithDefault("10s")
    @DurationMin(millis = 100)
    @DurationMax(minutes = 1)
    Duration timeout();

    /** A heartbeat that has not got out for longer than this is an alarm to the operator. */
    @WithDefault("5m")
    @DurationMin(seconds = 1)
    Duration outageAfter();
}
