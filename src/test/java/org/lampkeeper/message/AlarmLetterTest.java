package org.lampkeeper.message;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.LostElsewhere;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.message.LetterFacts.Inside;
import org.lampkeeper.message.LetterFacts.Next;
import org.lampkeeper.message.LetterFacts.OfCabinet;
import org.lampkeeper.message.LetterFacts.OfSite;
import org.lampkeeper.message.LetterFacts.OnBoard;
import org.lampkeeper.message.LetterFacts.Together;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.SiteSheet;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.message.LetterFixture.BOARD_A;
import static org.lampkeeper.message.LetterFixture.HEAD;
import static org.lampkeeper.message.LetterFixture.LINK;
import static org.lampkeeper.message.LetterFixture.LONDON;
import static org.lampkeeper.message.LetterFixture.NORTH_STAIR;
import static org.lampkeeper.message.LetterFixture.NOW;
import static org.lampkeeper.message.LetterFixture.SINCE;
import static org.lampkeeper.message.LetterFixture.STAIR_2;
import static org.lampkeeper.message.LetterFixture.STAIR_3;

class AlarmLetterTest {

    @Test
    void subjectOfALossTellsAllThatALockedScreenCan() {
        assertThat(AlarmLetter.compose(LetterFixture.supplyLost()).subject())
                .isEqualTo("North Stair 2 has no supply since 02:41. Board A way 4, C16 30 mA, 3 A fuse.");
    }

    @Test
    void subjectOfADeviceWithoutAResidualCurrentPartLeavesItOut() {
        CabinetSheet plain = new CabinetSheet(7, "NS2", "North Stair 2", "stair", "defibrillator", "below", NORTH_STAIR,
                new BoardSheet(5, 3, "North Stair", "Board A", "kiosk", "", 0),
                new CircuitSheet("way 4", DeviceKind.MCB, Curve.B, 6, OptionalInt.empty(), "", 3, "", 8, 0), 0);

        assertThat(AlarmLetter.compose(about(new OfCabinet(plain))).subject())
                .isEqualTo("North Stair 2 has no supply since 02:41. Board A way 4, B6, 3 A fuse.");
    }

