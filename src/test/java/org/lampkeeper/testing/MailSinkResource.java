package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;

/** Sends the mail of the application under test to {@link MailSink#shared()}. */
public class MailSinkResource implements QuarkusTestResourceLifecycleManager {

    @Override
    public Map<String, String> start() {
        return Map.of("quarkus.mailer.port", Integer.toString(MailSink.shared().port()));
    }

    /** After {@link MailServerResource}, whose port this replaces. */
    @Override
    public int order() {
        return 1;
    }

    @Override
    public void stop() {
        // It ends with the JVM.
    }
}
