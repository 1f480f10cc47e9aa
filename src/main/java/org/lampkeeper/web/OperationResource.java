package org.lampkeeper.web;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Stream;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import io.micrometer.core.instrument.Counter;
import io.micrometer.core.instrument.Gauge;
import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.OwnHealth;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalConfig;
import org.lampkeeper.message.Channels;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.telemetry.BrokerConfig;
import org.lampkeeper.telemetry.BrokerFigures;
import org.lampkeeper.telemetry.EmbeddedBroker;
import org.lampkeeper.telemetry.Subscriber;
import org.lampkeeper.upkeep.Backup;
import org.lampkeeper.watch.ClockConfig;
import org.lampkeeper.watch.WatchConfig;
import org.lampkeeper.web.JournalReading.EntryRow;

/** Is Lampkeeper itself well? */
@Path("/operation")
@Produces(MediaType.TEXT_HTML)
@Needs(value = Right.OPERATE, everywhere = true)
class OperationResource {

    // Ours: what is not done this long after it was due has been forgotten, or cannot be done.
    private static final Duration OVERDUE = Duration.ofSeconds(5);
    // Ours: a mail that left at once has left by then, its first repeat too.
    private static final Duration UNSENT = Duration.ofMinutes(1);
    private static final String MAIL = "MAIL";
    // Ours: enough to see what goes wrong.
    private static final int SAMPLES = 20;

    private static final OwnHealth WELL = new OwnHealth(true, true, Optional.empty(), Optional.empty(), Optional.empty(), 0, true, 0, Set.of());

    private final OperationReading reading;
    private final Channels kinds;
    private final PersonChannels channels;
    private final JournalReading entries;
    private final Journal journal;
    private final JournalConfig journalConfig;
    private final Outbox outbox;
    private final EmbeddedBroker broker;
    private final BrokerConfig brokerConfig;
    private final Subscriber subscriber;
    private final MeterRegistry meters;
    private final SupplyReading supply;
    private final WebConfig web;
    private final WatchConfig watch;
    private final ClockConfig clockConfig;
    private final Clock clock;
    private final Backup backup;

    OperationResource(OperationReading reading, Channels kinds, PersonChannels channels, JournalReading entries, Journal journal, JournalConfig journalConfig, Outbox outbox,
            EmbeddedBroker broker, BrokerConfig brokerConfig, Subscriber subscriber, MeterRegistry meters, SupplyReading supply, WebConfig web,
            WatchConfig watch, ClockConfig clockConfig, Clock clock, Backup backup) {
        this.backup = backup;
        this.reading = reading;
        this.kinds = kinds;
        this.channels = channels;
        this.entries = entries;
        this.journal = journal;
        this.journalConfig = journalConfig;
        this.outbox = outbox;
        this.broker = broker;
        this.brokerConfig = brokerConfig;
        this.subscriber = subscriber;
        this.meters = meters;
        this.supply = supply;
        this.web = web;
        this.watch = watch;
        this.clockConfig = clockConfig;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance operation(OperationView view);
    }

    /** Every time is in the operator's zone, which {@code zone} names. */
    record OperationView(Frame frame, String headline, boolean isWell, List<Part> parts, List<InstanceView> instances, List<RefusedView> refused,
            List<SampleView> samples, AlarmFigures alarms, String zone, String backup) {

        /** One thing that Lampkeeper stands on. {@code look} is {@code lost} where it is the fault. */
        record Part(String name, String state, String look, List<Fact> facts) {
        }

        record Fact(String name, String value) {
        }

        record InstanceView(String id, boolean isThisOne, Moment started, Moment seen, String slots) {
        }

        /** {@code refused}: by this instance since it started, whether a sample was kept or not. */
        record RefusedView(String reason, long refused, long samples, String newest) {
        }

        record SampleView(Moment at, String topic, String reason, String detail, String sample) {
        }
    }