    /** Each is something that the duty manager needs at three in the morning. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            what and how long | North Stair 2 has no supply since 02:41 (4 min).
            the link          | Take it: http://localhost:8080/a/token
            it is safe        | Opening the link changes nothing.
            the cabinet       | North Stair 2, label NS2, defibrillator: foot of the stair, left.
            the site          | North Stair, 1 Quay Row, Hallow.
            the circuit       | Board A way 4, C16 30 mA, 3 A fuse.
            the lamp          | Lamp: under the cabinet.
            the zone          | Since 02:41 (Europe/London), 4 min before this was written.
            what it means     | The heater is off. Left without supply, the content cannot be protected from frost.
            no forecast       | No forecast: no temperature is known yet.
            why there         | North Stair 1 on this board has supply
            part one          | You may look:
            its first place   | 1. The lamp (under the cabinet)
            its second place  | 2. Board A (quay kiosk, key 7): way 4, C16, 30 mA. Is its handle down?
            part two          | Electrician only:
            numbered on       | 3. The fused unit (below the cabinet): 3 A fuse.
            a caution         | one reset at most, by an authorised person
            the gate          | North Stair: gate code 4711.
            the board's key   | Board A: quay kiosk, key 7.
            the electrician   | B. Marsh, 01632 960042.
            who knows         | Told before you, and nobody has taken it: M. Teal.
            who is next       | R. Osk is told next, at 02:51 unless somebody takes it.
            not for that      | Lampkeeper is not an emergency service.
            the journal       | Journal 4711 8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c8c
            """)
    void letterOfALossHolds(String what, String words) {
        assertThat(AlarmLetter.compose(LetterFixture.supplyLost()).body()).as(what).contains(words);
    }

    @Test
    void linkStandsBeforeEverythingThatNeedsScrolling() {
        List<String> lines = AlarmLetter.compose(LetterFixture.supplyLost()).body().lines().toList();

        assertThat(lines.indexOf("Take it: " + LINK)).isEqualTo(2);
    }

    @Test
    void forecastStandsInTheSubjectInTheBodyAndInTheFewestWords() {
        LetterFacts one = LetterFixture.supplyLost();
        Letter letter = AlarmLetter.compose(new LetterFacts(one.kind(), one.about(), SINCE, NOW, one.inside(), one.advice(), one.toldAlready(), one.next(), LINK,
                HEAD, one.together(), one.elsewhere(), Optional.of(new LetterFacts.Outlook(List.of("Inside it was 3.1 °C at 02:40.",
                        "Content below 0 °C between 02:40 and 04:10 if nothing changes."), Optional.of("below 0 °C 02:40-04:10"), Optional.empty()))));

        assertThat(letter.subject()).isEqualTo("North Stair 2 has no supply since 02:41. Below 0 °C 02:40-04:10. Board A way 4, C16 30 mA, 3 A fuse.");
        assertThat(letter.body()).contains("Inside it was 3.1 °C at 02:40.\nContent below 0 °C between 02:40 and 04:10 if nothing changes.\n");
        assertThat(letter.shorter()).allSatisfy(words -> assertThat(words).contains("elow 0 °C 02:40-04:10"));
        assertThat(letter.shorter().get(2)).isEqualTo("No supply: North Stair 2, 02:41. Below 0 °C 02:40-04:10");
    }

    @Test
    void contentThatWasTooColdSaysFromWhenToWhenAndThatItMustBeLookedAt() {
        LetterFacts one = LetterFixture.of(AlarmKind.CONTENT_TOO_COLD);
        Letter letter = AlarmLetter.compose(new LetterFacts(one.kind(), one.about(), SINCE, NOW, one.inside(), one.advice(), one.toldAlready(), one.next(), LINK,
                HEAD, one.together(), one.elsewhere(), Optional.of(new LetterFacts.Outlook(List.of("Inside it was 3.1 °C at 02:44."), Optional.empty(),
                        Optional.of(Instant.parse("2026-11-25T02:44:00Z"))))));

        assertThat(letter.subject()).startsWith("The content of North Stair 2 was too cold from 02:41 to 02:44: have it inspected before use.");
    }

    @Test
    void whatIsForAnElectricianNeverStandsAmongWhatAnybodyMayLookAt() {
        Advice advice = LetterFixture.ownWay();
        String body = AlarmLetter.compose(LetterFixture.supplyLost()).body();
        int border = body.indexOf("Electrician only:");

        assertThat(advice.electricianOnly()).isNotEmpty().allSatisfy(place -> assertThat(body.indexOf(place)).isGreaterThan(border));
        assertThat(advice.youMayLook()).isNotEmpty().allSatisfy(place -> assertThat(body.indexOf(place)).isBetween(0, border));
        assertThat(body).contains(advice.firstElectricianNumber() + ". " + advice.electricianOnly().get(0));
        assertThat(advice.cautions()).isNotEmpty().allSatisfy(caution -> assertThat(body).contains("- " + caution));
    }

    @Test
    void knownTemperatureIsToldWithItsTimeAndIsNoForecast() {
        LetterFacts facts = new LetterFacts(AlarmKind.SUPPLY_LOST, new OfCabinet(STAIR_2), SINCE, NOW,
                Optional.of(new Inside(8.94, Instant.parse("2026-11-25T02:40:00Z"))), Optional.empty(), List.of(), Optional.empty(), LINK, HEAD);

        assertThat(AlarmLetter.compose(facts).body())
                .contains("Inside it was 8.9 °C at 02:40. How long it stays within its limits is not reckoned.");
    }

    /** Clocks go back on 25 October 2026 at 02:00 in London: 01:30 UTC is 01:30 there, 00:30 UTC was 01:30 too. */
    @ParameterizedTest
    @CsvSource({
        "2026-07-01T02:41:00Z, 2026-07-01T02:45:00Z, 'since 03:41 (4 min)'",
        "2026-10-25T00:30:00Z, 2026-10-25T01:30:00Z, 'since 01:30 (1 h)'",
        "2026-11-24T23:59:00Z, 2026-11-25T00:01:00Z, 'since 24 Nov 23:59 (2 min)'",
    })
    void timesAreThoseOfTheSite(Instant since, Instant now, String words) {
        LetterFacts facts = new LetterFacts(AlarmKind.SUPPLY_LOST, new OfCabinet(STAIR_2), since, now, Optional.empty(), Optional.empty(),
                List.of(), Optional.empty(), LINK, HEAD);

        assertThat(AlarmLetter.compose(facts).body()).contains(words);
    }

