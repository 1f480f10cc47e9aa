package org.lampkeeper.web;

import java.lang.reflect.Method;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.stream.Stream;

import jakarta.inject.Inject;
import jakarta.ws.rs.Consumes;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.http.ContentType;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import io.smallrye.common.annotation.Blocking;
import org.assertj.core.api.SoftAssertions;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.NOW;

/** Every address that the application has, found in its classes: nobody reaches through any of them what is not theirs. */
@QuarkusTest
@TestProfile(WithDemo.class)
class EveryAddressTest {

    // Pages first, as a browser asks; a stream, a file or JSON where there is no page.
    private static final String ANYTHING = "text/html,*/*;q=0.8";
    private static final String THEIRS = WebFixture.SITE;
    private static final String OURS = "Cray Point";

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private Map<String, String> things;

    @BeforeEach
    void somethingOfEachKindStandsAtAnotherSite() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        things = new HashMap<>(fixture.oneOfEach());
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, fixture.site(THEIRS));
        things.put("person", "" + staff.personId());
        things.put("channel", "" + fixture.channel(staff.personId()));
    }

    @Test
    void everyPathParameterHasANameByWhichItsSiteIsFound() {
        assertThat(addresses()).isNotEmpty().allSatisfy(address -> assertThat(address.parameters()).as("%s", address).allMatch(SiteOf::isKnown));
        assertThat(addresses().filter(address -> address.parameters().contains(SiteOf.TOKEN))).as("a secret in an address proves by itself who may what")
                .allMatch(address -> address.rule().isOpen());
        assertThat(things.keySet()).as("of each kind there is one to try").containsAll(
                addresses().filter(address -> !address.rule().isOpen()).flatMap(address -> address.parameters().stream()).toList());
    }

    @Test
    void nobodyGetsAnythingWithoutASession() {
        check(closed(), address -> send(stranger(), address), (address, answer, softly) -> softly
                .assertThat(answer.statusCode()).as("%s", address).isIn(303, 401));
        check(closed(), address -> send(stranger().cookie(SignedIn.COOKIE, "a-guess"), address),
                // Without a word of where it comes from, a POST with a session's cookie is refused even before.
                (address, answer, softly) -> softly.assertThat(answer.statusCode()).as("%s", address).isIn(303, 401, 403));
    }

    @Test
    void thingOfAnotherSiteIsAnsweredAsIfItDidNotExist() {
        SignedIn elsewhere = SignedIn.as(Role.ADMINISTRATOR, fixture.site(OURS));

        check(closed().filter(address -> !address.parameters().isEmpty()), address -> send(as(elsewhere), address),
                (address, answer, softly) -> softly.assertThat(answer.statusCode()).as("%s", address).isEqualTo(404));
        check(closed().filter(address -> !address.parameters().isEmpty()),
                address -> send(as(elsewhere), new Address(address.verb(), address.filled(Map.of()).replace("/x", "/999999999999"), address.rule(), address.method())),
                (address, answer, softly) -> softly.assertThat(answer.statusCode()).as("%s of nothing", address).isEqualTo(404));
    }

    @Test
    void nobodyWithoutARoleGetsAnything() {
        SignedIn nobody = SignedIn.with(List.of());

        check(closed(), address -> send(as(nobody), address), (address, answer, softly) -> softly.assertThat(answer.statusCode()).as("%s", address)
                .isEqualTo(address.parameters().isEmpty() ? 403 : 404));
    }

    @Test
    void whoeverMayOnlyLookChangesNothing() {
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, fixture.site(THEIRS));

        check(closed().filter(address -> !staffMay(address)), address -> send(as(staff), address),
                (address, answer, softly) -> softly.assertThat(answer.statusCode()).as("%s", address).isIn(403, 404));
    }

    /** RFC 9110, sections 15.5.6 and 10.2.1. */
    @Test
    void methodThatAnAddressDoesNotTakeIsAnsweredWithThoseThatItTakes() {
        SignedIn administrator = SignedIn.as(Role.ADMINISTRATOR, fixture.site(THEIRS));
        Map<String, TreeSet<String>> taken = new TreeMap<>();
        addresses().forEach(address -> taken.computeIfAbsent(address.filled(things), path -> new TreeSet<>()).add(address.verb()));
        SoftAssertions softly = new SoftAssertions();
        // Where no provider is set there is no such address, whatever the method.
        taken.remove(NoProvider.ADDRESS);
        taken.forEach((path, verbs) -> {
            if (verbs.contains("GET")) {
                verbs.add("HEAD");
            }
            verbs.add("OPTIONS");
            Stream.of("GET", "POST", "PUT", "PATCH", "DELETE").filter(verb -> !verbs.contains(verb)).forEach(verb -> {
                Response answer = as(administrator).request(verb, path);
                softly.assertThat(answer.statusCode()).as("%s %s", verb, path).isEqualTo(405);
                softly.assertThat(answer.header("Allow")).as("Allow of %s", path).isEqualTo(String.join(", ", verbs));
                softly.assertThat(answer.contentType()).as("%s %s", verb, path)
                        .startsWith(path.startsWith("/api/") ? "application/problem+json" : "text/html");
            });
        });
        softly.assertAll();
    }

    /** What looks things up waits for the database, which must not happen on a thread that serves all the others. */
    @Test
    void everyClosedAddressIsServedByAThreadThatMayWait() {
        assertThat(closed().map(Address::method).filter(method -> !isBlocking(method))).isEmpty();
    }

    private static boolean staffMay(Address address) {
        return !address.rule().isEverywhere() && Role.SITE_STAFF.rights().contains(address.rule().right());
    }

    private static boolean isBlocking(Method method) {
        boolean isLater = Stream.of("Uni", "Multi", "CompletionStage", "CompletableFuture", "Publisher", "RestMulti")
                .anyMatch(method.getReturnType().getSimpleName()::equals);
        return !isLater || method.isAnnotationPresent(Blocking.class) || method.getDeclaringClass().isAnnotationPresent(Blocking.class);
    }

    private static RequestSpecification stranger() {
        return RestAssured.given().redirects().follow(false).accept(ANYTHING);
    }

    private static RequestSpecification as(SignedIn who) {
        return who.request().accept(ANYTHING);
    }

    private interface Asking {
        Response ask(Address address);
    }

    private interface Expecting {
        void expect(Address address, Response answer, SoftAssertions softly);
    }

    private static void check(Stream<Address> addresses, Asking asking, Expecting expecting) {
        SoftAssertions softly = new SoftAssertions();
        addresses.forEach(address -> expecting.expect(address, asking.ask(address), softly));
        softly.assertAll();
    }

    private Response send(RequestSpecification request, Address address) {
        boolean hasBody = !address.verb().equals("GET") && !address.verb().equals("HEAD") && !address.verb().equals("DELETE");
        boolean isFile = hasBody && contentType(address.method()).equals("multipart/form-data");
        RequestSpecification filled = isFile ? request.multiPart("nothing", "of use")
                : hasBody ? request.contentType(contentType(address.method())).body("") : request;
        return filled.request(address.verb(), address.filled(things));
    }

    private static String contentType(Method method) {
        Consumes own = method.getAnnotation(Consumes.class);
        Consumes takes = own == null ? method.getDeclaringClass().getAnnotation(Consumes.class) : own;
        return takes == null ? ContentType.URLENC.toString() : takes.value()[0];
    }

    private static Stream<Address> closed() {
        return addresses().filter(address -> !address.rule().isOpen());
    }

    private static Stream<Address> addresses() {
        return Address.ALL.stream();
    }
}
