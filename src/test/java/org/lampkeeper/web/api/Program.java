package org.lampkeeper.web.api;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import io.quarkus.arc.Arc;
import io.restassured.RestAssured;
import io.restassured.http.ContentType;
import io.restassured.response.ValidatableResponse;
import io.restassured.specification.RequestSpecification;

import org.lampkeeper.access.ApiTokens;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Role;
import org.lampkeeper.testing.SignedIn;

/** A program with a token of a person's in a role. */
record Program(long personId, String token) {

    /** At every site when none is named. */
    static Program as(Role role, long... siteIds) {
        List<Grant> grants = siteIds.length == 0 ? List.of(Grant.everywhere(role)) : Arrays.stream(siteIds).mapToObj(id -> Grant.at(role,
                id)).toList();
        return of(grants, true);
    }

    static Program readingOnly(Role role) {
        return of(List.of(Grant.everywhere(role)), false);
    }

    /** The same person with the same reach, and another token. */
    Program withAnotherToken() {
        Caller owner = new Caller(personId, "somebody", "reference-" + personId, Reach.of(List.of(Grant.everywhere(Role.ADMINISTRATOR))));
        return new Program(personId, Arc.container().instance(ApiTokens.class).get().make(owner, "another", true, Optional.empty(), Optional.empty()).secret());
    }

    private static Program of(List<Grant> grants, boolean mayWrite) {
        SignedIn person = SignedIn.with(grants);
        Caller owner = new Caller(person.personId(), person.name(), "reference-" + person.personId(), Reach.of(grants));
        ApiTokens tokens = Arc.container().instance(ApiTokens.class).get();
        return new Program(person.personId(), tokens.make(owner, "a test", mayWrite, Optional.empty(), Optional.empty()).secret());
    }

    RequestSpecification request() {
        return RestAssured.given().auth().none().header("Authorization", "Bearer " + token);
    }

    RequestSpecification json() {
        return request().contentType(ContentType.JSON).accept("application/json");
    }

    ValidatableResponse get(String path) {
        return request().get(path).then();
    }

    ValidatableResponse post(String path, String body) {
        return json().body(body).post(path).then();
    }

    ValidatableResponse put(String path, String tag, String body) {
        return json().header("If-Match", tag).body(body).put(path).then();
    }

    ValidatableResponse delete(String path, String tag) {
        return request().header("If-Match", tag).delete(path).then();
    }
}