    @Test
    void lastOfTheListKnowsThatNobodyFollowsAndARepeatSaysSo() {
        assertThat(AlarmLetter.compose(about(new OfCabinet(STAIR_2))).body()).contains("Nobody is told after you.");
        LetterFacts again = new LetterFacts(AlarmKind.SUPPLY_LOST, new OfCabinet(STAIR_2), SINCE, NOW, Optional.empty(), Optional.empty(),
                List.of(), Optional.of(new Next("M. Teal", NOW.plus(Duration.ofMinutes(10)), true)), LINK, HEAD);
        assertThat(AlarmLetter.compose(again).body()).contains("You are told again at 02:55 unless somebody takes it.");
    }

    @Test
    void boardAtAnotherSiteIsNamedWithItsSite() {
        CabinetSheet fedFromElsewhere = LetterFixture.cabinet("North Stair 4", "NS4", "6",
                new BoardSheet(9, 4, "Mill Landing", "B", "pump house", "key 9", 0));

        assertThat(AlarmLetter.compose(about(new OfCabinet(fedFromElsewhere))).body()).contains("Board B: Mill Landing, pump house, key 9.");
    }

    @Test
    void missingElectricianIsSaid() {
        SiteSheet without = new SiteSheet(3, "North Stair", "1 Quay Row", LONDON, "", "", Optional.empty(), 0);

        assertThat(AlarmLetter.compose(new LetterFacts(AlarmKind.PROBABLE_SITE_LOSS, new OfSite(without, List.of(STAIR_2)), SINCE, NOW,
                Optional.empty(), Optional.empty(), List.of(), Optional.empty(), LINK, HEAD)).body()).contains("None is entered for North Stair.");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '"', textBlock = """
            SUPPLY_LOST        | North Stair 2 has no supply since 02:41. Board A way 4, C16 30 mA, 3 A fuse.
            PROBABLE_SITE_LOSS | North Stair has probably lost its supply: sensors are silent since 02:41. 2 cabinets.
            NOT_HEARD          | North Stair 2 is not heard since 02:41: nobody knows if it has supply. Board A way 4, C16 30 mA, 3 A fuse.
            UNSTEADY           | North Stair 2 has unsteady supply since 02:41. Board A way 4, C16 30 mA, 3 A fuse.
            LOOK_MISSED        | North Stair 2 was not looked at: a look was due by 02:41. Board A way 4, C16 30 mA, 3 A fuse.
            LAMP_OUT           | The lamp of North Stair 2 was seen out at 02:41: treat its supply as lost. Board A way 4, C16 30 mA, 3 A fuse.
            DAMAGE_SEEN        | Something at North Stair 2 is damaged or missing, seen at 02:41. Board A way 4, C16 30 mA, 3 A fuse.
            SENSOR_AND_LAMP_DIFFER | Sensor and lamp of North Stair 2 differ since 02:41: nobody knows if it has supply. Board A way 4, C16 30 mA, 3 A fuse.
            NOT_LISTENING      | Lampkeeper is not listening since 02:41: nobody knows.
            MAIL_NOT_SENDING   | Mail is not being sent since 02:41.
            BROKER_DROPPING    | The broker is dropping messages since 02:41: reports may be missing.
            MESSAGES_STUCK     | Messages have not left since 02:41: somebody may not know of a loss.
            DATABASE_SLOW      | The database is slow since 02:41: what Lampkeeper tells comes late.
            CLOCK_STEPPED      | The clock of a machine jumped at 02:41: times may be wrong.
            DISK_NEARLY_FULL   | A disk of Lampkeeper is nearly full since 02:41: soon nothing can be stored.
            HEARTBEAT_NOT_SENT | Lampkeeper's heartbeat is not sent since 02:41: what watches it does not know if it is well.
            """)
    void everyKindHasASubject(AlarmKind kind, String subject) {
        assertThat(AlarmLetter.compose(LetterFixture.of(kind)).subject()).isEqualTo(subject);
    }

