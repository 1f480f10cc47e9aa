package org.lampkeeper.watch;

import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicInteger;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.restassured.RestAssured;
import org.jsmpp.bean.SubmitSm;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.ReplyWord;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.People;
import org.lampkeeper.testing.ShortMessageCentre;
import org.lampkeeper.testing.ShortMessageCentreResource;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.hamcrest.Matchers.containsString;

/** What people send back, over a real line from the network to the alarm, the journal and the answer, on whatever database. */
abstract class SmsRepliesContract {

    /** Of those that Ofcom reserves for drama: +44 7700 900000 to 900999. */
    private static final AtomicInteger NUMBER = new AtomicInteger(900_100);
    private static final Duration SOON = Duration.ofSeconds(30);

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    PersonChannels channels;
    @Inject
    People people;
    @Inject
    CheckPlans plans;
    @Inject
    EntityManager entities;
    @Inject
    MeterRegistry meters;

    private final ShortMessageCentre centre = ShortMessageCentreResource.centre();
    private Place place;
    private long teal;
    private long osk;
    private String tealsNumber;
    private String osksNumber;

    @BeforeEach
    void oneIsLostAndTheFirstIsTold() {
        fixture.atNoonListening();
        place = fixture.place(1);
        teal = place.people().get(0);
        osk = place.people().get(1);
        tealsNumber = number(teal);
        osksNumber = number(osk);
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(5));
        lose(place);
    }

    private String number(long person) {
        String number = "+447700" + NUMBER.incrementAndGet();
        alsoBySms(person, number);
        return number;
    }

    /** Their mail is proven, so that they are waited for, but silent at night, so that an alarm goes by both. */
    private void alsoBySms(long person, String number) {
        channels.of(person).forEach(mail -> channels.proven(mail, ProofAnswer.SILENT, By.nobody(WatchFixture.NOON)));
        channels.add(person, "SMS", number, By.nobody(WatchFixture.NOON));
    }

    private void lose(Place where) {
        where.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(25));
    }

    private List<String> sent(String number) {
        return centre.taken().stream().filter(it -> it.getDestAddress().equals(number.substring(1))).map(SmsRepliesContract::text).toList();
    }

    private static String text(SubmitSm message) {
        // 3GPP TS 23.038, 6.2.1: of what stands in these messages only the low line has another code than in ASCII.
        return new String(message.getShortMessage(), StandardCharsets.US_ASCII).replace('\u0011', '_');
    }

    /** The newest of at least so many. */
    private String sent(String number, int count) {
        await().atMost(SOON).until(() -> sent(number).size() >= count);
        assertThat(sent(number)).hasSize(count);
        return sent(number).get(count - 1);
    }

    private long callOut(Place where) {
        return ((Number) QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(
                "SELECT MAX(call_out_id) FROM alarm WHERE site_id = :site").setParameter("site", where.siteId()).getSingleResult())).longValue();
    }

    private String code(long person) {
        return ReplyWord.code(people.find(person).orElseThrow().reference(), callOut(place));
    }

    private String state() {
        return fixture.alarms(place).get(0).state();
    }

    private long journalled(String kind, String... parts) {
        return QuarkusTransaction.requiringNew().call(() -> (List<?>) entities.createNativeQuery(
                "SELECT body FROM journal_entry WHERE site_id = :site AND kind = :kind").setParameter("site", place.siteId()).setParameter("kind", kind)
                .getResultList()).stream().filter(body -> List.of(parts).stream().allMatch(body.toString()::contains)).count();
    }

    @Test
    void alarmIsOnePartWithAShortLinkAndEndsWithTheWordsThatTakeItOrPassItOn() {
        String alarm = sent(tealsNumber, 1);

        assertThat(alarm).hasSizeLessThanOrEqualTo(160).contains(" has no supply since 12:00. Board A way 3.")
                .endsWith("\nReply TAKE" + code(teal) + " or PASS" + code(teal));
        assertThat(centre.taken().get(centre.taken().size() - 1).isUdhi()).isFalse();
        String link = alarm.lines().filter(line -> line.startsWith("https://lampkeeper.hallowwater.example/s/")).findFirst().orElseThrow()
                .replace("https://lampkeeper.hallowwater.example", "");
        long before = journal();
        RestAssured.given().redirects().follow(false).get(link).then().statusCode(303);
        RestAssured.given().get(link).then().statusCode(200).body(containsString("I take this"));
        RestAssured.given().get(link.substring(0, link.length() - 4)).then().statusCode(404);
        assertThat(journal()).isEqualTo(before);
        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
    }

    private long journal() {
        return ((Number) QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(
                "SELECT COUNT(*) FROM journal_entry WHERE site_id = :site AND kind LIKE 'alarm%'").setParameter("site", place.siteId()).getSingleResult()))
                .longValue();
    }

    @Test
    void wordTakesTheCallOutBeforeTheNetworkIsAnsweredAndIsAnsweredItself() {
        sent(tealsNumber, 1);

        assertThat(centre.hands(tealsNumber, "take " + code(teal) + "!")).isZero();

        assertThat(state()).isEqualTo("ACKNOWLEDGED");
        assertThat(journalled("alarm-acknowledged", "\"channel\":\"SMS\"", people.find(teal).orElseThrow().reference())).isOne();
        assertThat(sent(tealsNumber, 2)).startsWith("You have taken it: Heron Steps").contains("PASS" + code(teal));
        fixture.passes(Duration.ofMinutes(11));
        assertThat(fixture.called(place)).containsExactly(teal, teal);
    }

    @Test
    void wordAloneIsEnoughWhereOneCallOutIsOpen() {
        sent(tealsNumber, 1);

        assertThat(centre.hands(tealsNumber, "Take.")).isZero();

        assertThat(state()).isEqualTo("ACKNOWLEDGED");
    }

    @Test
    void wordAloneIsAskedAboutWhereTwoAreOpen() {
        sent(tealsNumber, 1);
        Place other = fixture.place(1);
        alsoBySms(other.people().get(0), tealsNumber);
        fixture.saysHealthy(other.first());
        fixture.passes(Duration.ofSeconds(5));
        lose(other);
        sent(tealsNumber, 2);

        centre.hands(tealsNumber, "take");

        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.alarms(other).get(0).state()).isEqualTo("UNACKNOWLEDGED");
        String otherCode = ReplyWord.code(people.find(other.people().get(0)).orElseThrow().reference(), callOut(other));
        await().atMost(SOON).until(() -> sent(tealsNumber).size() >= 3);
        assertThat(allAfter(tealsNumber, 2)).startsWith("Which one? Send ").contains("TAKE" + otherCode + " or PASS" + otherCode, "TAKE" + code(teal));

        centre.hands(tealsNumber, "take" + otherCode);

        assertThat(fixture.alarms(other).get(0).state()).isEqualTo("ACKNOWLEDGED");
        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
    }

    /** Of several parts too, without their headers. */
    private String allAfter(String number, int before) {
        return String.join("", sent(number).subList(before, sent(number).size()));
    }

    @Test
    void wordPassesItOnOnceHoweverOftenItIsSaid() {
        sent(tealsNumber, 1);

        assertThat(centre.hands(tealsNumber, "PASS" + code(teal))).isZero();

        assertThat(fixture.called(place)).containsExactly(teal, teal, osk, osk);
        assertThat(sent(tealsNumber, 2)).startsWith("The next person is told: R. Osk. Heron Steps");
        fixture.passes(Duration.ofSeconds(20));
        centre.hands(tealsNumber, "PASS" + code(teal));
        centre.hands(tealsNumber, "pass");
        assertThat(fixture.called(place)).containsExactly(teal, teal, osk, osk);
        assertThat(journalled("person-cannot-come", "\"channel\":\"SMS\"")).isOne();
        sent(osksNumber, 1);
        assertThat(sent(tealsNumber)).hasSize(2);
    }

    @Test
    void whoeverHasItPassesItOnAfterAll() {
        sent(tealsNumber, 1);
        centre.hands(tealsNumber, "TAKE" + code(teal));

        centre.hands(tealsNumber, "PASS" + code(teal));

        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(journalled("alarm-called-again", "GIVEN_BACK")).isOne();
    }

    @Test
    void wordAfterSomebodyElseHasTakenItSaysWho() {
        sent(tealsNumber, 1);
        fixture.passes(Duration.ofMinutes(10));
        sent(osksNumber, 1);
        centre.hands(osksNumber, "TAKE" + code(osk));

        centre.hands(tealsNumber, "TAKE" + code(teal));

        assertThat(sent(tealsNumber, 2)).startsWith("It was already taken by R. Osk at 12:10: Heron Steps");
        assertThat(journalled("alarm-acknowledged")).isOne();
    }

    @Test
    void codeOfAnotherPersonTakesNothingAndIsAnsweredWithTheRightOnes() {
        sent(tealsNumber, 1);

        assertThat(centre.hands(tealsNumber, "TAKE" + code(osk))).isZero();

        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(sent(tealsNumber, 2)).startsWith("Not understood: send TAKE" + code(teal) + " or PASS" + code(teal) + " for Heron Steps");
    }

    @Test
    void wordSaysWhatSomebodySawWhoWasAskedToLook() {
        sent(tealsNumber, 1);
        long due = asked(teal);
        String code = ReplyWord.code(people.find(teal).orElseThrow().reference(), due);

        assertThat(centre.hands(tealsNumber, "out" + code)).isZero();

        assertThat(said(due)).containsExactly("OUT");
        await().atMost(SOON).until(() -> answersIn(tealsNumber).size() == 1);
        assertThat(answersIn(tealsNumber).get(0)).contains("is out. Whoever is on the call-out list is told now.", "electrician only");
        centre.hands(tealsNumber, "out" + code);
        assertThat(said(due)).as("the same once more").containsExactly("OUT");
        centre.hands(tealsNumber, "It is lit" + code + " again");
        assertThat(said(due)).containsExactly("OUT", "LIT");
        assertThat(state()).as("nobody has taken the alarm by that").isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void codeOfALookTowardsSomebodyElseRecordsNothing() {
        sent(tealsNumber, 1);
        long due = asked(teal);
        asked(osk);

        centre.hands(osksNumber, "LIT" + ReplyWord.code(people.find(teal).orElseThrow().reference(), due));

        assertThat(said(due)).isEmpty();
        await().atMost(SOON).until(() -> answersIn(osksNumber).size() == 1);
        assertThat(answersIn(osksNumber).get(0)).startsWith("Which lamp? Send LIT");
        centre.hands(osksNumber, "unseen");
        await().atMost(SOON).until(() -> answersIn(osksNumber).size() == 2);
        assertThat(answersIn(osksNumber).get(1)).contains("you could not see");
    }

    /** They are asked to look at the first lamp, from now on for an hour. @return the look */
    private long asked(long person) {
        var plan = plans.add(List.of(place.first().cabinetId()), new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", LocalDate.parse("2026-12-01"), LocalTime.of(12, 0),
                LocalTime.of(13, 0), 30, WhenClosed.SKIP, new Whom.Person(person), Optional.empty(), false), By.nobody(fixture.now())).get(0);
        fixture.work();
        return ((Number) QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery("SELECT MIN(id) FROM check_due WHERE plan_id = :plan")
                .setParameter("plan", plan.id()).getSingleResult())).longValue();
    }

    private List<String> said(long due) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery("SELECT answer FROM check_record WHERE due_id = :due ORDER BY id")
                .setParameter("due", due).getResultList()).stream().map(String.class::cast).toList());
    }

    private List<String> answersIn(String number) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(
                "SELECT brief FROM outgoing_message WHERE address = :address AND purpose = 'ANSWER' ORDER BY id").setParameter("address", number).getResultList())
                .stream().map(String.class::cast).toList());
    }

    /** As two machines would that answer each other. */
    @Test
    void whoeverIsNeverUnderstoodIsNotAnsweredForEver() {
        sent(tealsNumber, 1);

        for (int i = 0; i < 12; i++) {
            assertThat(centre.hands(tealsNumber, "I am driving. This is answer " + i + ".")).isZero();
            fixture.passes(Duration.ofMinutes(4));
        }

        assertThat(answers(tealsNumber)).isEqualTo(3);
    }

    private long answers(String number) {
        return ((Number) QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(
                "SELECT COUNT(*) FROM outgoing_message WHERE address = :address AND purpose = 'ANSWER'").setParameter("address", number)
                .getSingleResult())).longValue();
    }

    @Test
    void textOfANumberThatNobodyHasIsCountedAndKeptMaskedAndNotAnswered() {
        sent(tealsNumber, 1);
        double before = meters.counter("lampkeeper.replies.refused", "reason", "reply-of-nobody").count();
        fixture.passes(Duration.ofSeconds(30));

        assertThat(centre.hands("+447700900999", "TAKE" + code(teal))).isZero();

        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(meters.counter("lampkeeper.replies.refused", "reason", "reply-of-nobody").count()).isEqualTo(before + 1);
        Object[] sample = (Object[]) QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(
                "SELECT topic, sample FROM refused_report WHERE reason = 'reply-of-nobody' ORDER BY id DESC LIMIT 1").getSingleResult());
        assertThat(sample).containsExactly("SMS +447...99", "TAKE" + code(teal));
        assertThat(sent("+447700900999")).isEmpty();
    }

    @Test
    void textThatComesAgainBecauseItsAnswerWasNotHeardHasOneEffectAndOneAnswer() {
        sent(tealsNumber, 1);

        centre.handsUnheard(tealsNumber, "TAKE" + code(teal));

        await().atMost(SOON).until(() -> state().equals("ACKNOWLEDGED"));
        comesAgainByANewLine();
    }

    /** Before it was taken, while it was, or after: nobody knows. */
    @Test
    void textThatComesAgainBecauseTheNetworkDiedHasOneEffectAndOneAnswer() {
        sent(tealsNumber, 1);

        centre.handsUnheard(tealsNumber, "TAKE" + code(teal));

        comesAgainByANewLine();
    }

    private void comesAgainByANewLine() {
        int binds = centre.binds();
        centre.cuts();
        await().atMost(SOON).until(() -> centre.binds() > binds);
        assertThat(centre.hands(tealsNumber, "TAKE" + code(teal))).isZero();
        assertThat(state()).isEqualTo("ACKNOWLEDGED");
        assertThat(journalled("alarm-acknowledged")).isOne();
        assertThat(sent(tealsNumber, 2)).startsWith("You have taken it");
        assertThat(answers(tealsNumber)).isOne();
    }

    /** 3GPP TS 23.040, 9.2.3.24.1; the second part comes first, and again. */
    @Test
    void longTextInPartsIsReadOnceAllAreThere() {
        sent(tealsNumber, 1);
        String before = "Grüße von der Fähre! Ich bin auf dem Weg und übernehme das gerne: ";

        assertThat(centre.hands(tealsNumber, 8, true, part(2, "7" + code(teal).substring(1) + " ✓"))).isZero();
        assertThat(centre.hands(tealsNumber, 8, true, part(2, code(teal) + " ✓"))).isZero();
        assertThat(state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(centre.hands(tealsNumber, 8, true, part(1, before + "täke"))).isZero();

        assertThat(state()).isEqualTo("ACKNOWLEDGED");
        assertThat(centre.hands(tealsNumber, 8, true, part(1, before + "täke"))).isZero();
        assertThat(journalled("alarm-acknowledged")).isOne();
    }

    private static byte[] part(int number, String text) {
        byte[] octets = text.getBytes(StandardCharsets.UTF_16BE);
        return ByteBuffer.allocate(6 + octets.length).put(new byte[] {5, 0, 3, 77, 2, (byte) number}).put(octets).array();
    }

    @Test
    void pictureIsAskedAboutAndCounted() {
        sent(tealsNumber, 1);
        double before = meters.counter("lampkeeper.replies.refused", "reason", "reply-without-text").count();

        assertThat(centre.hands(tealsNumber, 4, false, new byte[] {1, 2, 3})).isZero();

        assertThat(meters.counter("lampkeeper.replies.refused", "reason", "reply-without-text").count()).isEqualTo(before + 1);
        assertThat(sent(tealsNumber, 2)).startsWith("Not understood: send TAKE");
    }

    @Test
    void manyThatAreToldTogetherAreTakenTogether() {
        Place many = fixture.place(3);
        String number = number(many.people().get(0));
        many.sensors().forEach(fixture::saysHealthy);
        fixture.passes(Duration.ofSeconds(5));
        lose(many);
        String code = ReplyWord.code(people.find(many.people().get(0)).orElseThrow().reference(), callOut(many));
        await().atMost(SOON).until(() -> !sent(number).isEmpty());

        centre.hands(number, "TAKE" + code);

        assertThat(fixture.openAlarms(many)).hasSize(3).extracting(WatchFixture.Raised::state).containsOnly("ACKNOWLEDGED");
        await().atMost(SOON).until(() -> sent(number).stream().anyMatch(it -> it.startsWith("You have taken it: 3 alarms of Heron Steps")));
    }

    @Test
    void whatIsOverIsNotTakenAgain() {
        sent(tealsNumber, 1);
        desk.take(fixture.alarms(place).get(0).id(), teal, Optional.empty());
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofMinutes(2));
        assertThat(fixture.openAlarms(place)).isEmpty();

        centre.hands(tealsNumber, "pass");

        await().atMost(SOON).until(() -> sent(tealsNumber).stream().anyMatch(it -> it.startsWith("Nothing is open")));
    }
}
