package org.lampkeeper.register;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class DutyOnH2Test extends DutyContract {
}
