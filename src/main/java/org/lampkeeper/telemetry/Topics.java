package org.lampkeeper.telemetry;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import org.lampkeeper.telemetry.SensorTopic.Kind;

/** The topics that sensors publish to: {@code lampkeeper/v1/{deviceId}/report} and {@code …/link}. */
public final class Topics {

    /** Subscription to the reports of all sensors. */
    static final String ALL_REPORTS = "lampkeeper/v1/+/report";
    /** Subscription to births and wills of all sensors. */
    static final String ALL_LINKS = "lampkeeper/v1/+/link";

    /** What says that Lampkeeper is alive, retained. No sensor's topic, for those have one level more. */
    public static final String HEARTBEAT = "lampkeeper/v1/heartbeat";

    /** Where the subscriber writes to itself. No sensor may have this device id. */
    static final String INGEST = "lampkeeper/v1/ingest/";
    /** The subscriber's own marker on its way through the shared subscription to reports. */
    static final String INGEST_MARKER_REPORT = INGEST + "report";

    // No dot: the embedded broker writes topic levels with dots, so "a.b" would be two levels there. No "+", "#", "$" or "/" either.
    private static final String DEVICE_ID = "[A-Za-z0-9_-]{1,64}";
    private static final Pattern DEVICE = Pattern.compile(DEVICE_ID);
    private static final Pattern TOPIC = Pattern.compile("lampkeeper/v1/(" + DEVICE_ID + ")/(report|link)");

    private Topics() {
    }

    static boolean isDeviceId(String text) {
        return DEVICE.matcher(text).matches();
    }

    /** Whether a topic that came by one of our subscriptions carries a report. */
    static boolean isReport(String topic) {
        return topic.endsWith("/report");
    }

    static String reportOf(String deviceId) {
        return topic(deviceId, "report");
    }

    static String linkOf(String deviceId) {
        return topic(deviceId, "link");
    }

    /** Empty for whatever is not exactly a topic of one sensor. */
    public static Optional<SensorTopic> parse(String topic) {
        Matcher matcher = TOPIC.matcher(topic);
        return matcher.matches()
                ? Optional.of(new SensorTopic(matcher.group(1), matcher.group(2).equals("link") ? Kind.LINK : Kind.REPORT))
                : Optional.empty();
    }

    private static String topic(String deviceId, String last) {
        if (!isDeviceId(deviceId)) {
            throw new IllegalArgumentException("device id '" + deviceId + "', must be 1 to 64 letters, digits, _ or -");
        }
        return "lampkeeper/v1/" + deviceId + "/" + last;
    }
}
