package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;

/** Sends the mail of every application under test to {@link MailServer#shared()}. */
public class MailServerResource implements QuarkusTestResourceLifecycleManager {

    @Override
    public Map<String, String> start() {
        return Map.of(
                "quarkus.mailer.host", "127.0.0.1",
                "quarkus.mailer.port", Integer.toString(MailServer.shared().port()),
                "quarkus.mailer.mock", "false",
                "lampkeeper.message.from", "Lampkeeper <lampkeeper@watch.example>",
                "lampkeeper.message.link-keys", "target/test-data/keys/links.json");
    }

    @Override
    public void stop() {
        // The server ends with the JVM; the next application under test uses it again.
    }
}
