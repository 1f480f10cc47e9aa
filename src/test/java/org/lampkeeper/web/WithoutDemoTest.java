package org.lampkeeper.web;

import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.SignedIn;

import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;

@QuarkusTest
class WithoutDemoTest {

    @ParameterizedTest
    @ValueSource(strings = {"/demo/cabinet/1/take-away", "/demo/board/1/give-back"})
    void demoButtonsDoNotExist(String path) {
        SignedIn.as(Role.ADMINISTRATOR).request().post(path).then().statusCode(404);
    }

    @Test
    void supplyPageHasNoDemoButton() {
        SignedIn.as(Role.ADMINISTRATOR).browser().get("/").then().statusCode(200).body(not(containsString("/demo/")));
    }
}
