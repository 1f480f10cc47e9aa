package org.lampkeeper.web;

import java.util.List;
import java.util.Map;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.QuarkusTestProfile;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.filter.cookie.CookieFilter;
import io.restassured.response.Response;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.IdentityProvider;
import org.lampkeeper.testing.SignedIn;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;

/** The whole way to an identity provider and back, as a browser goes it. */
@QuarkusTest
@TestProfile(ProviderTest.WithProvider.class)
class ProviderTest {

    /** The application with an identity provider, on H2, without the demo. */
    public static class WithProvider implements QuarkusTestProfile {

        @Override
        public List<TestResourceEntry> testResources() {
            return List.of(new TestResourceEntry(IdentityProvider.class));
        }
    }

    private static final String MAIL = "Wren@hallowwater.example";

    @Inject
    WebFixture fixture;

    @Test
    void whoeverTheProviderVouchesForIsIn() {
        SignedIn somebody = SignedIn.as(Role.ADMINISTRATOR);
        fixture.run("UPDATE account SET sign_in_mail = NULL");
        fixture.run("UPDATE account SET sign_in_mail = 'wren@hallowwater.example' WHERE person_id = ?", somebody.personId());
        IdentityProvider.says(Map.of("email", MAIL, "email_verified", true));
        RestAssured.given().get("/sign-in").then().body(containsString("/sign-in/provider"));

        Response back = come();

        assertThat(back.statusCode()).isEqualTo(303);
        RestAssured.given().accept("text/html").cookie(SignedIn.COOKIE, back.cookie(SignedIn.COOKIE)).get("/me").then().statusCode(200)
                .body(containsString(somebody.name()));
        assertThat(back.getHeaders().getValues("Set-Cookie")).as("nothing of the provider stays")
                .anyMatch(cookie -> cookie.startsWith("q_session=;"));
    }

    @Test
    void addressThatTheProviderHasNotVerifiedIsNotBelieved() {
        SignedIn somebody = SignedIn.as(Role.ADMINISTRATOR);
        fixture.run("UPDATE account SET sign_in_mail = NULL");
        fixture.run("UPDATE account SET sign_in_mail = 'wren@hallowwater.example' WHERE person_id = ?", somebody.personId());
        IdentityProvider.says(Map.of("email", MAIL, "email_verified", false));

        Response back = come();

        assertThat(back.statusCode()).isEqualTo(403);
        assertThat(back.cookie(SignedIn.COOKIE)).isNull();
        assertThat(back.asString()).contains("does not vouch");
    }

    @Test
    void strangerWithAVerifiedAddressIsStillAStranger() {
        IdentityProvider.says(Map.of("email", "nobody@hallowwater.example", "email_verified", true));

        Response back = come();

        assertThat(back.statusCode()).isEqualTo(403);
        assertThat(back.asString()).contains("Nobody here has the mail address nobody@hallowwater.example");
    }

    @Test
    void codeThatWasMadeUpOpensNothing() {
        Response back = RestAssured.given().redirects().follow(false).accept("text/html").get("/sign-in/provider?code=made-up&state=made-up");

        assertThat(back.cookie(SignedIn.COOKIE)).isNull();
        assertThat(back.statusCode()).isNotEqualTo(303);
    }

    private static Response come() {
        CookieFilter cookies = new CookieFilter();
        Response answer = RestAssured.given().filter(cookies).redirects().follow(false).accept("text/html").get("/sign-in/provider");
        for (int i = 0; i < 5 && answer.statusCode() == 302; i++) {
            answer = RestAssured.given().filter(cookies).redirects().follow(false).accept("text/html").urlEncodingEnabled(false)
                    .get(answer.header("Location"));
        }
        return answer;
    }
}
