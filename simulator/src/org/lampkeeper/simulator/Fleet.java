package org.lampkeeper.simulator;

import java.net.URI;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.atomic.LongAdder;
import java.util.function.Consumer;
import java.util.function.Function;

import org.jspecify.annotations.Nullable;

/**
 * Many simulated sensors on one broker, from when it is connected until it is closed. Nothing here waits for the broker: sensors whose
 * connection fails try again for ever. Safe for several threads.
 *
 * <p>Sensors with their own login have their own connection each, at four threads of the MQTT client apiece: good for some hundreds. Behind
 * a gateway one connection publishes for all: good for a hundred thousand, but only with a broker that lets it, and there is only one will,
 * so a killed gateway leaves the links of its sensors {@code up}.
 */
public final class Fleet implements AutoCloseable {

    private static final System.Logger LOG = System.getLogger(Fleet.class.getName());

    // Ours: a broker checks each login, and a thousand at once would only make the last ones wait.
    private static final Duration BETWEEN_CONNECTS = Duration.ofMillis(5);
    private static final Duration BETWEEN_GATEWAY_STARTS = Duration.ofNanos(200_000);
    // Ours: to deliver the good-byes. A broker that needs longer hears of it by the wills.
    private static final Duration GOOD_BYE = Duration.ofSeconds(5);

    private final Map<String, Player> players = new LinkedHashMap<>();
    private final List<SensorLink> links = new ArrayList<>();
    private final ScheduledThreadPoolExecutor timer;
    private final Clock clock;
    private final Consumer<FleetEvent> diary;
    private final LongAdder connections = new LongAdder();
    private final LongAdder published = new LongAdder();
    private final LongAdder acknowledged = new LongAdder();
    private final LongAdder refused = new LongAdder();
    private final LongAdder givenBack = new LongAdder();
    private volatile boolean closed;

    private Fleet(Clock clock, Consumer<FleetEvent> diary) {
        this.clock = clock;
        this.diary = diary;
        this.timer = new ScheduledThreadPoolExecutor(Math.max(2, Runtime.getRuntime().availableProcessors()), task -> {
            Thread thread = new Thread(task, "simulated-sensors");
            thread.setDaemon(true);
            return thread;
        });
        timer.setRemoveOnCancelPolicy(true);
        // What comes in after the close, such as the news of the last connection, has nobody left to play it.
        timer.setRejectedExecutionHandler(new ThreadPoolExecutor.DiscardPolicy());
    }

    /** Plays the sensors, each on its own connection with its own login. Returns at once. Events go to the log, at debug. */
    public static Fleet connect(URI broker, List<SensorLogin> sensors, FleetSettings settings) {
        return connect(broker, sensors, settings, event -> LOG.log(System.Logger.Level.DEBUG, () -> event.deviceId() + " " + event.text()));
    }

    /** The same; {@code diary} is told every event, by several threads, and must not take long. */
    public static Fleet connect(URI broker, List<SensorLogin> sensors, FleetSettings settings, Consumer<FleetEvent> diary) {
        Fleet fleet = new Fleet(Clock.systemUTC(), diary);
        for (SensorLogin login : sensors) {
            Player player = fleet.add(login, settings);
            Optional<String> password = Optional.of(login.secret()).filter(secret -> !secret.isEmpty());
            SensorLink.Introduction introduction = new SensorLink.Introduction(login.deviceId(), Optional.of(login.deviceId()), password,
                    Optional.of(Wire.linkTopic(login.deviceId())));
            SensorLink link = new SensorLink(broker, introduction, fleet.timer, settings.seed() + login.deviceId().hashCode(),
                    fleet.new OwnEar(player));
            player.link = link;
            player.ownsLink = true;
            fleet.links.add(link);
        }
        for (int i = 0; i < fleet.links.size(); i++) {
            fleet.timer.schedule(fleet.links.get(i)::connect, BETWEEN_CONNECTS.toNanos() * i, TimeUnit.NANOSECONDS);
        }
        return fleet;
    }

