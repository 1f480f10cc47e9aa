package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.EnumMap;
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
    private final Map<Reason, Instant> lastSample = new EnumMap<>(Reason.class);

    RefusedReports(EntityManager entities, MeterRegistry meters) {
        this.entities = entities;
        this.meters = meters;
    }

    /** Called inside the transaction that takes in the batch. */
    void note(Arrival arrival, Refusal refusal) {
        if (isSampleDue(refusal.reason(), arrival.receivedAt())) {
            keep(arrival, refusal);
        } else {
            count(refusal);
        }
    }

    /** Counts it and keeps it, whenever the last sample was. */
    void keep(Arrival arrival, Refusal refusal) {
        count(refusal);
        entities.createNativeQuery(KEEP_SAMPLE)
                .setParameter("receivedAt", arrival.receivedAt())
                .setParameter("topic", storable(arrival.topic()))
                .setParameter("reason", refusal.reason().word())
                .setParameter("detail", refusal.detail())
                .setParameter("sample", Refusal.sampleOf(arrival.payload()))
                .executeUpdate();
    }

    private void count(Refusal refusal) {
        meters.counter("lampkeeper.reports.refused", "reason", refusal.reason().word()).increment();
    }

    private synchronized boolean isSampleDue(Reason reason, Instant now) {
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
