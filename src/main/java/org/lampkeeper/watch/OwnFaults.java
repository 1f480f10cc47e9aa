package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.message.MailHealth;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.telemetry.Subscriber;

/** Lampkeeper's own faults that the database and the broker know of: mail that cannot be handed over, messages that stay, and a broker that drops some. */
@ApplicationScoped
class OwnFaults {

    private final MailHealth mail;
    private final Outbox outbox;
    private final Subscriber subscriber;
    private final SiteWatches sites;
    private final AlarmKeeper alarms;
    private final WatchConfig config;
    private OptionalLong droppedBefore = OptionalLong.empty();

    OwnFaults(MailHealth mail, Outbox outbox, Subscriber subscriber, SiteWatches sites, AlarmKeeper alarms, WatchConfig config) {
        this.mail = mail;
        this.outbox = outbox;
        this.subscriber = subscriber;
        this.sites = sites;
        this.alarms = alarms;
        this.config = config;
    }

    /** Raises or ends the alarm about mail; like the others called by one thread, each in a transaction of its own. */
    @Transactional
    public void mail(Instant now) {
        sites.lock(SiteWatches.INSTALLATION);
        Optional<Instant> failing = mail.failingSince();
        if (failing.filter(since -> since.plus(config.mailOutageAfter()).isBefore(now)).isPresent()) {
            alarms.occurs(AlarmKind.MAIL_NOT_SENDING, SiteWatches.INSTALLATION, OptionalLong.empty(), failing.get(), now);
        } else if (failing.isEmpty()) {
            alarms.returns(AlarmKind.MAIL_NOT_SENDING, SiteWatches.INSTALLATION, OptionalLong.empty(), now, now);
        }
    }

    @Transactional
    public void broker(Instant now) {
        OptionalLong dropped = subscriber.droppedByBroker();
        // The broker counts from its own start; what it dropped before we first heard of it has been told then.
        if (dropped.isPresent() && droppedBefore.isPresent() && dropped.getAsLong() > droppedBefore.getAsLong()) {
            sites.lock(SiteWatches.INSTALLATION);
            alarms.occurs(AlarmKind.BROKER_DROPPING, SiteWatches.INSTALLATION, OptionalLong.empty(), now, now);
            // What was dropped is gone; what stays is that somebody must find out why.
            alarms.returns(AlarmKind.BROKER_DROPPING, SiteWatches.INSTALLATION, OptionalLong.empty(), now, now);
        }
        droppedBefore = dropped.isPresent() ? dropped : droppedBefore;
    }

    @Transactional
    public void messages(Instant now) {
        sites.lock(SiteWatches.INSTALLATION);
        Optional<Instant> stuck = outbox.oldestWaitingSince().filter(since -> since.plus(config.messagesStuckAfter()).isBefore(now));
        if (stuck.isPresent()) {
            alarms.occurs(AlarmKind.MESSAGES_STUCK, SiteWatches.INSTALLATION, OptionalLong.empty(), stuck.get(), now);
        } else {
            alarms.returns(AlarmKind.MESSAGES_STUCK, SiteWatches.INSTALLATION, OptionalLong.empty(), now, now);
        }
    }
}