    @ParameterizedTest
    @EnumSource
    void everyKindTellsWhatItMeansWhereToLookAndHowToTakeIt(AlarmKind kind) {
        String body = AlarmLetter.compose(LetterFixture.of(kind)).body();

        assertThat(body).contains("Take it: " + LINK, "WHAT IT MEANS\n", "WHERE TO LOOK FIRST\n", "1. ", "WHO IS TOLD\n",
                "not an emergency service", "Journal 4711 ", "(Europe/London)");
        assertThat(body.contains("ELECTRICIAN\n")).isEqualTo(kind.scope() != Scope.INSTALLATION);
        assertThat(body).doesNotContain("null", "Optional", "..");
    }

    @Test
    void siteLossNamesEveryCabinetWithItsWay() {
        assertThat(AlarmLetter.compose(LetterFixture.of(AlarmKind.PROBABLE_SITE_LOSS)).body()).contains(
                "- North Stair 2, label NS2, defibrillator: foot of the stair, left. Board A way 4, C16 30 mA, 3 A fuse.",
                "- North Stair 3, label NS3, defibrillator: foot of the stair, left. Board A way 5, C16 30 mA, 3 A fuse.",
                "The intake of the site (brick hut, cellar).", "Board A: quay kiosk, key 7.");
        assertThat(STAIR_3.board()).isEqualTo(BOARD_A);
    }

    @Test
    void returnOfSupplyDoesNotSayThatSomebodyHasTheAlarm() {
        Letter open = AlarmLetter.returned(LetterFixture.supplyLost(), Instant.parse("2026-11-25T02:55:00Z"), Optional.empty());
        Letter taken = AlarmLetter.returned(LetterFixture.supplyLost(), Instant.parse("2026-11-25T02:55:00Z"), Optional.of("M. Teal"));

        assertThat(open.subject()).isEqualTo("North Stair 2 has supply again since 02:55; the alarm still needs somebody to take it.");
        assertThat(open.body()).contains("Take it: " + LINK);
        assertThat(taken.subject()).isEqualTo("North Stair 2 has supply again since 02:55; M. Teal has it.");
        assertThat(taken.body()).contains("See it: " + LINK).doesNotContain("Take it:");
    }

    @ParameterizedTest
    @EnumSource
    void everyKindHasALetterForItsReturn(AlarmKind kind) {
        assertThat(AlarmLetter.returned(LetterFixture.of(kind), NOW, Optional.empty()).subject())
                .endsWith("again since 02:45; the alarm still needs somebody to take it.");
    }

    @Test
    void returnSaysOfColdOnlyWhereThereIsACabinetAndClaimsNoSupplyThatWasOnlyHeardOf() {
        for (AlarmKind kind : AlarmKind.values()) {
            String body = AlarmLetter.returned(LetterFixture.of(kind), NOW, Optional.empty()).body();

            assertThat(body.contains("too cold")).as(kind.name()).isEqualTo(kind.scope() != Scope.INSTALLATION);
            assertThat(body.contains("has supply again")).as(kind.name()).isEqualTo(kind == AlarmKind.SUPPLY_LOST);
        }
    }

    @Test
    void thoseWhoWereToldHearWhoHasIt() {
        Letter letter = AlarmLetter.taken(LetterFixture.supplyLost(), "M. Teal", Instant.parse("2026-11-25T02:47:00Z"), Optional.empty());

        assertThat(letter.subject()).isEqualTo("M. Teal has taken it at 02:47: North Stair 2 has no supply since 02:41.");
        assertThat(letter.body()).contains("You need not do anything.", "See it: " + LINK).doesNotContain("Take it:");
    }

