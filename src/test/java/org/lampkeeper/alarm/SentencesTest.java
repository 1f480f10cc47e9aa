package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.IntStream;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.SupplyOverview.Lost;
import org.lampkeeper.alarm.SupplyOverview.NotKnown;
import org.lampkeeper.supply.Reading;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class SentencesTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");
    private static final Instant AT_0158 = Instant.parse("2026-11-25T01:58:00Z");
    private static final Instant AT_0210 = Instant.parse("2026-11-25T02:10:00Z");
    private static final Instant AT_0241 = Instant.parse("2026-11-25T02:41:00Z");
    private static final Instant AT_0243 = Instant.parse("2026-11-25T02:43:00Z");

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '"', textBlock = """
            SUPPLY_LOST        | true  | North Stair 2 has no supply since 02:41 (4 min).
            SUPPLY_LOST        | false | North Stair 2 lost its supply at 02:41 and has it again.
            PROBABLE_SITE_LOSS | true  | North Stair 2 has probably lost its supply: sensors are silent since 02:41 (4 min).
            PROBABLE_SITE_LOSS | false | North Stair 2 was silent from 02:41 and is heard again.
            NOT_HEARD          | true  | North Stair 2 is not heard since 02:41 (4 min): nobody knows if it has supply.
            NOT_HEARD          | false | North Stair 2 was not heard from 02:41 and is heard again.
            UNSTEADY           | true  | North Stair 2 has unsteady supply since 02:41 (4 min).
            UNSTEADY           | false | North Stair 2 had unsteady supply from 02:41 and it is steady again.
            LOOK_MISSED        | true  | North Stair 2 was not looked at: a look was due by 02:41.
            LOOK_MISSED        | false | North Stair 2 was not looked at by 02:41, and has been since.
            LAMP_OUT           | true  | The lamp of North Stair 2 was seen out at 02:41: treat its supply as lost.
            LAMP_OUT           | false | The lamp of North Stair 2 was seen out at 02:41 and lit again since.
            DAMAGE_SEEN        | true  | Something at North Stair 2 is damaged or missing, seen at 02:41.
            DAMAGE_SEEN        | false | Something at North Stair 2 was damaged or missing at 02:41, and all was well at a look since.
            SENSOR_AND_LAMP_DIFFER | true  | Sensor and lamp of North Stair 2 differ since 02:41 (4 min): nobody knows if it has supply.
            SENSOR_AND_LAMP_DIFFER | false | Sensor and lamp of North Stair 2 differed from 02:41 and agree again.
            NOT_LISTENING      | true  | Lampkeeper is not listening since 02:41 (4 min): nobody knows.
            NOT_LISTENING      | false | Lampkeeper was not listening from 02:41 and listens again.
            MAIL_NOT_SENDING   | true  | Mail is not being sent since 02:41 (4 min).
            MAIL_NOT_SENDING   | false | Mail was not sent from 02:41 and is sent again.
            BROKER_DROPPING    | true  | The broker is dropping messages since 02:41 (4 min): reports may be missing.
            BROKER_DROPPING    | false | The broker dropped messages from 02:41 and takes them again: reports may be missing.
            MESSAGES_STUCK     | true  | Messages have not left since 02:41 (4 min): somebody may not know of a loss.
            MESSAGES_STUCK     | false | Messages did not leave from 02:41 and leave again.
            DATABASE_SLOW      | true  | The database is slow since 02:41 (4 min): what Lampkeeper tells comes late.
            DATABASE_SLOW      | false | The database was slow from 02:41 and is fast again.
            CLOCK_STEPPED      | true  | The clock of a machine jumped at 02:41: times may be wrong.
            CLOCK_STEPPED      | false | The clock of a machine jumped at 02:41 and runs evenly again: look at the times before.
            DISK_NEARLY_FULL   | true  | A disk of Lampkeeper is nearly full since 02:41 (4 min): soon nothing can be stored.
            DISK_NEARLY_FULL   | false | A disk of Lampkeeper was nearly full from 02:41 and has room again.
            HEARTBEAT_NOT_SENT | true  | Lampkeeper's heartbeat is not sent since 02:41 (4 min): what watches it does not know if it is well.
            HEARTBEAT_NOT_SENT | false | Lampkeeper's heartbeat was not sent from 02:41 and is sent again.
            """)
    void anAlarmIsOneSentence(AlarmKind kind, boolean live, String sentence) {
        assertThat(Sentences.alarmHeadline(kind, "North Stair 2", AT_0241, NOW, LONDON, live)).isEqualTo(sentence);
    }

    @ParameterizedTest
    @CsvSource({
            "-5, 0 s", "0, 0 s", "40, 40 s", "59, 59 s", "60, 1 min", "240, 4 min", "3599, 59 min", "3600, 1 h", "11100, 3 h 5 min",
            "86399, 23 h 59 min", "86400, 1 d", "97200, 1 d 3 h", "172800, 2 d", "172859, 2 d"})
    void howLongAgoIsShort(long seconds, String expected) {
        assertThat(Sentences.ago(Duration.ofSeconds(seconds))).isEqualTo(expected);
    }

    @ParameterizedTest
    @CsvSource({
            // moment, zone, now; the day counts in the zone of the site
            "2026-11-25T02:41:00Z, Europe/London, 2026-11-25T02:45:00Z, 02:41",
            "2026-11-24T23:59:00Z, Europe/London, 2026-11-25T00:01:00Z, 24 Nov 23:59",
            "2026-11-24T23:59:00Z, America/New_York, 2026-11-25T00:01:00Z, 18:59",
            "2026-09-01T10:00:00Z, Europe/London, 2026-11-25T00:01:00Z, 1 Sep 11:00",
            "2025-12-31T23:30:00Z, Europe/London, 2026-01-01T00:30:00Z, 31 Dec 2025 23:30",
            "2025-12-31T23:30:00Z, Pacific/Apia, 2026-01-01T00:30:00Z, 12:30",
            // the night of 25 October 2026: 01:30 in summer time
            "2026-10-25T00:30:00Z, Europe/London, 2026-10-25T03:00:00Z, 01:30"})
    void aClockTimeHasItsDayWhenThatIsAnother(Instant at, ZoneId zone, Instant now, String expected) {
        assertThat(Sentences.clock(at, zone, now)).isEqualTo(expected);
    }

    @Test
    void allLitIsSaidInFourWords() {
        assertThat(headline(overview(12))).isEqualTo("All 12 cabinets have supply.");
        assertThat(headline(overview(1))).isEqualTo("The only cabinet has supply.");
    }

    @Test
    void noCabinetAtAllIsSaid() {
        assertThat(headline(overview(0))).isEqualTo("No cabinet is registered yet.");
    }

    @Test
    void oneLossIsNamed() {
        SupplyOverview open = new SupplyOverview(10, List.of(lost("North Stair 2", AT_0241)), List.of(silent("Cray Point 1")), none());

        assertThat(headline(open)).isEqualTo("10 of 12 cabinets have supply. North Stair 2 lost it at 02:41 and nobody has taken it yet.");
        assertThat(Sentences.supplySubline(open, NOW, LONDON)).contains("Cray Point 1 has been silent since 01:58, so nobody knows.");
    }

    @Test
    void whoTookItIsNamed() {
        assertThat(headline(new SupplyOverview(11, List.of(taken("North Stair 2", AT_0241, "M. Teal")), List.of(), none())))
                .isEqualTo("11 of 12 cabinets have supply. North Stair 2 lost it at 02:41 and M. Teal has it.");
    }

    @Test
    void theLossOfTheOnlyCabinetIsSaid() {
        assertThat(headline(new SupplyOverview(0, List.of(lost("North Stair 2", AT_0241)), List.of(), none())))
                .isEqualTo("The only cabinet has no supply. North Stair 2 lost it at 02:41 and nobody has taken it yet.");
    }

    @Test
    void severalLossesAreCountedFromTheOldest() {
        Lost second = lost("North Stair 2", AT_0241);
        Lost third = lost("North Stair 3", AT_0243);
        Lost takenToo = taken("Stair telephone", AT_0243, "M. Teal");

        assertThat(headline(new SupplyOverview(10, List.of(third, second), List.of(), none()))).isEqualTo("10 of 12 cabinets have supply."
                + " North Stair 2 and North Stair 3 lost it from 02:41 on and nobody has taken them yet.");
        assertThat(headline(new SupplyOverview(1, List.of(third, second, takenToo), List.of(), none()))).isEqualTo(
                "1 of 4 cabinets has supply."
                + " North Stair 2 and 2 more lost it from 02:41 on and nobody has taken 2 of them yet.");
    }

    @Test
    void lossesOfTheSameMinuteAreOneTime() {
        List<Lost> four = IntStream.rangeClosed(2, 5).mapToObj(each -> taken("North Stair " + each, AT_0241, "M. Teal")).toList();

        assertThat(headline(new SupplyOverview(8, four, List.of(), none()))).isEqualTo("8 of 12 cabinets have supply."
                + " North Stair 2 and 3 more lost it at 02:41 and M. Teal has them.");
    }

    @Test
    void severalPeopleWhoHaveThemAreNamed() {
        List<Lost> two = List.of(taken("North Stair 2", AT_0241, "R. Osk"), taken("Cray Point 1", AT_0241, "M. Teal"));

        assertThat(headline(new SupplyOverview(0, two, List.of(), none()))).isEqualTo("None of the 2 cabinets has supply."
                + " North Stair 2 and Cray Point 1 lost it at 02:41 and M. Teal and R. Osk have them.");
    }

    @Test
    void withoutALossTheHeadlineSaysOfWhatNobodyKnows() {
        SupplyOverview one = new SupplyOverview(11, List.of(), List.of(silent("Cray Point 1")), none());
        SupplyOverview never = new SupplyOverview(11, List.of(), List.of(new NotKnown("Cray Point 1", none())), none());
        SupplyOverview several = new SupplyOverview(9, List.of(), List.of(silent("A"), silent("B"), silent("C")), none());

        assertThat(headline(one)).isEqualTo("11 of 12 cabinets have supply. Cray Point 1 has been silent since 01:58, so nobody knows.");
        assertThat(headline(never)).isEqualTo("11 of 12 cabinets have supply. Cray Point 1 has not been heard yet, so nobody knows.");
        assertThat(headline(several)).isEqualTo("9 of 12 cabinets have supply. A, B and C are not heard, so nobody knows.");
        assertThat(Sentences.supplySubline(one, NOW, LONDON)).as("the headline says it").isEmpty();
    }

    @Test
    void nothingHeardYetIsNotALoss() {
        assertThat(headline(new SupplyOverview(0, List.of(), neverHeard(12), none())))
                .isEqualTo("Nothing has been heard yet: nobody knows if the 12 cabinets have supply.");
        assertThat(headline(new SupplyOverview(0, List.of(), neverHeard(1), none())))
                .isEqualTo("Nothing has been heard yet: nobody knows if the only cabinet has supply.");
    }

    @Test
    void everythingSilentIsNotALoss() {
        List<NotKnown> five = List.of(silent("A"), silent("B"), silent("C"), silent("D"), silent("E"));

        assertThat(headline(new SupplyOverview(0, List.of(), five, none())))
                .isEqualTo("A, B, C and 2 more are not heard, so nobody knows.");
    }

    @Test
    void whereNobodyKnowsOfSomeNoneIsSaidToBeWithoutSupply() {
        assertThat(headline(new SupplyOverview(0, List.of(lost("North Stair 2", AT_0241)), neverHeard(1), none()))).isEqualTo(
                "None of the 2 cabinets is known to have supply. North Stair 2 lost it at 02:41 and nobody has taken it yet.");
    }

    @Test
    void whenLampkeeperIsNotListeningNothingElseIsClaimed() {
        assertThat(headline(new SupplyOverview(12, List.of(), List.of(), Optional.of(AT_0210))))
                .isEqualTo("Lampkeeper is not listening since 02:10: nobody knows.");
        assertThat(headline(new SupplyOverview(11, List.of(lost("North Stair 2", AT_0158)), List.of(), Optional.of(AT_0210)))).isEqualTo(
                "Lampkeeper is not listening since 02:10: nobody knows."
                        + " North Stair 2 lost its supply at 01:58 and nobody has taken it yet.");
        assertThat(headline(new SupplyOverview(0, List.of(), List.of(), Optional.of(AT_0210))))
                .isEqualTo("Lampkeeper is not listening since 02:10: nobody knows.");
        SupplyOverview deaf = new SupplyOverview(1, List.of(lost("A", AT_0158)), neverHeard(1), Optional.of(AT_0210));
        assertThat(Sentences.supplySubline(deaf, NOW, LONDON)).isEmpty();
    }

    @Test
    void everythingThatIsNotWellIsSaid() {
        OwnHealth well = new OwnHealth(true, true, Optional.of(NOW), Optional.empty(), Optional.empty(), 0, true, 0, Set.of());
        OwnHealth mail = new OwnHealth(true, true, Optional.of(NOW), Optional.of(AT_0158), Optional.empty(), 1, true, 0, Set.of(AlarmKind.CLOCK_STEPPED));
        OwnHealth all = new OwnHealth(false, false, Optional.of(AT_0210), Optional.of(AT_0158), Optional.of(AT_0241), 3, false, 2, Set.of());

        assertThat(Sentences.operationHeadline(well, NOW, LONDON)).isEqualTo("Lampkeeper is well.");
        assertThat(Sentences.operationHeadline(mail, NOW, LONDON))
                .isEqualTo("Lampkeeper is not well: no mail could be handed over since 01:58, the clock of a machine jumped and one deadline is overdue.");
        assertThat(Sentences.operationHeadline(all, NOW, LONDON)).isEqualTo("Lampkeeper is not well: the broker is not there, it does not listen "
                + "since 02:10, no mail could be handed over since 01:58, a message has waited since 02:41, 3 deadlines are overdue, "
                + "its journal is not intact and the journal is not being sealed.");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '"', textBlock = """
            HEALTHY | 2026-11-25T02:41:00Z |                                | Pier 1 has supply.
            LOST    | 2026-11-25T02:41:00Z | nobody has taken it yet        | Pier 1 has no supply since 02:41; nobody has taken it yet.
            UNKNOWN | 2026-11-25T01:58:00Z | R. Osk has it since 02:23      | Pier 1 is not heard since 01:58, so nobody knows if it has supply; R. Osk has it since 02:23.
            UNKNOWN |                      |                                | Pier 1 has not been heard yet, so nobody knows if it has supply.
            """)
    void aCabinetIsOneSentence(Reading reading, Instant since, String carried, String sentence) {
        assertThat(Sentences.cabinetHeadline("Pier 1", reading, Optional.ofNullable(since), carried == null ? "" : carried, NOW, LONDON))
                .isEqualTo(sentence);
    }

    @Test
    void aNegativeCountIsRefused() {
        assertThatThrownBy(() -> overview(-1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("-1");
    }

    @Property
    void whatIsNotKnownIsNeverCountedAsHavingSupply(@ForAll @IntRange(max = 30) int lit, @ForAll @IntRange(max = 5) int lost,
            @ForAll @IntRange(max = 30) int notKnown) {
        List<Lost> losses = new ArrayList<>();
        IntStream.range(0, lost).forEach(each -> losses.add(lost("L" + each, AT_0241)));

        String headline = headline(new SupplyOverview(lit, losses, neverHeard(notKnown), none()));

        int all = lit + lost + notKnown;
        if (lit > 0 && lit < all) {
            assertThat(headline).startsWith(lit + " of " + all + " cabinets ");
        }
        assertThat(headline.startsWith("All ") || headline.startsWith("The only cabinet has supply")).isEqualTo(lit > 0 && lit == all);
        if (lost > 0) {
            assertThat(headline).contains("L0").contains("nobody has taken");
        }
    }

    private static String headline(SupplyOverview overview) {
        return Sentences.supplyHeadline(overview, NOW, LONDON);
    }

    private static SupplyOverview overview(int lit) {
        return new SupplyOverview(lit, List.of(), List.of(), none());
    }

    private static Lost lost(String cabinet, Instant since) {
        return new Lost(cabinet, since, none());
    }

    private static Lost taken(String cabinet, Instant since, String person) {
        return new Lost(cabinet, since, Optional.of(person));
    }

    private static NotKnown silent(String cabinet) {
        return new NotKnown(cabinet, Optional.of(AT_0158));
    }

    private static List<NotKnown> neverHeard(int count) {
        return IntStream.range(0, count).mapToObj(each -> new NotKnown("N" + each, none())).toList();
    }

    private static <T> Optional<T> none() {
        return Optional.empty();
    }
}