    @GET
    public TemplateInstance page() {
        Instant now = clock.instant();
        ZoneId zone = watch.operatorZone();
        OperationReading.Listening listening = reading.listening();
        OperationReading.Deadlines deadlines = reading.deadlines(now.minus(OVERDUE));
        long waiting = outbox.waiting();
        Optional<Instant> oldest = outbox.oldestWaitingSince();
        Optional<EntryRow> verified = entries.lastVerification();
        boolean isIntact = verified.filter(entry -> !Boolean.TRUE.equals(entry.facts().get("intact"))).isEmpty();
        long unsealed = reading.unsealed(now.minus(journalConfig.unsealedLimit()));
        boolean isHeard = listening.last().filter(at -> !at.plus(web.listeningWithin()).isBefore(now)).isPresent();
        boolean isBrokerThere = brokerConfig.url().isPresent() || broker.isRunning();
        OwnHealth health = new OwnHealth(isBrokerThere, isHeard, listening.last(),
                reading.health(MAIL).failingSince(), oldest.filter(at -> at.plus(UNSENT).isBefore(now)), deadlines.overdue(), isIntact, unsealed, reading.standing());
        String headline = Sentences.operationHeadline(health, now, zone);
        List<OperationView.Part> parts = new ArrayList<>(List.of(broker(isBrokerThere, isHeard, listening, zone, now), database()));
        kinds.waysSetUp().forEach(kind -> parts.add(channel(kind, zone, now)));
        parts.addAll(List.of(people(), outbox(waiting, oldest, health, zone, now), deadlines(deadlines, zone, now),
                journal(verified, isIntact, unsealed, zone, now), machine(health, now)));
        return Templates.operation(new OperationView(SupplyPage.frame("Operation", "operation", supply.outline(), now), headline,
                headline.equals(Sentences.operationHeadline(WELL, now, zone)), parts, instances(zone, now), refused(zone, now),
                reading.samples(SAMPLES).stream().map(it -> new OperationView.SampleView(Moment.of(it.at(), zone, now), it.topic(), it.reason(),
                        it.detail(), it.sample())).toList(), AlarmFigures.read(reading, zone, now), SupplyPage.zoneName(zone), backup.isOffered() ? "/api/backup" : ""));
    }

    private OperationView.Part broker(boolean isThere, boolean isHeard, OperationReading.Listening listening, ZoneId zone, Instant now) {
        List<OperationView.Fact> facts = new ArrayList<>();
        if (brokerConfig.url().isPresent()) {
            facts.add(new OperationView.Fact("outside", brokerConfig.url().get().getScheme() + "://" + brokerConfig.url().get().getHost()));
        } else if (isThere) {
            BrokerFigures figures = broker.figures();
            facts.add(new OperationView.Fact("clients connected", Integer.toString(figures.connections())));
            facts.add(new OperationView.Fact("reports that wait in it", Long.toString(figures.waiting())));
            facts.add(new OperationView.Fact("logins refused since the start", Long.toString(figures.refusedLogins())));
            facts.add(new OperationView.Fact("packets refused since the start", Long.toString(figures.refusedPackets())));
        }
        facts.add(new OperationView.Fact("reports that wait in this instance", Integer.toString(subscriber.queued())));
        subscriber.droppedByBroker().ifPresent(dropped -> facts.add(new OperationView.Fact("messages that it has dropped", Long.toString(dropped))));
        facts.add(new OperationView.Fact("listening since", listening.since().map(at -> Sentences.clock(at, zone, now)).orElse("not listening")));
        facts.add(new OperationView.Fact("last listened", listening.last().map(at -> Sentences.ago(Duration.between(at, now)) + " ago").orElse("never")));
        subscriber.troubles().forEach((slot, trouble) -> facts.add(new OperationView.Fact("queue " + slot, trouble)));
        String state = !isThere ? "not there" : isHeard ? "listened to" : "not listened to";
        return new OperationView.Part("Broker", (brokerConfig.url().isPresent() ? "outside" : "of our own") + ", " + state,
                isThere && isHeard ? "plain" : "lost", facts);
    }

