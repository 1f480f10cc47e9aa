package org.lampkeeper.message;

import java.time.Duration;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** By which way mail leaves. The server itself is set by {@code quarkus.mailer.*}. */
@ConfigMapping(prefix = "lampkeeper.mail")
interface MailConfig {

    /** The two ways, or whichever fits. */
    enum Transport {
        /** SMTP when {@code quarkus.mailer.host} was set, otherwise files. */
        AUTO,
        SMTP,
        FILE
    }

    @WithDefault("AUTO")
    Transport transport();

    /** Where mails are written as {@code .eml} files when none are sent. */
    @WithDefault("data/outgoing")
    String folder();

    /** Longest wait for the mail server: for a connection, for an answer, and for the whole handing over. */
    @WithDefault("20s")
    Duration timeout();
}
