package org.lampkeeper.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.util.Map;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;

/** Gives the application under test a short message centre: {@link #centre()}. */
public class ShortMessageCentreResource implements QuarkusTestResourceLifecycleManager {

    private static volatile ShortMessageCentre centre;

    /** That of the application which runs now. */
    public static ShortMessageCentre centre() {
        return centre;
    }

    @Override
    public Map<String, String> start() {
        try {
            centre = new ShortMessageCentre();
        } catch (IOException failed) {
            throw new UncheckedIOException("no short message centre could be started", failed);
        }
        return Map.of("lampkeeper.sms.host", "127.0.0.1", "lampkeeper.sms.port", Integer.toString(centre.port()), "lampkeeper.sms.sender", "1234",
                "lampkeeper.sms.country", "GB", "lampkeeper.sms.timeout", "2s", "lampkeeper.message.base-url", "https://lampkeeper.hallowwater.example");
    }

    @Override
    public void stop() {
        try {
            centre.close();
        } catch (IOException failed) {
            throw new UncheckedIOException("the short message centre could not be stopped", failed);
        }
    }
}
