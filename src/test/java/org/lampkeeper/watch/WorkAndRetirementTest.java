package org.lampkeeper.watch;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class WorkAndRetirementTest extends WorkAndRetirementContract {
}
