package org.lampkeeper.web;

import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import static io.restassured.RestAssured.given;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;

@QuarkusTest
class WithoutDemoTest {

    @ParameterizedTest
    @ValueSource(strings = {"/demo/cabinet/1/take-away", "/demo/board/1/give-back"})
    void demoButtonsDoNotExist(String path) {
        given().post(path).then().statusCode(404);
    }

    @Test
    void supplyPageHasNoDemoButton() {
        given().accept("text/html").get("/").then().statusCode(200).body(not(containsString("/demo/")));
    }
}
