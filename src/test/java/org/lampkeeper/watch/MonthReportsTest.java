package org.lampkeeper.watch;

import java.io.InputStream;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalTime;
import java.time.YearMonth;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalInt;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;
import jakarta.mail.BodyPart;
import jakarta.mail.Multipart;
import jakarta.mail.internet.MimeMessage;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.access.Role;
import org.lampkeeper.register.By;
import org.lampkeeper.register.MonthDays;
import org.lampkeeper.register.Rows;
import org.lampkeeper.testing.MailParts;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;

/** Each month of a site goes, once, to whoever is responsible for it, on its day: by real mail, with a paper that says what the page says. */
@QuarkusTest
class MonthReportsTest {

    private static final Instant NEW_YEAR = Instant.parse("2027-01-01T08:00:00Z");

    @Inject
    WatchFixture fixture;
    @Inject
    MonthDays days;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private Place place;
    private long responsible;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(2);
        responsible = place.people().get(0);
        grant(responsible, true);
        fixture.work();
    }

    /** The offsets are those of the IANA time zone database, 2025b; of a time that is left out or shown twice, RFC 5545, section 3.3.5, says the same. */
    @ParameterizedTest
    @CsvSource({
        "2026-10, 1, 08:00, Europe/London, 2026-11-01T08:00:00Z",
        "2026-03, 1, 08:00, Europe/London, 2026-04-01T07:00:00Z",
        "2026-02, 1, 08:00, America/New_York, 2026-03-01T13:00:00Z",
        "2026-03, 1, 08:00, America/New_York, 2026-04-01T12:00:00Z",
        "2026-03, 1, 08:00, Pacific/Auckland, 2026-03-31T19:00:00Z",
        "2026-04, 1, 08:00, Pacific/Auckland, 2026-04-30T20:00:00Z",
        "2026-12, 28, 08:00, Asia/Kolkata, 2027-01-28T02:30:00Z",
        "2027-02, 28, 01:30, Europe/London, 2027-03-28T01:30:00Z",
        "2029-09, 28, 01:30, Europe/London, 2029-10-28T00:30:00Z",
    })
    void reportIsDueByTheClockOfTheSite(String month, int day, String at, String zone, String due) {
        assertThat(MonthReports.due(YearMonth.parse(month), day, LocalTime.parse(at), ZoneId.of(zone))).isEqualTo(due);
    }

    @Test
    void monthGoesOnceOnItsDayByMailWithAPaperThatSaysWhatThePageSays() throws Exception {
        place.sensors().forEach(fixture::saysHealthy);
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(10));
        fixture.saysLost(place.first());
        fixture.passesWhileAllSay(place, sensor -> sensor != place.first(), Duration.ofMinutes(45));
        fixture.passes(Duration.ofMinutes(1));
        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(10));

        // What is told to be done is as it is when the mail leaves.
        run("UPDATE sensor_status SET battery_percent = 12 WHERE sensor_id IN (SELECT e.id FROM sensor e JOIN cabinet c ON c.id = e.cabinet_id WHERE c.site_id = "
                + place.siteId() + ")");

        goTo(NEW_YEAR.minusSeconds(1));
        assertThat(reports()).isEmpty();
        goTo(NEW_YEAR);
        goTo(NEW_YEAR.plus(Duration.ofHours(1)));

        assertThat(reports()).containsExactly(responsible + " " + name() + ": report on December 2026");
        String address = text("SELECT mail FROM person WHERE id = " + responsible);
        MimeMessage mail = Awaitility.await().atMost(Duration.ofSeconds(30)).until(() -> MailServer.shared().receivedBy(address), all -> all.stream()
                .anyMatch(MonthReportsTest::isReport)).stream().filter(MonthReportsTest::isReport).findFirst().orElseThrow();
        assertThat(MailParts.text(mail)).contains("THE MONTH\n1 of 2 cabinets was without supply for a time, ", ": 46 min", "One loss in ",
                "WHAT TO DO NEXT\n- ", " has 12 % left: change it.", "/sites/" + place.siteId() + "/month?month=2026-12").doesNotContain("gate code");
        assertThat(MailParts.types(mail)).containsExactly("text/plain", "text/html", "application/pdf");
        String page = SignedIn.as(Role.RESPONSIBLE_PERSON, place.siteId()).browser().get("/sites/" + place.siteId() + "/month?month=2026-12").then().statusCode(200)
                .extract().asString();
        try (PaperPages paper = new PaperPages(attached(mail))) {
            String said = paper.text().replaceAll("\\s+", " ");
            assertThat(said).contains(name() + ", December 2026");
            assertThat(figures(page)).hasSizeGreaterThan(12).anyMatch(figure -> figure.contains("1, longest 46 min")).allSatisfy(figure -> assertThat(said).contains(figure));
        }
        assertThat(fixture.journalKinds(place)).filteredOn(kind -> kind.startsWith("month-report")).containsExactly("month-report-told");
        assertThat(fixture.journalKinds(place)).contains("message-sent");
    }

    @Test
    void monthsThatPassedWhileNothingRanAreMadeGoodOneByOneAndOnce() {
        goTo(Instant.parse("2027-03-05T10:00:00Z"));
        goTo(Instant.parse("2027-03-05T10:00:01Z"));

        assertThat(reports()).containsExactly(responsible + " " + name() + ": report on December 2026", responsible + " " + name() + ": report on January 2027",
                responsible + " " + name() + ": report on February 2027");
        assertThat(moments()).containsExactly(Instant.parse("2027-04-01T07:00:00Z"));
    }

    /** Two looks at once, or a deadline that came twice, find one row. */
    @Test
    void deadlineThatComesTwiceWritesNothingTwice() {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)"
                + " VALUES (nextval('deadline_seq'), :at, 'MONTH_REPORT', " + place.siteId() + ", 0, 0)").setParameter("at", NEW_YEAR).executeUpdate());

        goTo(NEW_YEAR);
        goTo(NEW_YEAR.plusSeconds(5));

        assertThat(reports()).hasSize(1);
        assertThat(moments()).containsExactly(Instant.parse("2027-02-01T08:00:00Z"));
    }

    @Test
    void whoeverIsResponsibleForEverySiteGetsItWhereNobodyIsForThisOne() {
        run("DELETE FROM role_grant WHERE role = 'RESPONSIBLE_PERSON'");
        goTo(NEW_YEAR);
        assertThat(reports()).isEmpty();
        assertThat(fixture.journalKinds(place)).contains("month-report-not-told");

        long everywhere = place.people().get(2);
        grant(everywhere, false);
        goTo(Instant.parse("2027-02-01T08:00:00Z"));
        assertThat(reports()).containsExactly(everywhere + " " + name() + ": report on January 2027");
        run("DELETE FROM role_grant WHERE role = 'RESPONSIBLE_PERSON' AND person_id = " + everywhere);
    }

    @Test
    void anotherDayMovesItAndOneThatIsPastSendsItAtOnce() {
        days.change(place.siteId(), OptionalInt.of(20), by());
        fixture.work();
        assertThat(moments()).containsExactly(Instant.parse("2027-01-20T08:00:00Z"));
        goTo(Instant.parse("2027-01-10T12:00:00Z"));
        assertThat(reports()).isEmpty();

        days.change(place.siteId(), OptionalInt.of(3), by());
        fixture.work();
        assertThat(reports()).hasSize(1);

        days.change(place.siteId(), OptionalInt.empty(), by());
        fixture.work();
        assertThat(moments()).isEmpty();
        goTo(Instant.parse("2027-02-10T12:00:00Z"));
        assertThat(reports()).hasSize(1);

        days.change(place.siteId(), OptionalInt.of(1), by());
        fixture.work();
        assertThat(moments()).containsExactly(Instant.parse("2027-03-01T08:00:00Z"));
    }

    @Test
    void pageSaysWhenAndToWhomAndWhoeverMayChangesTheDay() {
        SignedIn administrator = SignedIn.as(Role.ADMINISTRATOR, place.siteId());
        String month = "/sites/" + place.siteId() + "/month";

        administrator.browser().get(month).then().statusCode(200)
                .body(containsString("The report on December 2026 is sent at 1 Jan 2027 08:00. It goes to whoever is responsible here: M. Teal by mail."));
        administrator.browser().get(month + "/report").then().statusCode(200).body(containsString("value=\"1\"")).body(containsString("M. Teal by mail"));
        administrator.browser().formParam("day", "31").post(month + "/report").then().statusCode(422).body(containsString("value=\"31\""))
                .body(containsString("must be 1 to 28"));
        administrator.browser().formParam("day", "15").post(month + "/report").then().statusCode(303);
        administrator.browser().get(month).then().body(containsString("is sent at 15 Jan 2027 08:00"));
        administrator.browser().formParam("day", "").post(month + "/report").then().statusCode(303);
        administrator.browser().get(month).then().body(containsString("It is not sent by mail."));
        assertThat(fixture.journalKinds(place)).contains("month-report-day-changed");
        SignedIn staff = SignedIn.as(Role.SITE_STAFF, place.siteId());
        assertThat(staff.browser().get(month).then().statusCode(200).extract().asString()).doesNotContain("Change the day");
        staff.browser().formParam("day", "2").post(month + "/report").then().statusCode(403);
    }

    private void goTo(Instant moment) {
        clock.stopAt(moment);
        fixture.workOnDeadlines();
    }

    private By by() {
        return By.nobody(clock.instant());
    }

    private String name() {
        return text("SELECT name FROM site WHERE id = " + place.siteId());
    }

    private static boolean isReport(MimeMessage mail) {
        try {
            return mail.getSubject().contains("report on");
        } catch (jakarta.mail.MessagingException unreadable) {
            throw new IllegalStateException("a received mail cannot be read", unreadable);
        }
    }

    private static byte[] attached(MimeMessage mail) throws Exception {
        Multipart parts = (Multipart) mail.getContent();
        for (int i = 0; i < parts.getCount(); i++) {
            BodyPart part = parts.getBodyPart(i);
            if (part.isMimeType("application/pdf")) {
                assertThat(part.getDisposition()).isEqualToIgnoringCase("attachment");
                assertThat(part.getFileName()).matches("month-\\d+-2026-12\\.pdf");
                try (InputStream content = part.getInputStream()) {
                    return content.readAllBytes();
                }
            }
        }
        throw new AssertionError("the mail carries no paper");
    }

    /** What the page says of the month as a whole and of each cabinet. */
    private static List<String> figures(String page) {
        List<String> figures = new ArrayList<>();
        for (String pattern : List.of("<h1>(.*?)</h1>", "</strong> (\\(.*?\\): with supply .*?)</p>", "<dt>(?:Without|Not known|Left out|Losses|Looks)</dt><dd>(.*?)</dd>",
                "How losses were met</h2>(<p>.*?)</section>")) {
            Matcher found = Pattern.compile(pattern, Pattern.DOTALL).matcher(page);
            while (found.find()) {
                figures.addAll(List.of(found.group(1).replaceAll("</p><p>", "\n").replaceAll("</?p>", "").strip().split("\n")));
            }
        }
        return figures.stream().map(figure -> figure.replaceAll("\\s+", " ").strip()).toList();
    }

    private void grant(long person, boolean here) {
        run("INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (" + person + ", 'RESPONSIBLE_PERSON', " + (here ? place.siteId() : "NULL")
                + ", CURRENT_TIMESTAMP)");
    }

    /** Reader and subject of each report of this place. */
    private List<String> reports() {
        return rows("SELECT m.person_id, m.subject FROM outgoing_message m JOIN month_report r ON r.id = m.month_report_id WHERE m.purpose = 'MONTH' AND r.site_id = "
                + place.siteId() + " ORDER BY m.id").stream().map(row -> row[0] + " " + row[1]).toList();
    }

    private List<Instant> moments() {
        return rows("SELECT due_at, id FROM deadline WHERE kind = 'MONTH_REPORT' AND subject_id = " + place.siteId()).stream().map(row -> Rows.instant(row[0])).toList();
    }

    private String text(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> (String) entities.createNativeQuery(sql).getSingleResult());
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    private List<Object[]> rows(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(sql).getResultList()).stream()
                .map(row -> (Object[]) row).toList());
    }
}
