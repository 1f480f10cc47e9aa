package org.lampkeeper.register;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class RegisterOnH2Test extends RegisterContract {
}
