package org.lampkeeper.simulator;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonGenerator;

/** Topics and messages as they go over the line: SenML JSON (RFC 8428), and the rubbish that only looks like it. */
final class Wire {

    // Ours: 16 observations of eight records stay within the limits of a report, 128 records and 8 KiB.
    static final int OBSERVATIONS_IN_A_PACK = 16;
    static final int HUGE = 1 << 20;
    static final String FOREIGN_BASE_NAME = "urn:dev:os:32473-somebody-else:";

    private static final JsonFactory JSON = new JsonFactory();

    private Wire() {
    }

    static String reportTopic(String deviceId) {
        return "lampkeeper/v1/" + deviceId + "/report";
    }

    static String linkTopic(String deviceId) {
        return "lampkeeper/v1/" + deviceId + "/link";
    }

    static byte[] up() {
        return "up".getBytes(StandardCharsets.UTF_8);
    }

    static byte[] down() {
        return "down".getBytes(StandardCharsets.UTF_8);
    }

    /**
     * One pack. The base time is that of the newest observation, the older ones count back from it.
     *
     * @param observations oldest first, at least one, no two of the same second (a pack could not tell them apart)
     * @param now          against which a sensor without a clock counts back
     */
    static byte[] pack(String baseName, Duration promise, List<Observation> observations, DeviceClock clock, Instant started, Instant now) {
        Observation newest = observations.get(observations.size() - 1);
        OptionalLong baseTime = clock.read(newest.at(), started);
        long origin = baseTime.isPresent() ? newest.at().getEpochSecond() : now.getEpochSecond();
        ByteArrayOutputStream bytes = new ByteArrayOutputStream(256 * observations.size());
        try (JsonGenerator json = JSON.createGenerator(bytes)) {
            json.writeStartArray();
            for (int i = 0; i < observations.size(); i++) {
                Observation seen = observations.get(i);
                long offset = seen.at().getEpochSecond() - origin;
                json.writeStartObject();
                if (i == 0) {
                    json.writeStringField("bn", baseName);
                    if (baseTime.isPresent()) {
                        json.writeNumberField("bt", baseTime.getAsLong());
                    }
                }
                name(json, "supply", offset);
                json.writeBooleanField("vb", seen.supply());
                json.writeNumberField("ut", promise.getSeconds());
                json.writeEndObject();
                number(json, "inside", "Cel", seen.inside(), offset);
                number(json, "outside", "Cel", seen.outside(), offset);
                if (seen.content().isPresent()) {
                    number(json, "content", "Cel", seen.content().get(), offset);
                }
                number(json, "battery", "%EL", seen.battery(), offset);
                truth(json, "heater", seen.heater(), offset);
                truth(json, "door", seen.door(), offset);
                json.writeStartObject();
                name(json, "seq", offset);
                json.writeNumberField("v", seen.seq());
                json.writeEndObject();
            }
            json.writeEndArray();
        } catch (IOException impossible) {
            throw new UncheckedIOException("a report could not be written to memory", impossible);
        }
        return bytes.toByteArray();
    }

    /** The messages of {@link Fault#GARBAGE}, in their order. */
    static List<byte[]> garbage(String baseName, Instant now) {
        String lost = "[{\"bn\":\"%s\",\"bt\":%d,\"n\":\"supply\",\"vb\":false";
        String own = lost.formatted(baseName, now.getEpochSecond());
        String foreign = lost.formatted(FOREIGN_BASE_NAME, now.getEpochSecond());
        String huge = own + "},{\"n\":\"padding\",\"vs\":\"";
        String end = "\"}]";
        List<String> texts = new ArrayList<>();
        texts.add(own);
        texts.add(huge + "x".repeat(HUGE - huge.length() - end.length()) + end);
        texts.add(own + "},{\"n\":\"inside\",\"u\":\"Cel\",\"v\":NaN}]");
        texts.add(foreign + "}]");
        return texts.stream().map(text -> text.getBytes(StandardCharsets.UTF_8)).toList();
    }

    private static void number(JsonGenerator json, String name, String unit, double value, long offset) throws IOException {
        json.writeStartObject();
        name(json, name, offset);
        json.writeStringField("u", unit);
        json.writeNumberField("v", Math.round(value * 10) / 10.0);
        json.writeEndObject();
    }

    private static void truth(JsonGenerator json, String name, boolean value, long offset) throws IOException {
        json.writeStartObject();
        name(json, name, offset);
        json.writeBooleanField("vb", value);
        json.writeEndObject();
    }

    private static void name(JsonGenerator json, String name, long offset) throws IOException {
        json.writeStringField("n", name);
        if (offset != 0) {
            json.writeNumberField("t", offset);
        }
    }
}
