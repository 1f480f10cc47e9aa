package org.lampkeeper.simulator;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;

import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttActionListener;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttClientException;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.jspecify.annotations.Nullable;

/**
 * One MQTT 5 connection that is wanted until it is closed: tries for ever, waiting longer each time up to half a minute. What was not
 * acknowledged when it broke is given back, in its order. Safe for several threads.
 *
 * <p>Every connection is a new Paho client with a clean start: what its predecessor still says is recognised by its number and ignored.
 */
final class SensorLink {

    /** Who uses the connection. Called from any thread, with the link's lock held: must only take note, never wait. */
    interface Ear {
        /** {@link SensorLink#connection} may have changed. {@code why}: for a reader, when it is not simply up. */
        void lineChanged(Optional<String> why);

        void acknowledged(SensorAct.Publish message);

        void refused(SensorAct.Publish message, int reasonCode);

        void givenBack(SensorAct.Publish message);
    }

    /** How it introduces itself. {@code willTopic}: where the broker says {@code down} when the connection breaks. */
    record Introduction(String clientId, Optional<String> user, Optional<String> password, Optional<String> willTopic) {
    }

    private static final System.Logger LOG = System.getLogger(SensorLink.class.getName());

    private static final int QOS = 1;
    // MQTT 5.0, 2.4: reason codes from here on are failures.
    private static final int FAILURE = 0x80;
    // Paho's "too many publishes in progress": the broker announced a smaller window than ours.
    private static final int MAX_INFLIGHT = MqttClientException.REASON_CODE_MAX_INFLIGHT;
    // Ours: enough for a gateway to keep a broker busy, few enough to lose little with the connection.
    private static final int WINDOW = 64;
    // Ours: births and reports of 50,000 sensors behind one connection.
    private static final int WAITING_AT_MOST = 100_000;
    private static final Duration FIRST_PAUSE = Duration.ofMillis(500);
    private static final Duration LONGEST_PAUSE = Duration.ofSeconds(30);
    private static final int KEEP_ALIVE_SECONDS = 30;
    private static final int CONNECT_SECONDS = 10;
    private static final long DISCONNECT_MILLIS = 1_000;

    private final String broker;
    private final Introduction introduction;
    private final ScheduledExecutorService timer;
    private final Random jitter;
    private final Ear ear;

    private final ArrayDeque<SensorAct.Publish> waiting = new ArrayDeque<>();
    private final Set<Flight> inFlight = new LinkedHashSet<>();
    private final CompletableFuture<Void> drained = new CompletableFuture<>();
    private @Nullable MqttAsyncClient client;
    private long attempt;
    private boolean up;
    private boolean wanted;
    private boolean closing;
    private int failures;

    SensorLink(URI broker, Introduction introduction, ScheduledExecutorService timer, long seed, Ear ear) {
        this.broker = pahoAddress(broker);
        this.introduction = introduction;
        this.timer = timer;
        this.jitter = new Random(seed);
        this.ear = ear;
    }

    /** The usual {@code mqtt:} and {@code mqtts:} in the words that Paho knows. */
    static String pahoAddress(URI broker) {
        String scheme = broker.getScheme() == null ? "" : broker.getScheme();
        return switch (scheme) {
            case "tcp", "ssl", "ws", "wss" -> broker.toString();
            case "mqtt" -> "tcp" + broker.toString().substring(scheme.length());
            case "mqtts" -> "ssl" + broker.toString().substring(scheme.length());
            default -> throw new IllegalArgumentException(
                    "broker \"" + broker + "\": must begin with tcp:// ssl:// ws:// wss:// mqtt:// or mqtts://");
        };
    }

    /** The number of the connection that is up, above zero and higher each time; 0 when none is. */
    synchronized long connection() {
        return up ? attempt : 0;
    }

    /** Connects, and connects again whenever that breaks, until {@link #cut} or {@link #close}. */
    synchronized void connect() {
        if (!wanted && !closing) {
            wanted = true;
            failures = 0;
            attemptLater(Duration.ZERO);
        }
    }

    /** Breaks the connection as a pulled plug would: no DISCONNECT, so the broker publishes the will. Stays so until {@link #connect}. */
    void cut() {
        Optional<MqttAsyncClient> old;
        synchronized (this) {
            wanted = false;
            old = abandon();
        }
        old.ifPresent(gone -> discard(gone, false));
    }

