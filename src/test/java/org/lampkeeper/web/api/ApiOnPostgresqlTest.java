package org.lampkeeper.web.api;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;

import org.lampkeeper.testing.OnPostgresql;

@QuarkusTest
@TestProfile(OnPostgresql.class)
class ApiOnPostgresqlTest extends ApiContract {
}
