package org.lampkeeper.watch;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.register.By;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverFixture;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.Handovers.Typed;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Sha256;
import org.lampkeeper.supply.ProofTest;
import org.lampkeeper.watch.HandoverDesk.Behind;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** The supply is taken away on purpose: what is measured, who is told, who is not, and what both sign afterwards. */
@QuarkusTest
class HandoverProofTest {

    @Inject
    WatchFixture fixture;
    @Inject
    HandoverDesk desk;
    @Inject
    Handovers handovers;
    @Inject
    AlarmDesk alarms;
    @Inject
    EntityManager entities;

    private Place place;
    private long installer;
    private long manager;
    private long handover;

    @BeforeEach
    void aCabinetThatIsHandedOver() {
        fixture.atNoonListening();
        place = fixture.place(1);
        installer = place.people().get(1);
        manager = place.people().get(0);
        onDuty(List.of(manager));
        fixture.saysHealthy(place.first());
        handover = handovers.open(place.first().cabinetId(), by(installer));
    }

    @Test
    void lossIsMeasuredFromTheBoardToThePersonOnDutyAndBack() {
        assertThat(desk.beginTest(handover, by(installer))).isEmpty();
        assertThat(desk.beginTest(handover, by(installer))).as("pressed twice").isEmpty();
        fixture.passes(Duration.ofSeconds(40));
        fixture.saysLost(place.first());
        assertThat(tests()).as("one wait").isEmpty();
        fixture.passes(Duration.ofSeconds(30));

        assertThat(tests()).singleElement().satisfies(mail -> assertThat(mail).startsWith(manager + " TEST, no alarm: "));
        String token = token();
        assertThat(desk.behind(token)).isInstanceOfSatisfying(Behind.Open.class, open -> assertThat(open.isTaken()).isFalse());
        assertThat(newest().takenAt()).as("opening a link records nothing").isEmpty();
        desk.take(token);
        fixture.passes(Duration.ofSeconds(50));
        fixture.saysHealthy(place.first());

        ProofTest test = newest();
        assertThat(test.isProven()).isTrue();
        assertThat(test.heardAt()).contains(NOON.plusSeconds(40));
        assertThat(test.toldAt()).contains(NOON.plusSeconds(60));
        assertThat(test.takenAt()).contains(NOON.plusSeconds(70));
        assertThat(test.backHeard()).contains(NOON.plusSeconds(120));
        assertThat(fixture.called(place)).as("nobody is called for it").isEmpty();
        assertThat(fixture.journalKinds(place)).contains("proof-test-began", "proof-test-ended", "loss-confirmed");
        assertThat(desk.take(token)).as("pressed again").isInstanceOfSatisfying(Behind.Open.class, open -> assertThat(open.isTaken()).isTrue());
        assertThat(desk.behind(token + "x")).isInstanceOf(Behind.NotOurs.class);
    }

