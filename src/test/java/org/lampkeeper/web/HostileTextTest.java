package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import io.restassured.RestAssured;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import org.assertj.core.api.SoftAssertions;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.web.WebFixture.NOW;

/**
 * Every form that any page shows, found on the pages themselves, takes markup, marks that turn the direction of writing, and far too much
 * text: nothing breaks, nothing of it becomes part of a page, and what was typed is still there.
 */
@QuarkusTest
@TestProfile(WithDemo.class)
class HostileTextTest {

    private static final Pattern FORM = Pattern.compile("<form([^>]*)>(.*?)</form>", Pattern.DOTALL);
    private static final Pattern CONTROL = Pattern.compile("<(input|select|textarea)\\b([^>]*)>(.*?)(?=<(?:input|select|textarea)\\b|$)", Pattern.DOTALL);
    private static final Pattern CHOICE = Pattern.compile("<option value=\"([^\"]+)\"");
    private static final List<String> TYPED = List.of("text", "email", "tel", "password", "search", "number", "date", "datetime-local", "textarea");
    private static final String MARKUP = "<script>alert(1)</script>\"' onfocus=alert(1) &amp; {#if} \u202Egnp.exe\u2066\u05D0\u200F";
    private static final String ENDLESS = MARKUP + "x".repeat(10_000 - MARKUP.length());

    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;
    @Inject
    Accounts accounts;

    private SignedIn administrator;
    private Map<String, String> things;
    private String invitation;

