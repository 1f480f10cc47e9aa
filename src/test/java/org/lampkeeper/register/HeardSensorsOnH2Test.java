package org.lampkeeper.register;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class HeardSensorsOnH2Test extends HeardSensorsContract {
}
