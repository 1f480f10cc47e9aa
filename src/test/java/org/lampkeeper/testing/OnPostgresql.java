package org.lampkeeper.testing;

import java.util.List;

import io.quarkus.test.junit.QuarkusTestProfile;

/** The application on PostgreSQL. All tests with this profile share one start and one database. */
public class OnPostgresql implements QuarkusTestProfile {

    @Override
    public List<TestResourceEntry> testResources() {
        return List.of(new TestResourceEntry(PostgresResource.class));
    }
}
