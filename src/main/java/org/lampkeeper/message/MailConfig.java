package org.lampkeeper.message;

import java.time.Duration;
import java.util.Optional;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMin;

/**
 * By which way mail leaves. The server itself is set by {@code quarkus.mailer.*}. Public, because the validation of what is nested reads it
 * from outside.
 */
@ConfigMapping(prefix = "lampkeeper.mail")
public interface MailConfig {

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

    Bounces bounces();

    /** How mails that come back are noticed. Without {@code address} nobody can tell which mail came back; without {@code imapHost} nobody looks. */
    interface Bounces {

        /**
         * The mailbox to which mail servers return what they cannot deliver, such as {@code returned@mail.example}. Each mail gets its own key
         * between the name and the "@", after a plus; the server must put such addresses into that mailbox.
         */
        Optional<String> address();

        /** Where that mailbox is read. */
        Optional<String> imapHost();

        @WithDefault("993")
        @Min(1)
        @Max(65_535)
        int imapPort();

        /** Encrypted from the first byte. */
        @WithDefault("true")
        boolean imapTls();

        Optional<String> imapUser();

        Optional<String> imapPassword();

        @WithDefault("INBOX")
        String imapFolder();

        /** How often it is read; after a mail came back the person's next channel waits for no longer than this. */
        @WithDefault("20s")
        @DurationMin(seconds = 1)
        Duration poll();

        /** Longest wait for the server. */
        @WithDefault("20s")
        @DurationMin(seconds = 1)
        Duration timeout();
    }
}