    private OperationView.Part database() {
        OperationReading.Database database = reading.database();
        return new OperationView.Part("Database", "reachable", "plain", List.of(new OperationView.Fact("which", database.product()),
                new OperationView.Fact("size", database.bytes().map(OperationResource::size).orElse("not known"))));
    }

    /** As this instance measured it last; the alarms are everybody's. */
    private OperationView.Part machine(OwnHealth health, Instant now) {
        Optional<Map<String, Object>> compared = reading.compared(now.minus(clockConfig.every().multipliedBy(2)), now).map(found -> entries.facts(found.body()));
        boolean isWell = !health.standing().contains(AlarmKind.DISK_NEARLY_FULL) && !health.standing().contains(AlarmKind.CLOCK_STEPPED)
                && !health.standing().contains(AlarmKind.DATABASE_SLOW) && compared.filter(found -> Boolean.TRUE.equals(found.get("off"))).isEmpty();
        return new OperationView.Part("Machine", isWell ? "well" : "not well", isWell ? "plain" : "lost", List.of(
                new OperationView.Fact("room on the disk", measured("lampkeeper.disk.free.bytes").map(bytes -> size(bytes.longValue())).orElse("not measured yet")),
                new OperationView.Fact("a commit takes", measured("lampkeeper.database.commit.seconds")
                        .map(seconds -> Math.round(seconds * 1000) + " ms").orElse("not measured yet")),
                new OperationView.Fact("clock", measured("lampkeeper.clock.stepped.seconds")
                        .map(seconds -> seconds == 0 ? "runs evenly" : "last jumped by " + Math.round(seconds) + " s").orElse("not measured yet")),
                new OperationView.Fact("beside another clock", compared.map(found -> ClockWords.off(((Number) found.get("offset-ms")).longValue()) + " " + found.get("server"))
                        .orElse(clockConfig.server().isPresent() ? "could not be compared lately" : "compared with no other: lampkeeper.clock.server is not set"))));
    }

    private Optional<Double> measured(String gauge) {
        return Optional.ofNullable(meters.find(gauge).gauge()).map(Gauge::value).filter(Double::isFinite);
    }

    private OperationView.Part channel(Channels.Kind kind, ZoneId zone, Instant now) {
        OperationReading.Health health = reading.health(kind.kind());
        List<OperationView.Fact> facts = new ArrayList<>();
        health.failingSince().ifPresent(at -> facts.add(new OperationView.Fact("failing since", Sentences.clock(at, zone, now))));
        health.reason().ifPresent(why -> facts.add(new OperationView.Fact("the other side said", why)));
        // Known from real messages only: while nothing is sent, nothing is learned.
        return new OperationView.Part(kind.label().substring(0, 1).toUpperCase(Locale.ROOT) + kind.label().substring(1),
                health.failingSince().isPresent() ? "not being handed over" : "no failure when last tried",
                health.failingSince().isPresent() ? "lost" : "plain", facts);
    }

    /** Whom an alarm may be told to, and of how many it is known that it gets there. */
    private OperationView.Part people() {
        List<Long> told = reading.mayBeTold();
        int without = told.size() - channels.provenAmong(told).size();
        return new OperationView.Part("People", without == 0 ? "each has a proven channel" : without == 1 ? "one has no proven channel"
                : without + " have no proven channel", "plain", List.of(new OperationView.Fact("may be told of an alarm", Integer.toString(told.size())),
                new OperationView.Fact("with a proven channel", Integer.toString(told.size() - without))));
    }

