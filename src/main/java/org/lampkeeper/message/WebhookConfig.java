package org.lampkeeper.message;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMax;
import org.hibernate.validator.constraints.time.DurationMin;

/** How webhooks leave, and where to they may. How often they are tried again, and for how long, is as for messages. */
@ConfigMapping(prefix = "lampkeeper.webhook")
public interface WebhookConfig {

    /**
     * Networks, such as {@code 10.20.0.0/16}, that may be reached although they are not public. Without it no address of the own network
     * is: whoever may enter a URL could otherwise have this server knock at doors that are closed to them.
     */
    Optional<List<String>> allowedNetworks();

    /** Whether a URL may begin with {@code http://}: everybody on the way can then read what is sent. */
    @WithDefault("false")
    boolean allowHttp();

    /** Certificates in PEM that are trusted in place of those that Java trusts, for receivers with a certificate of one's own. */
    Optional<Path> caFile();

    /** Longest wait for one delivery, from looking up the name to the end of the answer. */
    @WithDefault("10s")
    @DurationMin(millis = 100)
    Duration timeout();

    /** Deliveries on their way at the same moment in one instance. */
    @WithDefault("4")
    @Min(1)
    @Max(64)
    int workers();

    /** How long after a new secret was made the one before signs as well. */
    @WithDefault("24h")
    @DurationMin(seconds = 0)
    @DurationMax(days = 30)
    Duration overlap();

    /** Keys of which the secrets are made, made on first start. All instances must see the same file. */
    @WithDefault("data/keys/webhooks.json")
    String keys();
}
