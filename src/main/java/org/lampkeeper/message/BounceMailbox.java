package org.lampkeeper.message;

import java.io.IOException;
import java.util.Optional;
import java.util.Properties;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;

import jakarta.annotation.PreDestroy;
import jakarta.enterprise.event.Observes;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;
import jakarta.mail.Flags;
import jakarta.mail.Folder;
import jakarta.mail.Message;
import jakarta.mail.MessagingException;
import jakarta.mail.Session;
import jakarta.mail.Store;
import jakarta.mail.internet.MimeMessage;
import jakarta.mail.search.FlagTerm;

import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

/**
 * Reads the mailbox into which mails come back that could not be delivered. What is about a mail of ours is recorded and then deleted;
 * anything else is marked as read and left for people. Every instance may read it: a bounce that two have seen counts once.
 */
@Singleton
class BounceMailbox {

    private static final Logger LOG = Logger.getLogger(BounceMailbox.class);
    // Ours: a flood of bounces is worked off in a few rounds, and no round holds the line for long.
    private static final int AT_ONCE = 100;

    private final MailConfig.Bounces config;
    private final Bounced bounced;
    private final ScheduledExecutorService reader = Executors.newSingleThreadScheduledExecutor(work -> {
        Thread thread = new Thread(work, "bounce-mailbox");
        thread.setDaemon(true);
        return thread;
    });
    private boolean failedBefore;

    /** Hears of a mail that will not arrive. Returns once that is stored. */
    interface Bounced {
        void lost(String key, String reason);
    }

    @Inject
    BounceMailbox(MailConfig config, Arrivals arrivals) {
        this(config.bounces(), (key, reason) -> arrivals.notArrived(MailByChannel.KIND, key, reason));
    }

    BounceMailbox(MailConfig.Bounces config, Bounced bounced) {
        this.config = config;
        this.bounced = bounced;
    }

    void start(@Observes StartupEvent started) {
        if (config.imapHost().isPresent()) {
            reader.scheduleWithFixedDelay(this::look, 1, config.poll().toMillis(), TimeUnit.MILLISECONDS);
        }
    }

    @PreDestroy
    void stop() {
        reader.shutdownNow();
    }

    /** A look that fails is said once, and tried again at the next. */
    private void look() {
        try {
            read();
            failedBefore = false;
        } catch (MessagingException | IOException | RuntimeException failed) {
            if (!failedBefore) {
                LOG.warnf("the mailbox of returned mails at %s cannot be read: %s; it is tried again every %s", config.imapHost().orElse(""),
                        failed.getMessage(), config.poll());
            }
            failedBefore = true;
        }
    }

    /** Returns how many of our mails came back. */
    int read() throws MessagingException, IOException {
        String protocol = config.imapTls() ? "imaps" : "imap";
        Properties settings = new Properties();
        String millis = Long.toString(config.timeout().toMillis());
        for (String limit : new String[] {"connectiontimeout", "timeout", "writetimeout"}) {
            settings.setProperty("mail." + protocol + "." + limit, millis);
        }
        // Else looking at a mail would mark it as read, whatever becomes of it.
        settings.setProperty("mail." + protocol + ".peek", "true");
        settings.setProperty("mail.imaps.ssl.checkserveridentity", "true");
        int found = 0;
        try (Store store = Session.getInstance(settings).getStore(protocol)) {
            store.connect(config.imapHost().orElseThrow(), config.imapPort(), config.imapUser().orElse(""), config.imapPassword().orElse(""));
            try (Folder folder = store.getFolder(config.imapFolder())) {
                folder.open(Folder.READ_WRITE);
                Message[] unread = folder.search(new FlagTerm(new Flags(Flags.Flag.SEEN), false));
                for (int i = 0; i < Math.min(unread.length, AT_ONCE); i++) {
                    found += take((MimeMessage) unread[i], bounceOf((MimeMessage) unread[i], folder)) ? 1 : 0;
                }
            }
        }
        return found;
    }

    /** What nobody can read must not stand in the way of what comes after it: it stays for people, like anything that is no bounce. */
    private Optional<Bounce> bounceOf(MimeMessage mail, Folder folder) throws MessagingException, IOException {
        try {
            return Bounce.of(mail);
        } catch (MessagingException | IOException unreadable) {
            if (!folder.isOpen()) {
                throw unreadable;
            }
            LOG.warnf("a mail in the mailbox of returned mails at %s cannot be read and is left there: %s", config.imapHost().orElse(""), unreadable.getMessage());
            return Optional.empty();
        }
    }

    private boolean take(MimeMessage mail, Optional<Bounce> bounce) throws MessagingException {
        if (bounce.isEmpty()) {
            mail.setFlag(Flags.Flag.SEEN, true);
            return false;
        }
        if (bounce.get().isLost()) {
            bounced.lost(bounce.get().key(), "came back: " + bounce.get().status());
        }
        // Only now: whoever is killed before this reads it again.
        mail.setFlag(Flags.Flag.DELETED, true);
        return bounce.get().isLost();
    }
}