    /**
     * Plays the sensors behind one connection, which publishes for all of them. Returns at once.
     *
     * @param clientId of that connection
     * @param user     empty for a broker that lets in anybody; so is {@code password}
     */
    public static Fleet connectGateway(URI broker, String clientId, String user, String password, List<SensorLogin> sensors,
            FleetSettings settings, Consumer<FleetEvent> diary) {
        Fleet fleet = new Fleet(Clock.systemUTC(), diary);
        SensorLink.Introduction introduction = new SensorLink.Introduction(clientId, Optional.of(user).filter(text -> !text.isEmpty()),
                Optional.of(password).filter(text -> !text.isEmpty()), Optional.empty());
        SensorLink link = new SensorLink(broker, introduction, fleet.timer, settings.seed(), fleet.new GatewayEar());
        fleet.links.add(link);
        for (SensorLogin login : sensors) {
            fleet.add(login, settings).link = link;
        }
        link.connect();
        return fleet;
    }

    /** Takes the supply of one sensor away until {@link #restoreSupply}. Reported at once if it is connected, else when it is. */
    public void loseSupply(String deviceId) {
        Player player = player(deviceId);
        player.play(player.sensor::loseSupply);
    }

    /** Gives back what {@link #loseSupply} took; a fault that is running may still keep the supply away. */
    public void restoreSupply(String deviceId) {
        Player player = player(deviceId);
        player.play(player.sensor::restoreSupply);
    }

    /** Changes the air outside one cabinet; it stays so until it is changed again. */
    public void outside(String deviceId, double celsius) {
        Player player = player(deviceId);
        player.play(now -> player.sensor.outside(celsius, now));
    }

    /** Starts a fault now; it ends by itself. */
    public void play(String deviceId, Fault fault, Duration duration) {
        Player player = player(deviceId);
        player.play(now -> player.sensor.play(fault, duration, now));
    }

    /** Starts each fault at its offset from now. */
    public void schedule(List<PlannedFault> plan) {
        plan.forEach(planned -> player(planned.deviceId()));
        for (PlannedFault planned : plan) {
            timer.schedule(() -> play(planned.deviceId(), planned.fault(), planned.duration()), planned.offset().toMillis(),
                    TimeUnit.MILLISECONDS);
        }
    }

    public FleetCounts counts() {
        return new FleetCounts(players.size(), connections.sum(), published.sum(), acknowledged.sum(), refused.sum(), givenBack.sum());
    }

    /** How many sensors have a connection right now. */
    public int connected() {
        return (int) players.values().stream().filter(Player::isConnected).count();
    }

    /**
     * Ends the play: every connected sensor says {@code down} on its link, as a DISCONNECT makes the broker forget the will, and the
     * broker gets a few seconds to acknowledge that. A second call does nothing.
     */
    @Override
    public synchronized void close() {
        if (closed) {
            return;
        }
        closed = true;
        players.values().forEach(Player::sayGoodBye);
        CompletableFuture<Void> drained = CompletableFuture.allOf(links.stream().map(SensorLink::drain).toArray(CompletableFuture[]::new));
        try {
            drained.get(GOOD_BYE.toMillis(), TimeUnit.MILLISECONDS);
        } catch (TimeoutException slow) {
            LOG.log(System.Logger.Level.WARNING, "the broker did not acknowledge every good-bye within " + GOOD_BYE.toSeconds() + " s");
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        } catch (ExecutionException impossible) {
            throw new IllegalStateException("draining never fails", impossible);
        }
        links.forEach(SensorLink::close);
        timer.shutdownNow();
    }

    private Player add(SensorLogin login, FleetSettings settings) {
        Player player = new Player(new SimulatedSensor(login, settings, clock.instant()));
        if (players.putIfAbsent(login.deviceId(), player) != null) {
            throw new IllegalArgumentException("sensor " + login.deviceId() + " is there twice");
        }
        return player;
    }

    private Player player(String deviceId) {
        Player player = players.get(deviceId);
        if (player == null) {
            throw new IllegalArgumentException("no sensor is called \"" + deviceId + "\"");
        }
        return player;
    }

    private void say(String deviceId, String text, boolean steady) {
        diary.accept(new FleetEvent(clock.instant(), deviceId, text, steady));
    }

    /** Brings one sensor's play to the line, one step at a time. */
    private final class Player {
        private final SimulatedSensor sensor;
        private @Nullable SensorLink link;
        private boolean ownsLink;
        private boolean cut;
        private long knownConnection;
        private @Nullable ScheduledFuture<?> next;

        Player(SimulatedSensor sensor) {
            this.sensor = sensor;
        }

        synchronized boolean isConnected() {
            return knownConnection != 0;
        }

