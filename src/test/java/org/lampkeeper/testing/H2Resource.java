package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;

/** Points the application under test at a fresh H2 file below {@code target/}. The default profile has one already. */
public class H2Resource implements QuarkusTestResourceLifecycleManager {

    @Override
    public Map<String, String> start() {
        return TestDatabases.emptyH2File().asQuarkusConfiguration();
    }

    @Override
    public void stop() {
        // H2 closes the file with its last connection.
    }
}