    @Test
    void whatHappensAfterTheTestCallsSomebodyAtOnce() {
        lossIsMeasuredFromTheBoardToThePersonOnDutyAndBack();

        fixture.passes(Duration.ofSeconds(30));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));

        assertThat(fixture.called(place)).containsExactly(manager);
        assertThat(tests()).as("no further test message").hasSize(1);
    }

    @Test
    void whatDoesNotHappenInItsTimeIsSaidAndThenTheLossCounts() {
        desk.beginTest(handover, by(installer));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofMinutes(5));
        assertThat(fixture.called(place)).isEmpty();

        fixture.passes(ProofTest.LASTS);

        assertThat(newest().isRunning()).isFalse();
        assertThat(newest().isProven()).isFalse();
        assertThat(newest().lines()).contains("Did not happen: nobody took the message.", "Did not happen: no report of the supply’s return was heard.");
        assertThat(fixture.called(place)).as("the hold is over, and the supply is away").contains(manager);
        assertThat(desk.behind(token())).isInstanceOf(Behind.Over.class);
    }

    /** No test runs: the cabinet is put into service, and somebody forgets that its supply is away. */
    @Test
    void puttingIntoServiceCallsNobodyUntilItsEndAndThenAtOnce() {
        assertThat(alarms.announce(SuppressionKind.COMMISSIONING, place.siteId(), OptionalLong.empty(), OptionalLong.of(place.first().cabinetId()), fixture.now(),
                fixture.now().plus(Duration.ofHours(1)), "put into service", OptionalLong.of(installer))).isInstanceOf(AlarmDesk.WorkResult.Announced.class);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofMinutes(59));
        assertThat(fixture.called(place)).isEmpty();
        assertThat(tests()).as("nothing is tested").isEmpty();

        fixture.passes(Duration.ofMinutes(2));

        assertThat(fixture.called(place)).contains(manager);
    }

    @Test
    void nobodyOnDutyIsSaid() {
        onDuty(List.of());
        desk.beginTest(handover, by(installer));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));

        assertThat(newest().lines()).contains("No message left: nobody on duty has a channel that reaches them.");
        desk.endTest(handover, by(installer));
        assertThat(newest().isRunning()).isFalse();
    }

    @Test
    void recordIsSignedOnlyWhenNothingIsMissingAndSaysWhatWasDecided() {
        HandoverSheet sheet = handovers.find(handover).orElseThrow();
        assertThat(desk.installerSigns(handover, sheet.revision(), "", by(installer)).problems()).extracting(Problem::field).contains("ze", "edition", "remark");

        Map<HandoverField, String> example = HandoverFixture.example();
        example.put(HandoverField.PART_1, "p".repeat(81));
        handovers.save(handover, example.entrySet().stream().map(it -> new Typed(it.getKey(), it.getValue(), sheet.revision(), false)).toList(), by(installer));
        int withALongName = handovers.find(handover).orElseThrow().revision();
        assertThat(desk.installerSigns(handover, withALongName, "no test", by(installer)).problems()).as("the register could not take it").singleElement()
                .satisfies(problem -> assertThat(problem.text()).isEqualTo("part has 81 characters, must have 1 to 80"));
        handovers.save(handover, List.of(new Typed(HandoverField.PART_1, "pads", withALongName, false)), by(installer));
        int revision = handovers.find(handover).orElseThrow().revision();
        assertThat(desk.installerSigns(handover, revision, "", by(installer)).problems()).singleElement()
                .satisfies(problem -> assertThat(problem.text()).isEqualTo("is empty, must say why there is no proof test in which everything happened"));
        assertThat(desk.installerSigns(handover, revision - 1, "no test: the broker is not there yet", by(installer)).isDone()).isFalse();
        assertThat(desk.installerSigns(handover, revision, "no test: the broker is not there yet", by(installer)).isDone()).isTrue();

        HandoverSheet signed = handovers.find(handover).orElseThrow();
        String document = handovers.document(handover).orElseThrow();
        assertThat(signed.fingerprint()).contains(Sha256.hex(document));
        assertThat(document).contains("\"zs\":{", "\"lowerBound\":true").doesNotContain("M. Teal", "B. Marsh");
        assertThat(handovers.siteSigns(handover, signed.fingerprint().orElseThrow(), by(manager))).isTrue();
        assertThat(fixture.journalKinds(place)).contains("handover-opened", "handover-signed-by-installer", "handover-signed-by-site");
        assertThat(desk.beginTest(handover, by(installer))).as("it is signed").isNotEmpty();
    }

    @AfterEach
    void theApplicationSaysWhoIsOnDutyAgain() {
        DutyOfATest.SAID.set(null);
    }

    private static void onDuty(List<Long> people) {
        DutyOfATest.SAID.set((siteId, role, moment) -> role == DutyRole.DUTY_MANAGER ? people : List.of());
    }

    private By by(long person) {
        return By.person(person, fixture.now());
    }

    private ProofTest newest() {
        return desk.tests(handover).get(0);
    }

    private List<String> tests() {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> rows = entities.createNativeQuery("SELECT person_id, subject FROM outgoing_message WHERE subject LIKE 'TEST, no alarm%' AND person_id IN (:people) ORDER BY id")
                    .setParameter("people", place.people()).getResultList();
            return rows.stream().map(row -> ((Object[]) row)[0] + " " + ((Object[]) row)[1]).toList();
        });
    }

    private String token() {
        String body = QuarkusTransaction.requiringNew().call(() -> (String) entities.createNativeQuery(
                "SELECT body FROM outgoing_message WHERE subject LIKE 'TEST, no alarm%' AND person_id IN (:people) ORDER BY id DESC").setParameter("people", place.people())
                .setMaxResults(1).getSingleResult());
        Matcher link = Pattern.compile("/t/([A-Za-z0-9_-]+)").matcher(body);
        assertThat(link.find()).isTrue();
        return link.group(1);
    }
}
