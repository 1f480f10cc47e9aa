package org.lampkeeper.access;

import java.time.Duration;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** How long what somebody signed in with is good for. */
@ConfigMapping(prefix = "lampkeeper.access")
public interface AccessConfig {

    /** A session in which nothing was asked for so long has ended. */
    @WithDefault("12h")
    Duration sessionIdle();

    /** A session has ended so long after signing in, whatever happened in it. */
    @WithDefault("30d")
    Duration sessionLife();

    /** The link of an invitation to somebody can be used for so long. */
    @WithDefault("7d")
    Duration invitationLife();

    /** The link to become the first administrator, printed to the log, can be used for so long. */
    @WithDefault("24h")
    Duration firstInvitationLife();
}
