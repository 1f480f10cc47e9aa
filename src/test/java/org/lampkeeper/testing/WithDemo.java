package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.junit.QuarkusTestProfile;

/** The application with the demo's installation, on H2. All tests with this profile share one start and one database. */
public class WithDemo implements QuarkusTestProfile {

    @Override
    public Map<String, String> getConfigOverrides() {
        // A name that is reached by https, and one that is not; the tests themselves come by the loopback address.
        return Map.of("lampkeeper.demo", "true", "lampkeeper.message.base-url", "https://watch.example",
                "lampkeeper.web.hosts", "localhost,127.0.0.1,[::1],plain.example");
    }
}