    /** {@code typed}: the names of what somebody may type into; {@code passing}: those of them that are not all shown again; {@code sent}: the rest. */
    private record AForm(String action, boolean isPosted, List<String> typed, List<String> passing, Map<String, String> sent) {
    }

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
        things = fixture.oneOfEach();
        administrator = withPassword(SignedIn.as(Role.ADMINISTRATOR));
    }

    /** Only whoever has a password is asked for another. */
    private SignedIn withPassword(SignedIn person) {
        Response entered = RestAssured.given().redirects().follow(false).header("Sec-Fetch-Site", "same-origin")
                .formParam("mail", "tester." + person.personId() + "@hallowwater.example").formParam("password", "a ferry leaves at seven")
                .post("/invitation/" + invite(person));
        return new SignedIn(person.personId(), person.name(), entered.cookie(SignedIn.COOKIE));
    }

    private String invite(SignedIn person) {
        Caller inviting = new Caller(1, "Tester", "nobody", Reach.of(List.of(Grant.everywhere(Role.ADMINISTRATOR))));
        return accounts.invite(person.personId(), inviting).token();
    }

    @Test
    void noFormOfAnyPageIsHarmedByWhatIsTypedIntoIt() {
        List<AForm> forms = Stream.concat(Address.ALL.stream().filter(Address::isPage).filter(address -> !address.path().startsWith("/api")
                && !address.path().equals("/supply/live") && !address.path().equals("/sign-in/provider"))
                .flatMap(address -> forms(address).stream()), formsThatStandOnAPageOnlyAtTimes()).distinct().toList();
        SoftAssertions softly = new SoftAssertions();

        forms.forEach(form -> Stream.of(MARKUP, ENDLESS).forEach(text -> check(form, text, softly)));

        softly.assertAll();
        assertThat(forms.stream().map(form -> form.action().replaceAll("\\d+", "#")).distinct()).as("the forms that were found")
                .contains("/sites/new", "/sites/#/edit", "/sites/#/boards/new", "/boards/#/edit", "/sites/#/cabinets/new", "/cabinets/#/edit",
                        "/cabinets/#/circuit", "/cabinets/#/content", "/cabinets/#/warmth", "/sites/#/call-out", "/sites/#/work", "/alarms/#/shelve",
                        "/alarms/#/attendance", "/people/new", "/webhooks/new", "/webhooks/#/edit", "/people/#/edit", "/me/password", "/me/tokens", "/sign-in", "/journal",
                        "/journal/verify", "/", "/invitation/" + invitation.replaceAll("\\d+", "#"));
    }

    private Stream<AForm> formsThatStandOnAPageOnlyAtTimes() {
        invitation = invite(SignedIn.as(Role.SITE_STAFF));
        return Stream.of("/?q=stair", "/invitation/" + invitation).flatMap(path -> forms(administrator.browser().get(path).asString()).stream());
    }

    private void check(AForm form, String text, SoftAssertions softly) {
        RequestSpecification request = administrator.browser().contentType("application/x-www-form-urlencoded; charset=UTF-8");
        form.sent().forEach(request::formParam);
        form.typed().forEach(name -> request.formParam(name, text));
        Response answer = form.isPosted() ? request.post(form.action()) : query(form, text).get(form.action());
        String what = form + " with " + text.length() + " characters";

        softly.assertThat(answer.statusCode()).as(what).isIn(200, 303, 401, 403, 409, 410, 414, 422, 429);
        softly.assertThat(answer.asString()).as(what).doesNotContain("<script>alert", "onfocus=alert(1) &amp; {#if} \u202E\"");
        if (answer.statusCode() == 303) {
            Response next = administrator.browser().get(answer.header("Location"));
            softly.assertThat(next.statusCode()).as("after " + what).isEqualTo(200);
            softly.assertThat(next.asString()).as("after " + what).doesNotContain("<script>alert");
        } else if (answer.statusCode() == 422) {
            // What does not say which field is wrong has nothing to show it in: the browser's way back has.
            forms(answer.asString()).stream().filter(again -> again.action().equals(form.action())).findFirst().ifPresent(again -> {
                long shown = Pattern.compile(Pattern.quote(escaped(text))).matcher(answer.asString()).results().count();
                softly.assertThat(shown).as("what was typed is still there: " + what).isGreaterThanOrEqualTo(form.typed().size() - form.passing().size());
            });
        }
    }

    private RequestSpecification query(AForm form, String text) {
        RequestSpecification request = administrator.browser();
        form.typed().forEach(name -> request.queryParam(name, text));
        return request;
    }

    private List<AForm> forms(Address address) {
        RequestSpecification who = address.path().equals("/sign-in") ? RestAssured.given().accept("text/html") : administrator.browser();
        return forms(who.get(address.filled(things)).asString());
    }

    private static List<AForm> forms(String html) {
        List<AForm> forms = new ArrayList<>();
        for (Matcher form = FORM.matcher(html); form.find();) {
            List<String> typed = new ArrayList<>();
            List<String> passing = new ArrayList<>();
            Map<String, String> sent = new LinkedHashMap<>();
            for (Matcher control = CONTROL.matcher(form.group(2)); control.find();) {
                String name = attribute(control.group(2), "name");
                String kind = control.group(1).equals("input") ? attribute(control.group(2), "type") : control.group(1);
                // A field for a password store alone cannot be typed into.
                if (!control.group(2).endsWith(" hidden") && (kind.isEmpty() || TYPED.contains(kind))) {
                    typed.add(name);
                    // A password is not shown again, and of what no browser lets in not all is kept.
                    if (kind.equals("password") || !attribute(control.group(2), "maxlength").isEmpty()) {
                        passing.add(name);
                    }
                } else if (kind.equals("select")) {
                    Matcher choice = CHOICE.matcher(control.group(3));
                    sent.put(name, choice.find() ? choice.group(1) : "");
                } else {
                    sent.putIfAbsent(name, attribute(control.group(2), "value"));
                }
            }
            if (!typed.isEmpty() && !attribute(form.group(1), "enctype").equals("multipart/form-data")) {
                forms.add(new AForm(attribute(form.group(1), "action"), attribute(form.group(1), "method").equals("post"), typed, passing, sent));
            }
        }
        return forms;
    }

    private static String attribute(String tag, String name) {
        Matcher found = Pattern.compile("\\b" + name + "=\"([^\"]*)\"").matcher(tag);
        return found.find() ? found.group(1) : "";
    }

    private static String escaped(String text) {
        return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("\"", "&quot;").replace("'", "&#39;");
    }
}
