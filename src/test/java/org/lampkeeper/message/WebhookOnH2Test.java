package org.lampkeeper.message;

import io.quarkus.test.junit.QuarkusTest;

@QuarkusTest
class WebhookOnH2Test extends WebhookContract {
}
