package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.HashMap;
import java.util.Map;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import io.micrometer.core.instrument.MeterRegistry;

import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.telemetry.Reason;
import org.lampkeeper.telemetry.Refusal;

/** Counts what could not be read or was not allowed, and keeps a sample of each reason now and then for the operator to look at. */
@ApplicationScoped
class RefusedReports {

    /** Ours: enough to see what goes wrong, too few to fill a disk. */
    private static final Duration BETWEEN_SAMPLES = Duration.ofSeconds(10);
    private static final int TOPIC_LENGTH = 200;

    private static final String KEEP_SAMPLE = """
            INSERT INTO refused_report (id, received_at, topic, reason, detail, sample)
            VALUES (nextval('refused_report_seq'), :receivedAt, :topic, :reason, :detail, :sample)""";

    private final EntityManager entities;
    private final MeterRegistry meters;
    private final Map<String, Instant> lastSample = new HashMap<>();

    RefusedReports(EntityManager entities, MeterRegistry meters) {
        this.entities = entities;
        this.meters = meters;
    }

    /** Called inside the transaction that takes in the batch. */
    void note(Arrival arrival, Refusal refusal) {
        if (isSampleDue(refusal.reason().word(), arrival.receivedAt())) {
            keep(arrival, refusal);
        } else {
            count(refusal);
        }
    }

    /** Counts it and keeps it, whenever the last sample was. */
    void keep(Arrival arrival, Refusal refusal) {
        count(refusal);
        keep(arrival.receivedAt(), storable(arrival.topic()), refusal.reason().word(), refusal.detail(), arrival.payload());
    }

    /**
     * What a person sent back to a message and nobody can act on.
     *
     * @param from   from where, without a whole number
     * @param reason as a {@link Reason}'s word
     */
    void noteReply(String from, String reason, String detail, String text, Instant now) {
        meters.counter("lampkeeper.replies.refused", "reason", reason).increment();
        if (isSampleDue(reason, now)) {
            keep(now, from, reason, detail, text.getBytes(StandardCharsets.UTF_8));
        }
    }

    private void keep(Instant at, String from, String reason, String detail, byte[] content) {
        entities.createNativeQuery(KEEP_SAMPLE)
                .setParameter("receivedAt", at)
                .setParameter("topic", from)
                .setParameter("reason", reason)
                .setParameter("detail", detail)
                .setParameter("sample", Refusal.sampleOf(content))
                .executeUpdate();
    }

    private void count(Refusal refusal) {
        meters.counter("lampkeeper.reports.refused", "reason", refusal.reason().word()).increment();
    }

    private synchronized boolean isSampleDue(String reason, Instant now) {
        Instant last = lastSample.get(reason);
        if (last != null && now.isBefore(last.plus(BETWEEN_SAMPLES))) {
            return false;
        }
        lastSample.put(reason, now);
        return true;
    }

    /** PostgreSQL stores no NUL character in text. */
    private static String storable(String topic) {
        String clean = topic.replace('\u0000', '?');
        return clean.length() <= TOPIC_LENGTH ? clean : clean.substring(0, TOPIC_LENGTH);
    }
}
