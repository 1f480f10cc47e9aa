package org.lampkeeper.watch;

import java.time.Duration;
import java.util.Optional;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMax;
import org.hibernate.validator.constraints.time.DurationMin;

/** With which other clock that of this machine is compared. It is compared and never set: that is the work of the operating system. */
@ConfigMapping(prefix = "lampkeeper.clock")
public interface ClockConfig {

    /** The name or address of a server that speaks NTP (RFC 5905); none: the clock is compared with no other, and evidence says so. */
    Optional<String> server();

    /** The port at which {@link #server()} is asked. */
    @WithDefault("123")
    @Min(1)
    @Max(65_535)
    int port();

    /** How often it is asked. Each answer is an entry of the journal. */
    @WithDefault("1h")
    @DurationMin(seconds = 64)
    @DurationMax(days = 1)
    Duration every();

    /** How long it may take to answer. */
    @WithDefault("5s")
    @DurationMin(millis = 100)
    @DurationMax(minutes = 1)
    Duration timeout();

    /** A clock that is off by more than this is called wrong. */
    @WithDefault("1s")
    @DurationMin(millis = 1)
    @DurationMax(hours = 1)
    Duration limit();
}
