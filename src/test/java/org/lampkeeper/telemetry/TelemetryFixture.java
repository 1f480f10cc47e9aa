package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

/** Packs and payloads of one sensor. */
final class TelemetryFixture {

    static final String BASE_NAME = "urn:dev:mac:0024befffe804ff1:";
    static final Instant NOON = Instant.parse("2026-11-03T12:00:00Z");
    static final boolean LIVE = false;
    static final boolean MAY_HAVE_WAITED = true;

    /** The report of design §6, byte for byte. */
    static final String SAMPLE = """
            [{"bn":"urn:dev:mac:0024befffe804ff1:","bt":1790000000,"n":"supply","vb":true,"ut":900},
             {"n":"inside","u":"Cel","v":9.4},{"n":"outside","u":"Cel","v":2.1},
             {"n":"battery","u":"%EL","v":87},{"n":"heater","vb":true},{"n":"door","vb":false},{"n":"seq","v":4711}]""";

    private TelemetryFixture() {
    }

    static Decoded decode(String payload) {
        return SenmlCodec.decode(payload.getBytes(StandardCharsets.UTF_8));
    }

    /** A pack of the sensor at 1790000000, with single quotes for double ones. */
    static Decoded decodeOurs(String records) {
        return decode(("[{'bn':'" + BASE_NAME + "','bt':1790000000," + records + "]").replace('\'', '"'));
    }

    static Pack packOf(Observation... observations) {
        return new Pack(BASE_NAME, Arrays.stream(observations).sorted((a, b) -> a.time().compareTo(b.time())).toList(), List.of());
    }

    static Observation at(Instant time, boolean supplied) {
        return new Observation(new SenmlTime.Absolute(time), supplied, Optional.empty(), OptionalLong.empty(), Readings.NONE);
    }

    static Observation ago(Duration ago, boolean supplied) {
        return new Observation(new SenmlTime.Relative(ago.negated()), supplied, Optional.empty(), OptionalLong.empty(), Readings.NONE);
    }
}