    /** Takes a message if the connection is up and not swamped. {@code false}: not taken, and nothing more will be heard of it. */
    synchronized boolean offer(SensorAct.Publish message) {
        if (!up || waiting.size() >= WAITING_AT_MOST) {
            return false;
        }
        waiting.add(message);
        pump();
        return true;
    }

    /**
     * Completes when everything taken so far has been acknowledged, or cannot be any more, and when a connection that is being opened was
     * answered: a broker that stops under a CONNECT has nobody to answer, and a fleet is closed just before its broker. Nothing connects
     * again after this.
     */
    synchronized CompletableFuture<Void> drain() {
        closing = true;
        wanted = false;
        completeIfDrained();
        return drained;
    }

    /** Says good-bye to the broker, which then forgets the will. */
    void close() {
        Optional<MqttAsyncClient> old;
        boolean wasUp;
        synchronized (this) {
            closing = true;
            wanted = false;
            wasUp = up;
            old = abandon();
        }
        old.ifPresent(gone -> discard(gone, wasUp));
    }

    private void attemptLater(Duration pause) {
        long number = ++attempt;
        timer.schedule(() -> begin(number), pause.toMillis(), TimeUnit.MILLISECONDS);
    }

    private void begin(long number) {
        synchronized (this) {
            if (number != attempt || !wanted) {
                return;
            }
            try {
                MqttAsyncClient next = new MqttAsyncClient(broker, introduction.clientId(), new MemoryPersistence());
                client = next;
                next.setCallback(new Watch(number));
                next.connect(options(), null, new MqttActionListener() {
                    @Override
                    public void onSuccess(IMqttToken token) {
                        opened(number);
                    }

                    @Override
                    public void onFailure(IMqttToken token, Throwable cause) {
                        broken(number, "could not connect: " + cause.getMessage());
                    }
                });
            } catch (MqttException cannot) {
                broken(number, "could not connect: " + cannot.getMessage());
            }
        }
    }

    private MqttConnectionOptions options() {
        MqttConnectionOptions options = new MqttConnectionOptions();
        options.setCleanStart(true);
        options.setAutomaticReconnect(false);
        options.setKeepAliveInterval(KEEP_ALIVE_SECONDS);
        options.setConnectionTimeout(CONNECT_SECONDS);
        if (broker.startsWith("tcp:")) {
            options.setSocketFactory(new PromptSockets());
        }
        introduction.user().ifPresent(options::setUserName);
        introduction.password().ifPresent(password -> options.setPassword(password.getBytes(StandardCharsets.UTF_8)));
        introduction.willTopic().ifPresent(topic -> options.setWill(topic, message(Wire.down(), true)));
        return options;
    }

    private synchronized void opened(long number) {
        if (number != attempt || !wanted && !closing) {
            return;
        }
        up = true;
        failures = 0;
        if (closing) {
            // Nothing is played over it any more, but it is up, so that closing says good-bye.
            completeIfDrained();
        } else {
            ear.lineChanged(Optional.empty());
        }
    }

    private synchronized void broken(long number, String why) {
        if (number != attempt) {
            return;
        }
        Optional<MqttAsyncClient> old = abandon();
        // On a thread of ours: Paho may be calling from the very thread that it would wait for.
        old.ifPresent(gone -> timer.execute(() -> discard(gone, false)));
        ear.lineChanged(Optional.of(why));
        if (wanted) {
            attemptLater(pause());
        }
    }

    private Duration pause() {
        long doubled = FIRST_PAUSE.toMillis() << Math.min(failures++, 10);
        long longest = Math.min(doubled, LONGEST_PAUSE.toMillis());
        return Duration.ofMillis((long) (longest * (0.5 + jitter.nextDouble() / 2)));
    }

    /** Forgets the present client, if any, and gives back what it did not deliver. */
    private Optional<MqttAsyncClient> abandon() {
        attempt++;
        up = false;
        Optional<MqttAsyncClient> old = Optional.ofNullable(client);
        client = null;
        List<SensorAct.Publish> lost = new ArrayList<>();
        inFlight.forEach(flight -> lost.add(flight.message()));
        lost.addAll(waiting);
        inFlight.clear();
        waiting.clear();
        lost.forEach(ear::givenBack);
        if (closing) {
            drained.complete(null);
        }
        return old;
    }