        /** Compares what the sensor knows of its line with the line. Told by state, not by event: two quick changes cannot swap. */
        synchronized void lookAtLine() {
            long current = cut || link == null ? 0 : link.connection();
            if (current == knownConnection) {
                return;
            }
            if (knownConnection != 0) {
                play(sensor::lineDown);
            }
            knownConnection = current;
            if (current != 0) {
                play(sensor::lineUp);
            }
        }

        synchronized void play(Function<Instant, List<SensorAct>> move) {
            if (closed) {
                return;
            }
            try {
                move.apply(clock.instant()).forEach(this::perform);
            } catch (RuntimeException bug) {
                // The loop that keeps one sensor alive: whatever went wrong, it reports again, and the others never notice.
                LOG.log(System.Logger.Level.ERROR, "sensor " + sensor.deviceId() + " could not make its move", bug);
            }
            rearm();
        }

        synchronized void sayGoodBye() {
            if (knownConnection != 0) {
                send(new SensorAct.Publish(sensor.deviceId(), Wire.linkTopic(sensor.deviceId()), Wire.down(), true, List.of()));
            }
        }

        private void rearm() {
            if (next != null) {
                next.cancel(false);
            }
            next = sensor.nextDue().map(due -> {
                long nanos = Math.max(0, Duration.between(clock.instant(), due).toNanos());
                return timer.schedule(() -> play(sensor::advance), nanos, TimeUnit.NANOSECONDS);
            }).orElse(null);
        }

        // Exhaustive over the sealed family; pattern switches are not in Java 17.
        private void perform(SensorAct act) {
            if (act instanceof SensorAct.Publish message) {
                send(message);
            } else if (act instanceof SensorAct.Note note) {
                say(sensor.deviceId(), note.text(), note.steady());
            } else if (act instanceof SensorAct.CutLine) {
                cutLine();
            } else if (act instanceof SensorAct.MendLine) {
                mendLine();
            } else {
                throw new IllegalStateException("unknown act " + act);
            }
        }

        private void send(SensorAct.Publish message) {
            if (link != null && link.offer(message)) {
                published.increment();
            } else if (!message.carried().isEmpty()) {
                timer.execute(() -> takeBack(message));
            }
        }

        private void takeBack(SensorAct.Publish message) {
            play(now -> sensor.undelivered(message.carried(), now));
        }

        private void cutLine() {
            cut = true;
            knownConnection = 0;
            if (ownsLink && link != null) {
                link.cut();
            } else {
                // The gateway's own connection stays: it says for the sensor what a broker would say by the will.
                send(new SensorAct.Publish(sensor.deviceId(), Wire.linkTopic(sensor.deviceId()), Wire.down(), true, List.of()));
            }
        }

        private void mendLine() {
            cut = false;
            if (ownsLink && link != null) {
                link.connect();
            }
            timer.execute(this::lookAtLine);
        }
    }

    /** Counts, and gives back to the sensor what did not arrive. Leaves the lock of the link before it touches a player. */
    private abstract class CountingEar implements SensorLink.Ear {
        @Override
        public void acknowledged(SensorAct.Publish message) {
            acknowledged.increment();
        }

        @Override
        public void refused(SensorAct.Publish message, int reasonCode) {
            refused.increment();
            say(message.deviceId(), "was refused by the broker, reason code " + reasonCode, false);
        }

        @Override
        public void givenBack(SensorAct.Publish message) {
            givenBack.increment();
            if (!message.carried().isEmpty()) {
                Player player = player(message.deviceId());
                timer.execute(() -> player.takeBack(message));
            }
        }
    }

    private final class OwnEar extends CountingEar {
        private final Player player;

        OwnEar(Player player) {
            this.player = player;
        }

        @Override
        public void lineChanged(Optional<String> why) {
            if (why.isPresent()) {
                say(player.sensor.deviceId(), why.get(), false);
            } else {
                connections.increment();
            }
            timer.execute(player::lookAtLine);
        }
    }

    private final class GatewayEar extends CountingEar {
        @Override
        public void lineChanged(Optional<String> why) {
            if (why.isPresent()) {
                say("gateway", why.get(), false);
            } else {
                connections.increment();
                say("gateway", "connected", false);
            }
            long delay = 0;
            for (Player player : players.values()) {
                timer.schedule(player::lookAtLine, delay, TimeUnit.NANOSECONDS);
                delay += why.isPresent() ? 0 : BETWEEN_GATEWAY_STARTS.toNanos();
            }
        }
    }
}