    @Test
    void manyThatAreLostTogetherAreNamedByBoardWithWhatTheyAreAllOf() {
        Letter letter = AlarmLetter.compose(together(List.of(new OnBoard("A", List.of("NS2", "NS1", "NS3"), 3), new OnBoard("B", List.of("NS9"), 4)),
                List.of("NS7")));

        assertThat(letter.subject()).isEqualTo("4 cabinets of North Stair have no supply since 02:41. On 2 boards.");
        assertThat(letter.body()).contains("\nWHICH CABINETS\nAll 3 on board A: NS1 to NS3.\n1 of 4 on board B: NS9.\n",
                "\nLOST AND BACK AGAIN\nNS7.\n", "\nTHE FIRST OF THEM\nNorth Stair 2, label NS2");
    }

    @Test
    void messageAboutMoreNamesOnlyTheNewOnesAndCountsAll() {
        LetterFacts all = together(List.of(new OnBoard("A", List.of("NS1", "NS2", "NS3", "NS4"), 4)), List.of());
        LetterFacts more = new LetterFacts(all.kind(), all.about(), SINCE, NOW, all.inside(), all.advice(), List.of(), Optional.empty(), LINK, HEAD,
                Optional.of(new Together(all.together().orElseThrow().lost(), List.of(new OnBoard("A", List.of("NS3", "NS4"), 4)), List.of())), List.of());

        Letter letter = AlarmLetter.more(more);

        assertThat(letter.subject()).isEqualTo("2 more cabinets of North Stair have no supply; 4 in all. All 4 on board A.");
        assertThat(letter.body()).contains("\nWHICH ARE NEW\n2 of 4 on board A: NS3, NS4.\n", "Take them: " + LINK);
        assertThatThrownBy(() -> AlarmLetter.more(LetterFixture.supplyLost())).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void whoeverIsAskedToTakeItOverIsToldWhoseItIsUntilThen() {
        Letter letter = AlarmLetter.askedToTakeOver(LetterFixture.supplyLost(), "M. Teal", NOW.plus(Duration.ofMinutes(15)));

        assertThat(letter.subject()).isEqualTo("M. Teal asks you to take it over: North Stair 2 has no supply since 02:41.");
        assertThat(letter.body()).contains("M. Teal has it until you do. Please answer until 03:00.", "Take it, or say that you cannot: " + LINK);
    }

    @Test
    void whatIsLostAtAnotherSiteOnTheSameOriginIsSaidSinceItTellsWhereToLook() {
        LetterFacts one = LetterFixture.supplyLost();

        Letter letter = AlarmLetter.compose(new LetterFacts(one.kind(), one.about(), SINCE, NOW, one.inside(), one.advice(), one.toldAlready(), one.next(),
                LINK, HEAD, Optional.empty(), List.of(new LostElsewhere("Gull Pier", 3, 1), new LostElsewhere("Mill Slip", 0, 1))));

        assertThat(letter.body()).contains("LOST AT OTHER SITES TOO\n"
                + "At Gull Pier 3 cabinets on the same board and one cabinet on the same intake have no supply either; the list of Gull Pier is told of them.\n"
                + "At Mill Slip one cabinet on the same intake has no supply either; the list of Mill Slip is told of it.\n");
        assertThat(AlarmLetter.compose(one).body()).doesNotContain("OTHER SITES");
    }

    private static LetterFacts together(List<OnBoard> lost, List<String> back) {
        LetterFacts one = LetterFixture.supplyLost();
        return new LetterFacts(one.kind(), one.about(), SINCE, NOW, one.inside(), one.advice(), one.toldAlready(), one.next(), LINK, HEAD,
                Optional.of(new Together(lost, lost, back)), List.of());
    }

    @Test
    void factsThatDoNotFitTheirKindAreAMistakeOfTheCaller() {
        assertThatThrownBy(() -> new LetterFacts(AlarmKind.NOT_LISTENING, new OfCabinet(STAIR_2), SINCE, NOW, Optional.empty(),
                Optional.empty(), List.of(), Optional.empty(), LINK, HEAD)).hasMessageContaining("NOT_LISTENING");
    }

    private static LetterFacts about(OfCabinet about) {
        return new LetterFacts(AlarmKind.SUPPLY_LOST, about, SINCE, NOW, Optional.empty(), Optional.empty(), List.of(), Optional.empty(), LINK,
                HEAD);
    }
}
