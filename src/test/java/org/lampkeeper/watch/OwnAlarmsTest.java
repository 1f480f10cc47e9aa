package org.lampkeeper.watch;

import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Proxy;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.atomic.AtomicLong;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.micrometer.core.instrument.simple.SimpleMeterRegistry;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.runtime.configuration.MemorySize;
import io.quarkus.runtime.configuration.MemorySizeConverter;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.watch.WatchFixture.Raised;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** What Lampkeeper notices of itself becomes one alarm a kind, which ends by itself. */
@QuarkusTest
class OwnAlarmsTest {

    @Inject
    WatchFixture fixture;

    @Inject
    WatchConfig config;

    @Inject
    OwnConditions conditions;

    @Inject
    CommitProbe probe;

    @Inject
    OwnFaults faults;

    @Inject
    EntityManager entities;

    private final Map<String, Object> settings = new HashMap<>();
    private final AtomicLong nanos = new AtomicLong();
    private final SimpleMeterRegistry meters = new SimpleMeterRegistry();
    private Duration commitTakes = Duration.ofMillis(3);
    private Instant clock = NOON;
    private OwnMachine machine;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        run("DELETE FROM own_condition");
        run("DELETE FROM broker_drops");
        settings.put("diskFreeBelow", size("1"));
        machine = new OwnMachine(new CommitProbe(entities) {
            @Override
            public void write(String instance, Instant at) {
                probe.write(instance, at);
                nanos.addAndGet(commitTakes.toNanos());
            }
        }, conditions, settled(), "one", meters, nanos::get);
    }

    @AfterEach
    void nothingStays() {
        run("DELETE FROM own_condition");
        run("DELETE FROM broker_drops");
        run("DELETE FROM outgoing_message WHERE message_key = 'stuck'");
        fixture.atNoonListening();
    }

    @Test
    void wellIsNoAlarm() {
        looksFor(Duration.ofMinutes(3));

        assertThat(own()).isEmpty();
        assertThat(meters.get("lampkeeper.database.commit.seconds").gauge().value()).isEqualTo(0.003);
        assertThat(meters.get("lampkeeper.disk.free.bytes").gauge().value()).isPositive();
        assertThat(meters.get("lampkeeper.clock.stepped.seconds").gauge().value()).isZero();
    }

    @Test
    void slowDatabaseIsAnAlarmAfterAMinuteAndEndsAMinuteAfterItIsFast() {
        commitTakes = Duration.ofMillis(501);
        looksFor(Duration.ofSeconds(55));

        assertThat(own()).isEmpty();

        looksFor(Duration.ofSeconds(10));

        assertThat(own()).containsExactly("DATABASE_SLOW live");
        assertThat(meters.get("lampkeeper.own.fault").tag("kind", "DATABASE_SLOW").gauge().value()).isOne();

        commitTakes = Duration.ofMillis(500);
        looksFor(Duration.ofSeconds(55));
        assertThat(own()).containsExactly("DATABASE_SLOW live");

        looksFor(Duration.ofSeconds(10));
        assertThat(own()).containsExactly("DATABASE_SLOW over");
    }

    @Test
    void clockThatJumpsIsToldAtOnceForwardAndBack() {
        looksFor(Duration.ofSeconds(9));
        clock = clock.plusSeconds(3600);
        look();

        assertThat(own()).containsExactly("CLOCK_STEPPED live");
        assertThat(meters.get("lampkeeper.clock.stepped.seconds").gauge().value()).isCloseTo(3600, within(0.01));

        looksFor(Duration.ofSeconds(66));
        assertThat(own()).containsExactly("CLOCK_STEPPED over");

        clock = clock.minusSeconds(7200);
        look();
        assertThat(own()).containsExactly("CLOCK_STEPPED live");
        looksFor(Duration.ofSeconds(66));
        assertThat(own()).containsExactly("CLOCK_STEPPED over");
    }

    @Test
    void fullDiskIsAnAlarmOfWhereTheDataIsOrWillBe() {
        settings.put("dataDirectory", Path.of("target", "not", "there", "yet"));
        settings.put("diskFreeBelow", size("1000000G"));
        looksFor(Duration.ofSeconds(66));

        assertThat(own()).containsExactly("DISK_NEARLY_FULL live");

        settings.put("diskFreeBelow", size("1"));
        looksFor(Duration.ofSeconds(66));
        assertThat(own()).containsExactly("DISK_NEARLY_FULL over");
    }

    @Test
    void oneAlarmLastsWhileAnyInstanceFindsItAndADeadOneIsForgotten() {
        conditions.found(AlarmKind.DISK_NEARLY_FULL, "one", Optional.of(NOON.minusSeconds(60)), NOON);
        conditions.found(AlarmKind.DISK_NEARLY_FULL, "two", Optional.of(NOON.minusSeconds(90)), NOON);
        conditions.found(AlarmKind.DISK_NEARLY_FULL, "one", Optional.empty(), NOON.plusSeconds(1));

        assertThat(own()).containsExactly("DISK_NEARLY_FULL live");

        conditions.found(AlarmKind.DISK_NEARLY_FULL, "one", Optional.empty(), NOON.plusSeconds(60));
        assertThat(own()).containsExactly("DISK_NEARLY_FULL live");

        conditions.found(AlarmKind.DISK_NEARLY_FULL, "one", Optional.empty(), NOON.plusSeconds(61));
        assertThat(own()).containsExactly("DISK_NEARLY_FULL over");
    }

    @Test
    void messageThatHasWaitedTooLongIsAnAlarmAndEndsWhenItHasLeft() {
        long person = fixture.place(1).people().get(0);
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("""
                INSERT INTO outgoing_message (id, message_key, purpose, person_id, channel, address, subject, body, created_at, next_attempt_at, state, attempts)
                VALUES (909901, 'stuck', 'ALARM', :person, 'MAIL', 'a@hallow.example', 's', 'b', :at, :at, 'WAITING', 0)""")
                .setParameter("person", person).setParameter("at", NOON.minus(config.messagesStuckAfter())).executeUpdate());

        faults.messages(NOON);
        assertThat(own()).doesNotContain("MESSAGES_STUCK live");

        faults.messages(NOON.plusMillis(1));
        assertThat(own()).containsExactly("MESSAGES_STUCK live");

        run("UPDATE outgoing_message SET state = 'SENT', next_attempt_at = NULL WHERE message_key = 'stuck'");
        faults.messages(NOON.plusSeconds(3));
        assertThat(own()).containsExactly("MESSAGES_STUCK over");
    }

    @Test
    void whatTheBrokerDropsIsAnAlarmUntilItHasDroppedNothingForAnHour() {
        faults.broker(OptionalLong.empty(), NOON);
        faults.broker(OptionalLong.of(7), NOON);
        assertThat(own()).isEmpty();

        faults.broker(OptionalLong.of(8), NOON.plusSeconds(3));
        assertThat(own()).containsExactly("BROKER_DROPPING live");

        faults.broker(OptionalLong.of(9), NOON.plusSeconds(1800));
        faults.broker(OptionalLong.empty(), NOON.plusSeconds(5399));
        assertThat(own()).containsExactly("BROKER_DROPPING live");

        faults.broker(OptionalLong.of(9), NOON.plusSeconds(5400));
        assertThat(own()).containsExactly("BROKER_DROPPING over");
    }

    /** As after a restart of Lampkeeper, or of the broker: the count of before is in the database alone. */
    @Test
    void whatTheBrokerDroppedWhileNobodyLookedIsAnAlarmToo() {
        run("INSERT INTO broker_drops (id, told) VALUES (1, 7)");
        faults.broker(OptionalLong.of(2), NOON);

        assertThat(own()).containsExactly("BROKER_DROPPING live");
    }

    @Test
    void oneThatFailsDoesNotHideTheOthers() {
        StringBuilder ran = new StringBuilder();

        assertThatThrownBy(() -> new EachThough().run(() -> ran.append("a")).run(() -> {
            throw new IllegalStateException("first");
        }).run(() -> ran.append("b")).run(() -> {
            throw new IllegalStateException("second");
        }).run(() -> ran.append("c")).end()).hasMessage("first").satisfies(failure -> assertThat(failure.getSuppressed()).hasSize(1));
        assertThat(ran).hasToString("abc");
    }

    /** A look every three seconds. */
    private void looksFor(Duration time) {
        for (Duration passed = Duration.ZERO; passed.compareTo(time) < 0; passed = passed.plusSeconds(3)) {
            nanos.addAndGet(Duration.ofSeconds(3).minus(commitTakes).toNanos());
            clock = clock.plusSeconds(3);
            look();
        }
    }

    private void look() {
        machine.look(clock);
    }

    private List<String> own() {
        return fixture.alarms(SiteWatches.INSTALLATION).stream().filter(Raised::open).map(alarm -> alarm.kind() + (alarm.live() ? " live" : " over")).toList();
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    private WatchConfig settled() {
        return (WatchConfig) Proxy.newProxyInstance(WatchConfig.class.getClassLoader(), new Class<?>[] {WatchConfig.class}, (proxy, method, arguments) -> {
            try {
                return settings.containsKey(method.getName()) ? settings.get(method.getName()) : method.invoke(config, arguments);
            } catch (InvocationTargetException e) {
                throw e.getCause();
            }
        });
    }

    private static MemorySize size(String text) {
        return new MemorySizeConverter().convert(text);
    }
}
