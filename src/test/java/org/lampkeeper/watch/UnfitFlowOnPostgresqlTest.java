package org.lampkeeper.watch;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;

import org.lampkeeper.testing.OnPostgresql;

/** The same on the other database. */
@QuarkusTest
@TestProfile(OnPostgresql.class)
class UnfitFlowOnPostgresqlTest extends UnfitFlowTest {
}
