package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.junit.QuarkusTestProfile;

/** The application with the demo's installation, on H2. All tests with this profile share one start and one database. */
public class WithDemo implements QuarkusTestProfile {

    @Override
    public Map<String, String> getConfigOverrides() {
        return Map.of("lampkeeper.demo", "true");
    }
}
