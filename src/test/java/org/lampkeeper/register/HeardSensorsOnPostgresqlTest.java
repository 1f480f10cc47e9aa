package org.lampkeeper.register;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;

import org.lampkeeper.testing.OnPostgresql;

@QuarkusTest
@TestProfile(OnPostgresql.class)
class HeardSensorsOnPostgresqlTest extends HeardSensorsContract {
}
