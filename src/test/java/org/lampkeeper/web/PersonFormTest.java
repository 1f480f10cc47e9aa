package org.lampkeeper.web;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;
import static org.lampkeeper.web.WebFixture.NOW;

@QuarkusTest
@TestProfile(WithDemo.class)
class PersonFormTest {

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private SignedIn administrator;
    private long reedholm;

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        administrator = SignedIn.as(Role.ADMINISTRATOR);
        reedholm = fixture.site("Reedholm");
    }

    @Test
    void personIsRegisteredWithTheirFirstRole() {
        Response answer = form(administrator, "N. Finch", "n.finch@hallowwater.example", "07700 900106").formParam("role", "SITE_STAFF")
                .formParam("site", reedholm).post("/people/new");

        assertThat(answer.statusCode()).isEqualTo(303);
        administrator.browser().get(answer.header("Location")).then().statusCode(200).body(containsString("They are registered."))
                .body(containsString("site staff at Reedholm")).body(containsString("n.finch@hallowwater.example"));
    }

    @Test
    void whatIsWrongStandsBesideItsFieldAndNothingTypedIsLost() {
        String hostile = "<script>alert('\u202E')</script>";

        form(administrator, hostile, "no address", "").formParam("role", "SITE_STAFF").formParam("site", reedholm).post("/people/new").then()
                .statusCode(422).body(containsString("must look like name@domain")).body(containsString("no address"))
                .body(not(containsString("<script>alert")));
        form(administrator, "x".repeat(10_000), "", "").formParam("role", "SITE_STAFF").formParam("site", reedholm).post("/people/new").then()
                .statusCode(422).body(containsString("x".repeat(10_000)));
    }

    @Test
    void administratorOfOneSiteRegistersForThatSiteOnly() {
        SignedIn ofReedholm = SignedIn.as(Role.ADMINISTRATOR, reedholm);

        form(ofReedholm, "T. Reed", "", "").formParam("role", "NONE").formParam("site", reedholm).post("/people/new").then().statusCode(422);
        form(ofReedholm, "T. Reed", "", "").formParam("role", "SITE_STAFF").formParam("site", fixture.site("Cray Point")).post("/people/new").then()
                .statusCode(422);
        form(ofReedholm, "T. Reed", "", "").formParam("role", "SITE_STAFF").formParam("site", 0).post("/people/new").then().statusCode(422);

        assertThat(fixture.number("SELECT COUNT(*) FROM person WHERE name = 'T. Reed'")).isZero();
        form(ofReedholm, "T. Reed", "", "").formParam("role", "SITE_STAFF").formParam("site", reedholm).post("/people/new").then().statusCode(303);
    }

    @Test
    void twoWhoChangeTheSamePersonSeeIt() {
        long person = SignedIn.as(Role.SITE_STAFF, reedholm).personId();
        form(administrator, "First", "first@hallowwater.example", "").formParam("version", 0).post("/people/" + person + "/edit").then()
                .statusCode(303);

        form(administrator, "Second", "", "").formParam("version", 0).post("/people/" + person + "/edit").then().statusCode(409)
                .body(containsString("value=\"Second\"")).body(containsString("first@hallowwater.example")).body(containsString(administrator.name()));

        assertThat(fixture.number("SELECT COUNT(*) FROM person WHERE id = ? AND name = 'First'", person)).isOne();
    }

    @Test
    void changedMailAddressIsWhatOneSignsInWithUnlessItIsSomebodyElses() {
        long person = SignedIn.as(Role.SITE_STAFF, reedholm).personId();
        form(administrator, "Moved", "Moved@hallowwater.example", "").formParam("version", 0).post("/people/" + person + "/edit").then().statusCode(303);
        assertThat(fixture.number("SELECT COUNT(*) FROM account WHERE person_id = ? AND sign_in_mail = 'moved@hallowwater.example'", person)).isOne();

        long other = SignedIn.as(Role.SITE_STAFF, reedholm).personId();
        form(administrator, "Other", "moved@hallowwater.example", "").formParam("version", 0).post("/people/" + other + "/edit").then().statusCode(422)
                .body(containsString("what somebody else signs in with"));
    }

    @Test
    void whoeverMayMoreIsNotChangedByWhoMayLess() {
        SignedIn ofReedholm = SignedIn.as(Role.ADMINISTRATOR, reedholm);
        long everywhere = fixture.person("D. Harl");

        ofReedholm.browser().get("/people/" + everywhere + "/edit").then().statusCode(403);
        form(ofReedholm, "D. Harl", "mine@hallowwater.example", "").formParam("version", 0).post("/people/" + everywhere + "/edit").then()
                .statusCode(403);
    }

    @Test
    void personIsErasedByWhoTypesTheirName() {
        SignedIn person = SignedIn.as(Role.SITE_STAFF, reedholm);
        String path = "/people/" + person.personId() + "/erase";

        administrator.browser().get(path).then().statusCode(200).body(containsString("cannot be undone")).body(containsString(person.name()));
        administrator.browser().formParam("name", "Somebody else").formParam("version", 0).post(path).then().statusCode(422)
                .body(containsString("value=\"Somebody else\"")).body(containsString("as it stands above"));
        SignedIn.as(Role.SITE_STAFF, reedholm).browser().get(path).then().statusCode(403);
        SignedIn.as(Role.ADMINISTRATOR, fixture.site("Cray Point")).browser().get(path).then().statusCode(404);

        Response done = administrator.browser().formParam("name", person.name()).formParam("version", 0).post(path);
        assertThat(done.statusCode()).isEqualTo(303);
        administrator.browser().get(done.header("Location")).then().statusCode(200).body(containsString("The person is erased."));
        administrator.browser().get("/people/" + person.personId()).then().statusCode(404);
        person.browser().get("/").then().statusCode(303);
    }

    @Test
    void whoeverIsOnACallOutListIsNotErased() {
        long onAList = fixture.person("D. Harl");

        administrator.browser().formParam("name", "D. Harl").formParam("version", 0).post("/people/" + onAList + "/erase").then().statusCode(422)
                .body(containsString("Is on a call-out list"));
    }

    private static RequestSpecification form(SignedIn who, String name, String mail, String phone) {
        return who.browser().formParam("name", name).formParam("mail", mail).formParam("phone", phone);
    }
}