    private void discard(MqttAsyncClient gone, boolean politely) {
        try {
            gone.disconnectForcibly(0, DISCONNECT_MILLIS, politely);
        } catch (MqttException alreadyGone) {
            LOG.log(System.Logger.Level.DEBUG, () -> introduction.clientId() + ": was not connected: " + alreadyGone.getMessage());
        }
        try {
            gone.close(true);
        } catch (MqttException stuck) {
            LOG.log(System.Logger.Level.WARNING, introduction.clientId() + ": an old connection cannot be closed", stuck);
        }
    }

    /** Sends what waits, as long as the window has room. */
    private void pump() {
        while (up && client != null && inFlight.size() < WINDOW && !waiting.isEmpty()) {
            SensorAct.Publish next = waiting.removeFirst();
            Flight flight = new Flight(attempt, next);
            inFlight.add(flight);
            try {
                client.publish(next.topic(), message(next.payload(), next.retained()), null, flight);
            } catch (MqttException cannot) {
                inFlight.remove(flight);
                if (cannot.getReasonCode() == MAX_INFLIGHT && !inFlight.isEmpty()) {
                    waiting.addFirst(next);
                    return;
                }
                if (cannot.getReasonCode() == MqttClientException.REASON_CODE_CLIENT_NOT_CONNECTED) {
                    // The news that it broke is on its way, and gives this one back with the others.
                    waiting.addFirst(next);
                    return;
                }
                ear.refused(next, cannot.getReasonCode());
            }
        }
    }

    private void completeIfDrained() {
        boolean isBeingOpened = client != null && !up;
        if (closing && !isBeingOpened && waiting.isEmpty() && inFlight.isEmpty()) {
            drained.complete(null);
        }
    }

    private static MqttMessage message(byte[] payload, boolean retained) {
        return new MqttMessage(payload, QOS, retained, new MqttProperties());
    }

    /** One message between its sending and its answer. Equal only to itself: the same message may fly again. */
    private final class Flight implements MqttActionListener {
        private final long number;
        private final SensorAct.Publish message;

        Flight(long number, SensorAct.Publish message) {
            this.number = number;
            this.message = message;
        }

        SensorAct.Publish message() {
            return message;
        }

        @Override
        public void onSuccess(IMqttToken token) {
            int[] codes = token.getReasonCodes();
            land(codes != null && codes.length > 0 ? codes[0] : 0);
        }

        @Override
        public void onFailure(IMqttToken token, Throwable cause) {
            if (cause instanceof MqttException answered && answered.getReasonCode() >= FAILURE && answered.getReasonCode() <= 0xFF) {
                land(answered.getReasonCode());
            } else {
                broken(number, "lost: " + cause.getMessage());
            }
        }

        private void land(int reasonCode) {
            synchronized (SensorLink.this) {
                if (number != attempt || !inFlight.remove(this)) {
                    return;
                }
                if (reasonCode >= FAILURE) {
                    ear.refused(message, reasonCode);
                } else {
                    ear.acknowledged(message);
                }
                pump();
                completeIfDrained();
            }
        }
    }

    /** Hears what Paho has to say of the connection with one number. */
    private final class Watch implements MqttCallback {
        private final long number;

        Watch(long number) {
            this.number = number;
        }

        @Override
        public void disconnected(MqttDisconnectResponse response) {
            String why = response.getReasonString() != null ? response.getReasonString()
                    : response.getException() != null ? response.getException().getMessage() : "reason code " + response.getReturnCode();
            broken(number, "lost: " + why);
        }

        @Override
        public void mqttErrorOccurred(MqttException error) {
            LOG.log(System.Logger.Level.DEBUG, () -> introduction.clientId() + ": " + error.getMessage());
        }

        @Override
        public void messageArrived(String topic, MqttMessage message) {
            // It subscribes to nothing.
        }

        @Override
        public void deliveryComplete(IMqttToken token) {
            // Each flight has its own listener.
        }

        @Override
        public void connectComplete(boolean reconnect, String serverUri) {
            // The listener of the connect call has it.
        }

        @Override
        public void authPacketArrived(int reasonCode, MqttProperties properties) {
            // Only with extended authentication, which is not asked for.
        }
    }
}
