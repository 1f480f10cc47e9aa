package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.BrokerDrops;
import org.lampkeeper.message.MailHealth;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.register.Rows;

/** Lampkeeper's own faults that the database and the broker know of: mail that cannot be handed over, messages that stay, and a broker that drops some. */
@ApplicationScoped
class OwnFaults {

    private final MailHealth mail;
    private final Outbox outbox;
    private final EntityManager entities;
    private final SiteWatches sites;
    private final AlarmKeeper alarms;
    private final WatchConfig config;

    OwnFaults(MailHealth mail, Outbox outbox, EntityManager entities, SiteWatches sites, AlarmKeeper alarms, WatchConfig config) {
        this.mail = mail;
        this.outbox = outbox;
        this.entities = entities;
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

    /** Raises the alarm when the broker's count has grown since it was last looked at, also over a restart of ours, and ends it in its time. */
    @Transactional
    public void broker(OptionalLong dropped, Instant now) {
        Optional<BrokerDrops> before = stored();
        if (dropped.isEmpty() && before.isEmpty() || before.filter(known -> known.equals(after(known, dropped, now))).isPresent()) {
            return;
        }
        sites.lock(SiteWatches.INSTALLATION);
        // Another instance may have stored it meanwhile.
        Optional<BrokerDrops> locked = stored();
        BrokerDrops next = locked.map(known -> after(known, dropped, now)).orElseGet(() -> BrokerDrops.first(dropped.orElseThrow()));
        store(next);
        if (next.grownAt().isPresent()) {
            alarms.occurs(AlarmKind.BROKER_DROPPING, SiteWatches.INSTALLATION, OptionalLong.empty(), next.grownAt().get(), now);
        } else {
            alarms.returns(AlarmKind.BROKER_DROPPING, SiteWatches.INSTALLATION, OptionalLong.empty(), now, now);
        }
    }

    private static BrokerDrops after(BrokerDrops known, OptionalLong dropped, Instant now) {
        return dropped.isPresent() ? known.heard(dropped.getAsLong(), now) : known.passed(now);
    }

    private Optional<BrokerDrops> stored() {
        List<?> rows = entities.createNativeQuery("SELECT told, grown_at FROM broker_drops").getResultList();
        return rows.stream().findFirst().map(row -> (Object[]) row)
                .map(row -> new BrokerDrops(Rows.number(row[0]), Optional.ofNullable(row[1]).map(Rows::instant)));
    }

    private void store(BrokerDrops drops) {
        entities.createNativeQuery("DELETE FROM broker_drops").executeUpdate();
        entities.createNativeQuery("INSERT INTO broker_drops (id, told, grown_at) VALUES (1, :told, :grownAt)").setParameter("told", drops.told())
                .setParameter("grownAt", drops.grownAt().orElse(null)).executeUpdate();
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
