package org.lampkeeper.message;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMax;
import org.hibernate.validator.constraints.time.DurationMin;

/** How messages go to enrolled phones by web push. Offered once {@link #contact()} is set. */
@ConfigMapping(prefix = "lampkeeper.push")
public interface PushConfig {

    /** Where the makers of browsers, whose services carry the messages, reach the operator: {@code mailto:…} or {@code https://…} (RFC 8292, section 2.1). */
    Optional<String> contact();

    /** For how long a service keeps a message for a phone that is off or without a signal. */
    @WithDefault("4h")
    @DurationMin(seconds = 0)
    @DurationMax(days = 28)
    Duration keep();

    /** Longest wait for one message, from looking up the name of the service to the end of its answer. */
    @WithDefault("10s")
    @DurationMin(millis = 100)
    Duration timeout();

    /** Networks that may be reached although they are not public; a browser names the address of its service, and could name any. */
    Optional<List<String>> allowedNetworks();

    /** Whether the address of a service may begin with {@code http://}. For tests: no browser names one. */
    @WithDefault("false")
    boolean allowHttp();

    /** Certificates in PEM that are trusted in place of those that Java trusts. */
    Optional<Path> caFile();

    /** Keys that sign towards the services, made on first start. All instances must see the same file. */
    @WithDefault("data/keys/push.json")
    String keys();
}
