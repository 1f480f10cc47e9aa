package org.lampkeeper.register;

import io.quarkus.test.junit.QuarkusTest;


@QuarkusTest
class HandoversOnH2Test extends HandoversContract {
}
