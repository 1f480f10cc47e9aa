package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.Rows;
import org.lampkeeper.telemetry.IngestConfig;
import org.lampkeeper.telemetry.Subscriber;

/**
 * Whether the installation as a whole hears its sensors. Broker, database or process away: that is one alarm of its own, and silence of
 * sensors is judged only once what had waited is in and a grace has passed.
 */
@ApplicationScoped
class Listening {

    private static final String SLOTS = "SELECT listened_until FROM ingest_slot";

    private static final String READ = "SELECT listening_since, last_listened_at FROM listening WHERE id = 1";

    private static final String LISTENED = "UPDATE listening SET last_listened_at = :at WHERE id = 1";

    private static final String BEGAN = "UPDATE listening SET last_listened_at = :at, listening_since = :since WHERE id = 1";

    private static final String DEAF = "UPDATE listening SET listening_since = NULL WHERE id = 1";

    private final EntityManager entities;
    private final Subscriber subscriber;
    private final SiteWatches sites;
    private final AlarmKeeper alarms;
    private final Journal journal;
    private final WatchConfig config;
    private final IngestConfig ingest;

    Listening(EntityManager entities, Subscriber subscriber, SiteWatches sites, AlarmKeeper alarms, Journal journal, WatchConfig config,
            IngestConfig ingest) {
        this.entities = entities;
        this.subscriber = subscriber;
        this.sites = sites;
        this.alarms = alarms;
        this.journal = journal;
        this.config = config;
        this.ingest = ingest;
    }

    private record Book(Optional<Instant> since, Optional<Instant> last) {
    }

    /** Whether a suspected loss should wait for what may still come in behind it. */
    boolean isCatchingUp() {
        return subscriber.isCatchingUp();
    }

    /** Looks whether every slot is listened to, and raises or ends the alarm of an own outage. */
    @Transactional
    public void look(Instant now) {
        sites.lock(SiteWatches.INSTALLATION);
        Book book = book();
        Optional<Instant> heard = listenedUntil();
        boolean fresh = heard.filter(until -> !until.isBefore(now.minus(freshness()))).isPresent();
        if (fresh) {
            listening(book, heard.get(), now);
        } else if (book.last().filter(last -> last.plus(config.outageAfter()).isBefore(now)).isPresent() && book.since().isPresent()) {
            entities.createNativeQuery(DEAF).executeUpdate();
            journal.append(Entry.of(now, "listening-ended").site(SiteWatches.INSTALLATION).with("last-listened", book.last().get()));
            alarms.occurs(AlarmKind.NOT_LISTENING, SiteWatches.INSTALLATION, OptionalLong.empty(), book.last().get(), now);
        }
    }

    /** Whether silence of sensors means anything at {@code now}. Called inside a transaction. */
    boolean isSilenceJudged(Instant now) {
        Book book = book();
        return book.since().filter(since -> !since.plus(config.grace()).isAfter(now)).isPresent()
                && listenedUntil().filter(until -> !until.isBefore(now.minus(freshness()))).isPresent();
    }

    private void listening(Book book, Instant heard, Instant now) {
        boolean gap = book.last().filter(last -> last.plus(config.outageAfter()).isBefore(heard)).isPresent();
        if (book.since().isPresent() && !gap) {
            entities.createNativeQuery(LISTENED).setParameter("at", heard).executeUpdate();
            return;
        }
        entities.createNativeQuery(BEGAN).setParameter("at", heard).setParameter("since", now).executeUpdate();
        journal.append(Entry.of(now, "listening-began").site(SiteWatches.INSTALLATION).with("last-listened", book.last()));
        if (gap && book.since().isPresent()) {
            // The process itself was away, so nobody could raise this while it lasted.
            alarms.occurs(AlarmKind.NOT_LISTENING, SiteWatches.INSTALLATION, OptionalLong.empty(), book.last().get(), now);
        }
        alarms.returns(AlarmKind.NOT_LISTENING, SiteWatches.INSTALLATION, OptionalLong.empty(), heard, now);
    }

    /** The least of the slots: while one is stranded, the sensors that are dealt to it are not heard. */
    private Optional<Instant> listenedUntil() {
        List<?> slots = entities.createNativeQuery(SLOTS).getResultList();
        if (slots.isEmpty() || slots.stream().anyMatch(until -> until == null)) {
            return Optional.empty();
        }
        return slots.stream().map(Rows::instant).min(Instant::compareTo);
    }

    private Duration freshness() {
        return ingest.tick().multipliedBy(4);
    }

    private Book book() {
        Object[] row = (Object[]) entities.createNativeQuery(READ).getSingleResult();
        return new Book(Optional.ofNullable(row[0]).map(Rows::instant), Optional.ofNullable(row[1]).map(Rows::instant));
    }
}
