package org.lampkeeper.register;

import java.util.List;
import java.util.regex.Pattern;

/**
 * A sensor as entered.
 *
 * @param deviceId its topic level and its login at the broker: 1 to 64 letters, digits, hyphens and underscores
 * @param baseName the SenML {@code bn} of its reports, with its closing colon
 */
public record NewSensor(long cabinetId, String deviceId, String baseName) {

    // A slash, plus or hash would change the topic, a dot is what the embedded broker writes for a slash, and a colon ends a login in
    // the external broker's password file.
    private static final Pattern DEVICE_ID = Pattern.compile("[A-Za-z0-9_-]{1,64}");
    // RFC 8428 section 4.5.1: a name begins with a letter or digit; the colon keeps "…1:" + "supply" apart from "…1supply".
    private static final Pattern BASE_NAME = Pattern.compile("[A-Za-z0-9][A-Za-z0-9:./_-]{0,118}:");

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .must("deviceId", DEVICE_ID.matcher(deviceId).matches(), "device id must be 1 to 64 letters, digits, hyphens and underscores")
                .must("baseName", BASE_NAME.matcher(baseName).matches(), "base name"
                        + " must be 2 to 120 letters, digits and - : . / _, beginning with a letter or digit and ending with a colon")
                .list();
    }
}
