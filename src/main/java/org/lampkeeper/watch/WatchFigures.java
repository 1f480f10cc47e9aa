package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import io.micrometer.core.instrument.MeterRegistry;
import io.micrometer.core.instrument.Tag;

import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.register.Rows;

/** Figures that a site would alert on, read from the database at a slow pace and shown to whoever scrapes. */
@ApplicationScoped
class WatchFigures {

    /** Ours: what is still there this long after it was due has been forgotten or cannot be handled. */
    private static final Duration OVERDUE = Duration.ofSeconds(5);

    private static final String ALARMS_BY_STATE = "SELECT state, COUNT(*) FROM alarm WHERE closed_at IS NULL GROUP BY state";

    private final EntityManager entities;
    private final Deadlines deadlines;
    private final Outbox outbox;
    private final AtomicLong overdue = new AtomicLong();
    private final AtomicLong unsentSeconds = new AtomicLong();
    private final AtomicLong waiting = new AtomicLong();
    private final Map<AlarmState, AtomicLong> alarms = new EnumMap<>(AlarmState.class);

    WatchFigures(EntityManager entities, Deadlines deadlines, Outbox outbox, MeterRegistry meters) {
        this.entities = entities;
        this.deadlines = deadlines;
        this.outbox = outbox;
        meters.gauge("lampkeeper.deadlines.overdue", overdue);
        meters.gauge("lampkeeper.messages.oldest.unsent.seconds", unsentSeconds);
        meters.gauge("lampkeeper.messages.waiting", waiting);
        for (AlarmState state : AlarmState.values()) {
            if (state != AlarmState.NORMAL) {
                AtomicLong count = new AtomicLong();
                alarms.put(state, count);
                meters.gauge("lampkeeper.alarms.open", List.of(Tag.of("state", state.name())), count);
            }
        }
    }

    /** Reads the figures anew. */
    @Transactional
    public void look(Instant now) {
        overdue.set(deadlines.overdue(now.minus(OVERDUE)));
        waiting.set(outbox.waiting());
        unsentSeconds.set(outbox.oldestWaitingSince().map(since -> Duration.between(since, now).toSeconds()).orElse(0L));
        Map<AlarmState, Long> counted = new EnumMap<>(AlarmState.class);
        for (Object found : entities.createNativeQuery(ALARMS_BY_STATE).getResultList()) {
            Object[] row = (Object[]) found;
            counted.put(AlarmState.valueOf((String) row[0]), Rows.number(row[1]));
        }
        alarms.forEach((state, count) -> count.set(counted.getOrDefault(state, 0L)));
    }
}
