package org.lampkeeper.web.api;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class ApiOnH2Test extends ApiContract {
}
