package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;

/** Points the application under test at a fresh PostgreSQL database, which it migrates at start. */
public class PostgresResource implements QuarkusTestResourceLifecycleManager {

    @Override
    public Map<String, String> start() {
        return TestPostgres.emptyDatabase().asQuarkusConfiguration();
    }

    @Override
    public void stop() {
        // The database goes with the server at the end of the JVM; other tests use that server.
    }
}
