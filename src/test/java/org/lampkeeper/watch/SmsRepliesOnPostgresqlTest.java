package org.lampkeeper.watch;

import java.util.List;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.QuarkusTestProfile;
import io.quarkus.test.junit.TestProfile;

import org.lampkeeper.testing.PostgresResource;
import org.lampkeeper.testing.ShortMessageCentreResource;

@QuarkusTest
@TestProfile(SmsRepliesOnPostgresqlTest.WithCentre.class)
class SmsRepliesOnPostgresqlTest extends SmsRepliesContract {

    public static class WithCentre implements QuarkusTestProfile {
        @Override
        public List<TestResourceEntry> testResources() {
            return List.of(new TestResourceEntry(PostgresResource.class), new TestResourceEntry(ShortMessageCentreResource.class));
        }
    }
}
