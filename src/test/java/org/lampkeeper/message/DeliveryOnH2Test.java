package org.lampkeeper.message;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class DeliveryOnH2Test extends DeliveryContract {
}
