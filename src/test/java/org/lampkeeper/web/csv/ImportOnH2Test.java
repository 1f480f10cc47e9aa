package org.lampkeeper.web.csv;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class ImportOnH2Test extends ImportContract {
}
