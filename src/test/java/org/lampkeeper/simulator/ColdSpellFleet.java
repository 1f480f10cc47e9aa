package org.lampkeeper.simulator;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;

import org.eclipse.paho.client.mqttv3.IMqttDeliveryToken;
import org.eclipse.paho.client.mqttv3.MqttAsyncClient;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

import org.lampkeeper.testing.ColdSpell;

/**
 * Cabinets of the simulator in the cold spell of {@link ColdSpell}, each with a weather of its own, in moved time. What their sensors say goes to a real
 * broker and is taken from there again. Their time constants of 0.8 to 5 h are told to nobody; a reading is off by 0.2 K, normally, from memory, and
 * rounded to a tenth as the simulator does. Supply is lost for three hours in each of the two nights before, and for good at -7 °C.
 */
public final class ColdSpellFleet implements AutoCloseable {

    private static final Duration MINUTE = Duration.ofMinutes(1);
    private static final Duration PATIENCE = Duration.ofSeconds(30);
    /** Ours: Mosquitto keeps a thousand for a client unless it is told otherwise. */
    private static final int MOST_ON_THE_WAY = 500;
    private static final double NOISE = 0.2;
    private static final double WANDERING = 0.7;
    private static final double WANDERS_FOR_HOURS = 3;

    private final Duration moved;
    private final Map<String, Played> all = new LinkedHashMap<>();
    private final MqttAsyncClient line;
    private final MqttClient ear;
    private final BlockingQueue<Message> heard = new LinkedBlockingQueue<>();
    private final List<IMqttDeliveryToken> onTheWay = new ArrayList<>();
    private long messages;

    /** As it came from the broker. */
    public record Message(String topic, byte[] payload) {
    }

    /** One sensor in its cabinet. */
    private static final class Played {
        private final SimulatedSensor sensor;
        private final double tauHours;
        private final Random random;
        private Instant now = ColdSpell.BEGIN;
        private double wander;
        private boolean supplied = true;

        private Played(SensorLogin login, FleetSettings settings, Random random, Instant begin) {
            this.tauHours = settings.timeConstant().toMillis() / 3_600_000.0;
            this.random = random;
            // By the seed alone: what a sensor is called hangs on which tests ran before.
            this.sensor = new SimulatedSensor(login, settings, new Random(settings.seed()), begin);
        }
    }

    /** {@code moved}: by how much later than in 2013 it all happens. */
    public ColdSpellFleet(URI broker, Duration moved) throws MqttException {
        this.moved = moved;
        MqttConnectOptions options = new MqttConnectOptions();
        options.setSocketFactory(new PromptSockets());
        options.setMaxInflight(MOST_ON_THE_WAY);
        line = new MqttAsyncClient(broker.toString(), "cold-spell-gateway", new MemoryPersistence());
        line.connect(options).waitForCompletion(PATIENCE.toMillis());
        ear = new MqttClient(broker.toString(), "cold-spell-ear", new MemoryPersistence());
        ear.connect(options);
        ear.subscribe("lampkeeper/v1/+/report", 1, (topic, message) -> heard.add(new Message(topic, message.getPayload())));
    }

    /** {@code measuresContent}: its content is a body of its own behind the air, with a probe on it. */
    public void add(String deviceId, String baseName, long seed, boolean measuresContent) {
        // Neighbouring seeds begin alike otherwise.
        Random random = new Random(seed * 0x9E3779B97F4A7C15L);
        Duration tau = Duration.ofMillis(Math.round(0.8 * Math.pow(5 / 0.8, random.nextDouble()) * 3_600_000));
        FleetSettings settings = FleetSettings.usual().reportingEvery(Duration.ofMinutes(15)).promising(Duration.ofMinutes(20)).coolingWith(tau)
                .outside(ColdSpell.outside(ColdSpell.BEGIN)).offBy(NOISE).seeded(seed);
        if (measuresContent) {
            settings = settings.measuring(new HeatedCabinet.Content(Duration.ofSeconds(Math.round(600 + 3000 * random.nextDouble())), 0.3 + 0.4 * random.nextDouble()));
        }
        Played played = new Played(new SensorLogin(deviceId, "", baseName), settings, random, ColdSpell.BEGIN.plus(moved));
        all.put(deviceId, played);
        send(played.sensor.lineUp(ColdSpell.BEGIN.plus(moved)));
    }

    /** Lets time pass minute by minute; what was said on the way comes back as it went through the broker. {@code at}: as in 2013. */
    public List<Message> passTo(Instant at) throws InterruptedException {
        for (Played each : all.values()) {
            while (each.now.isBefore(at)) {
                send(minute(each));
            }
        }
        arrived();
        List<Message> taken = new ArrayList<>();
        while (messages > 0) {
            Message next = heard.poll(PATIENCE.toSeconds(), TimeUnit.SECONDS);
            if (next == null) {
                throw new IllegalStateException(messages + " messages did not come back from the broker within " + PATIENCE);
            }
            taken.add(next);
            messages--;
        }
        return taken;
    }

    /** When the content really is below that temperature, as in 2013: goes on with that one cabinet up to two days after the loss, and tells nobody. */
    public Optional<Instant> isBelow(String deviceId, double celsius) {
        Played played = all.get(deviceId);
        while (played.now.isBefore(ColdSpell.LOSS.plus(Duration.ofHours(48)))) {
            if (played.sensor.contentCelsius() < celsius) {
                return Optional.of(played.now);
            }
            minute(played);
        }
        return Optional.empty();
    }

    public double tauHours(String deviceId) {
        return all.get(deviceId).tauHours;
    }

    private List<SensorAct> minute(Played each) {
        double kept = Math.exp(-MINUTE.toSeconds() / 3600.0 / WANDERS_FOR_HOURS);
        each.wander = each.wander * kept + WANDERING * Math.sqrt(1 - kept * kept) * each.random.nextGaussian();
        List<SensorAct> acts = new ArrayList<>(each.sensor.outside(ColdSpell.outside(each.now) + each.wander, each.now.plus(moved)));
        each.now = each.now.plus(MINUTE);
        Instant then = each.now.plus(moved);
        boolean isSupplied = ColdSpell.isSupplied(each.now);
        if (isSupplied == each.supplied) {
            acts.addAll(each.sensor.advance(then));
        } else {
            acts.addAll(isSupplied ? each.sensor.restoreSupply(then) : each.sensor.loseSupply(then));
            each.supplied = isSupplied;
        }
        return acts;
    }

    private void send(List<SensorAct> acts) {
        for (SensorAct act : acts) {
            if (act instanceof SensorAct.Publish message && message.topic().endsWith("/report")) {
                try {
                    if (onTheWay.size() == MOST_ON_THE_WAY) {
                        arrived();
                    }
                    onTheWay.add(line.publish(message.topic(), message.payload(), 1, message.retained()));
                } catch (MqttException lost) {
                    throw new IllegalStateException("could not publish " + new String(message.payload(), StandardCharsets.UTF_8), lost);
                }
                messages++;
            }
        }
    }

    /** The broker has all that was sent: one by one would take most of the time of a large fleet. */
    private void arrived() {
        try {
            for (IMqttDeliveryToken each : onTheWay) {
                each.waitForCompletion(PATIENCE.toMillis());
            }
        } catch (MqttException lost) {
            throw new IllegalStateException("the broker did not take one of " + onTheWay.size() + " reports", lost);
        }
        onTheWay.clear();
    }

    @Override
    public void close() throws MqttException {
        line.disconnect().waitForCompletion(PATIENCE.toMillis());
        line.close();
        ear.disconnect();
        ear.close();
    }
}
