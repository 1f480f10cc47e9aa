package org.lampkeeper.watch;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** Whether this process does the work of the service at all. */
@ConfigMapping(prefix = "lampkeeper.service")
public interface ServiceConfig {

    /** False in a process that only exports something or is stepped by a test: no loop runs, nothing is listened to or sent. */
    @WithDefault("true")
    boolean loops();
}
