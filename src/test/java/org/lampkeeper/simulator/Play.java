package org.lampkeeper.simulator;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.StreamSupport;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;

/** Plays one sensor on a line that is up whenever the sensor lets it, and keeps what went over it. */
final class Play {

    static final Instant NOON = Instant.parse("2026-01-15T12:00:00Z");
    static final SensorLogin LOGIN = new SensorLogin("s-1", "secret", "urn:dev:mac:0024befffe804ff1:");
    static final FleetSettings SETTINGS = FleetSettings.usual();

    private static final ObjectMapper JSON = new ObjectMapper();

    /** One message and when it went out. */
    record Sent(Instant at, SensorAct.Publish message) {
        String text() {
            return new String(message.payload(), StandardCharsets.UTF_8);
        }

        boolean isReport() {
            return message.topic().equals("lampkeeper/v1/s-1/report");
        }

        JsonNode json() {
            try {
                return JSON.readTree(message.payload());
            } catch (IOException unreadable) {
                throw new UncheckedIOException(text(), unreadable);
            }
        }

        List<JsonNode> records(String name) {
            return StreamSupport.stream(json().spliterator(), false).filter(entry -> entry.get("n").asText().equals(name)).toList();
        }

        boolean saysHealthy() {
            List<JsonNode> supplies = records("supply");
            return supplies.get(supplies.size() - 1).get("vb").asBoolean();
        }

        long seq() {
            List<JsonNode> seqs = records("seq");
            return seqs.get(seqs.size() - 1).get("v").asLong();
        }
    }

    final List<Sent> sent = new ArrayList<>();
    final List<String> notes = new ArrayList<>();
    final List<Instant> cuts = new ArrayList<>();
    final SimulatedSensor sensor;
    Instant now = NOON;

    private Play(SimulatedSensor sensor) {
        this.sensor = sensor;
    }

    static Play connected(FleetSettings settings) {
        Play play = new Play(new SimulatedSensor(LOGIN, settings, NOON));
        play.take(play.sensor.lineUp(NOON));
        return play;
    }

    static Play connected() {
        return connected(SETTINGS);
    }

    Play fault(Fault fault, Duration duration) {
        take(sensor.play(fault, duration, now));
        return this;
    }

    Play run(Duration time) {
        Instant end = now.plus(time);
        while (sensor.nextDue().filter(due -> !due.isAfter(end)).isPresent()) {
            now = sensor.nextDue().orElseThrow();
            take(sensor.advance(now));
        }
        now = end;
        take(sensor.advance(end));
        return this;
    }

    /** Forgets what went over the line until now, so that a test sees only what follows. */
    Play forget() {
        sent.clear();
        notes.clear();
        return this;
    }

    List<Sent> reports() {
        return sent.stream().filter(Sent::isReport).toList();
    }

    void take(List<SensorAct> acts) {
        for (SensorAct act : acts) {
            if (act instanceof SensorAct.Publish message) {
                sent.add(new Sent(now, message));
            } else if (act instanceof SensorAct.Note note) {
                notes.add(note.text());
            } else if (act instanceof SensorAct.CutLine) {
                cuts.add(now);
            } else if (act instanceof SensorAct.MendLine) {
                take(sensor.lineUp(now));
            }
        }
    }
}
