package org.lampkeeper.access;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class AccessOnH2Test extends AccessContract {
}
