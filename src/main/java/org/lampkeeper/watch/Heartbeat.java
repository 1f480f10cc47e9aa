package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.micrometer.core.instrument.Counter;
import io.micrometer.core.instrument.MeterRegistry;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.telemetry.HeartbeatLink;
import org.lampkeeper.telemetry.Subscriber;

/**
 * Says every minute that Lampkeeper is alive, at the broker and, where configured, to an address. It reads the database for it, so a heartbeat
 * means that the database answers too.
 */
@ApplicationScoped
class Heartbeat {

    private final Journal journal;
    private final Outbox outbox;
    private final Subscriber subscriber;
    private final HeartbeatLink link;
    private final OwnConditions conditions;
    private final HeartbeatConfig config;
    private final ObjectMapper json;
    private final String version;
    private final Clock clock;
    private final Optional<HeartbeatCall> call;
    private final Counter sent;
    private final Counter failed;
    private volatile @Nullable Instant failingSince;

    Heartbeat(Journal journal, Outbox outbox, Subscriber subscriber, HeartbeatLink link, OwnConditions conditions, HeartbeatConfig config,
            ObjectMapper json, @ConfigProperty(name = "quarkus.application.version") String version, Clock clock, MeterRegistry meters) {
        this.journal = journal;
        this.outbox = outbox;
        this.subscriber = subscriber;
        this.link = link;
        this.conditions = conditions;
        this.config = config;
        this.json = json;
        this.version = version;
        this.clock = clock;
        this.call = config.url().map(url -> new HeartbeatCall(url, config.timeout()));
        this.sent = meters.counter("lampkeeper.heartbeat.sent");
        this.failed = meters.counter("lampkeeper.heartbeat.failed");
    }

    /** One heartbeat, by every way though another fails. */
    void beat() {
        Instant now = clock.instant();
        try {
            Map<String, Object> said = said(now);
            byte[] body = json.writeValueAsBytes(said);
            Map<String, String> query = new LinkedHashMap<>();
            said.forEach((name, value) -> query.put(name, value.toString()));
            new EachThough().run(() -> link.publish(body, subscriber.instance())).run(() -> call.ifPresent(each -> each.send(query))).end();
        } catch (JsonProcessingException impossible) {
            throw new IllegalStateException("a heartbeat of texts and numbers cannot be written as JSON", impossible);
        } catch (RuntimeException failure) {
            failed.increment();
            if (failingSince == null) {
                failingSince = now;
            }
            throw failure;
        }
        sent.increment();
        failingSince = null;
    }

    /** Raises or ends the alarm. At the pace of the health loop, so that the other instances see that this one still says so. */
    void judge(Instant now) {
        Optional<Instant> since = Optional.ofNullable(failingSince).filter(at -> at.plus(config.outageAfter()).isBefore(now));
        conditions.found(AlarmKind.HEARTBEAT_NOT_SENT, subscriber.instance(), since, now);
    }

    /** {@code oldest-unsent-seconds} is 0 where no message waits. */
    private Map<String, Object> said(Instant now) {
        Head head = journal.head();
        Map<String, Object> said = new LinkedHashMap<>();
        said.put("time", now.truncatedTo(ChronoUnit.MILLIS).toString());
        said.put("instance", subscriber.instance());
        said.put("version", version);
        said.put("journal-number", head.number());
        said.put("journal-hash", head.hash());
        said.put("listening", subscriber.isListening());
        said.put("oldest-unsent-seconds", outbox.oldestWaitingSince().map(since -> Math.max(0, Duration.between(since, now).toSeconds())).orElse(0L));
        return said;
    }
}