    private OperationView.Part outbox(long waiting, Optional<Instant> oldest, OwnHealth health, ZoneId zone, Instant now) {
        return new OperationView.Part("Outbox", waiting == 0 ? "empty" : waiting == 1 ? "one message waits" : waiting + " messages wait",
                health.unsentSince().isPresent() ? "lost" : "plain", List.of(new OperationView.Fact("last handed over",
                        reading.lastSent().map(at -> Sentences.clock(at, zone, now)).orElse("nothing yet")), new OperationView.Fact("oldest that waits",
                        oldest.map(at -> Sentences.clock(at, zone, now) + ", " + Sentences.ago(Duration.between(at, now)) + " ago").orElse("none"))));
    }

    private static OperationView.Part deadlines(OperationReading.Deadlines deadlines, ZoneId zone, Instant now) {
        return new OperationView.Part("Deadlines", deadlines.overdue() == 0 ? "none overdue" : deadlines.overdue() + " overdue",
                deadlines.overdue() == 0 ? "plain" : "lost",
                deadlines.earliest().map(at -> List.of(new OperationView.Fact("was due", Sentences.clock(at, zone, now)))).orElse(List.of()));
    }

    private OperationView.Part journal(Optional<EntryRow> verified, boolean isIntact, long unsealed, ZoneId zone, Instant now) {
        Head head = journal.head();
        List<OperationView.Fact> facts = List.of(new OperationView.Fact("newest sealed entry", Long.toString(head.number())),
                new OperationView.Fact("its hash", head.hash()),
                new OperationView.Fact("last verified", verified.map(entry -> Sentences.clock(entry.at(), zone, now)).orElse("never")));
        String state = !isIntact ? "not intact" : unsealed > 0 ? "not being sealed" : verified.isPresent() ? "intact when last verified" : "not verified yet";
        return new OperationView.Part("Journal", state, isIntact && unsealed == 0 ? "plain" : "lost", facts);
    }

    private List<OperationView.InstanceView> instances(ZoneId zone, Instant now) {
        Map<String, List<OperationReading.InstanceRow>> byId = new TreeMap<>();
        reading.instances(now).forEach(row -> byId.computeIfAbsent(row.id(), id -> new ArrayList<>()).add(row));
        return byId.entrySet().stream().map(each -> {
            OperationReading.InstanceRow first = each.getValue().get(0);
            List<String> slots = each.getValue().stream().flatMap(row -> row.slot().stream()).map(String::valueOf).toList();
            return new OperationView.InstanceView(each.getKey(), each.getKey().equals(subscriber.instance()), Moment.of(first.startedAt(), zone, now),
                    Moment.of(first.seenAt(), zone, now), slots.isEmpty() ? "none" : String.join(", ", slots));
        }).toList();
    }

    private List<OperationView.RefusedView> refused(ZoneId zone, Instant now) {
        Map<String, OperationReading.RefusedRow> kept = new TreeMap<>();
        reading.refused(now.minus(Duration.ofDays(1))).forEach(row -> kept.put(row.reason(), row));
        Map<String, Long> counted = new TreeMap<>();
        for (Counter counter : Stream.of("lampkeeper.reports.refused", "lampkeeper.replies.refused").flatMap(name -> meters.find(name).counters().stream()).toList()) {
            counted.merge(Optional.ofNullable(counter.getId().getTag("reason")).orElse(""), (long) counter.count(), Long::sum);
        }
        kept.keySet().forEach(reason -> counted.putIfAbsent(reason, 0L));
        return counted.entrySet().stream().map(each -> {
            Optional<OperationReading.RefusedRow> row = Optional.ofNullable(kept.get(each.getKey()));
            return new OperationView.RefusedView(each.getKey(), each.getValue(), row.map(OperationReading.RefusedRow::samples).orElse(0L),
                    row.map(it -> Sentences.clock(it.newest(), zone, now)).orElse("none in a day"));
        }).toList();
    }

    private static String size(long bytes) {
        double mebibytes = bytes / (1024.0 * 1024.0);
        return mebibytes < 10 ? String.format(Locale.ROOT, "%.1f MiB", mebibytes) : Math.round(mebibytes) + " MiB";
    }
}
