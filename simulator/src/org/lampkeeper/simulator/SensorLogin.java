package org.lampkeeper.simulator;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.regex.Pattern;

/**
 * What one sensor was given when it was registered.
 *
 * @param deviceId its name in the topic, and the user name and client id with which it connects
 * @param secret   its password; empty means that it connects without one
 * @param baseName the {@code bn} of its reports, such as {@code urn:dev:mac:0024befffe804ff1:}
 */
public record SensorLogin(String deviceId, String secret, String baseName) {

    // MQTT 5.0, 4.7: these three have a meaning of their own in a topic.
    private static final Pattern NOT_IN_A_TOPIC_LEVEL = Pattern.compile("[/+#\\s]");

    public SensorLogin {
        if (deviceId.isEmpty() || NOT_IN_A_TOPIC_LEVEL.matcher(deviceId).find()) {
            throw new IllegalArgumentException("device id \"" + deviceId + "\": must not be empty nor hold a space or one of / + #");
        }
        if (baseName.isEmpty()) {
            throw new IllegalArgumentException("sensor " + deviceId + ": the base name is empty");
        }
    }

    /** Without the secret, so that it ends in no log. */
    @Override
    public String toString() {
        return "SensorLogin[" + deviceId + ", " + baseName + "]";
    }

    /**
     * Reads lines of {@code deviceId,secret,baseName}. Empty lines, lines that start with {@code #} and a heading of those three words
     * are passed over. Fields are not quoted: none of the three can hold a comma.
     *
     * @throws IllegalArgumentException naming file and line, when a line is not such a line or a sensor comes twice
     */
    public static List<SensorLogin> readAll(Path file) throws IOException {
        List<SensorLogin> logins = new ArrayList<>();
        Set<String> seen = new HashSet<>();
        int number = 0;
        for (String line : Files.readAllLines(file)) {
            number++;
            String text = line.strip();
            if (text.isEmpty() || text.startsWith("#") || text.equals("deviceId,secret,baseName")) {
                continue;
            }
            String[] fields = text.split(",", -1);
            if (fields.length != 3) {
                throw new IllegalArgumentException(
                        file + ", line " + number + ": " + fields.length + " fields, must be 3: deviceId,secret,baseName");
            }
            try {
                logins.add(new SensorLogin(fields[0].strip(), fields[1].strip(), fields[2].strip()));
            } catch (IllegalArgumentException wrong) {
                throw new IllegalArgumentException(file + ", line " + number + ": " + wrong.getMessage(), wrong);
            }
            if (!seen.add(fields[0].strip())) {
                throw new IllegalArgumentException(file + ", line " + number + ": sensor " + fields[0].strip() + " is there twice");
            }
        }
        return List.copyOf(logins);
    }

    /** {@code count} sensors named {@code prefix-1}, {@code prefix-2}, …, without secrets: for a connection that publishes for all. */
    public static List<SensorLogin> invent(int count, String prefix) {
        List<SensorLogin> logins = new ArrayList<>(count);
        for (int number = 1; number <= count; number++) {
            String deviceId = prefix + "-" + number;
            // RFC 9039, 4.3 (urn:dev:os) with the enterprise number that RFC 5612 keeps for examples.
            logins.add(new SensorLogin(deviceId, "", "urn:dev:os:32473-" + deviceId + ":"));
        }
        return List.copyOf(logins);
    }
}
