package org.lampkeeper.callout;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.callout.GapLook.Known;
import org.lampkeeper.callout.GapLook.Rules;

import static org.assertj.core.api.Assertions.assertThat;

/** Looks ahead in a rota, whenever the look before said to look again. */
class GapLookTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Rules RULES = new Rules(LocalTime.of(9, 0), Duration.ofDays(7), Duration.ofMinutes(10));
    private static final Set<DayOfWeek> EVERY_DAY = EnumSet.allOf(DayOfWeek.class);
    private static final LocalDate WEDNESDAY = LocalDate.parse("2026-11-25");
    private static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");

    /** The first Saturday night of two has nobody. */
    private static final Rota SATURDAY = rota(LONDON, night(EnumSet.of(DayOfWeek.SATURDAY), Optional.of(LocalDate.parse("2026-11-28"))));
    private static final Gap THAT_NIGHT = new Gap(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-28T22:00:00Z"), Instant.parse("2026-11-29T06:00:00Z"));

    @Test
    void gapIsFoundOnceToldOnceItHasSettledAndAgainOnTheDayBefore() {
        Watch watch = new Watch(SATURDAY);

        watch.until(Instant.parse("2026-12-01T12:00:00Z"));

        assertThat(watch.events).containsExactly("2026-11-25T12:00:00Z found", "2026-11-25T12:10:00Z first", "2026-11-27T09:00:00Z again",
                "2026-11-29T09:00:00Z over");
    }

    @ParameterizedTest
    @CsvSource({"2026-11-27T08:00:00Z, 2026-11-27T08:10:00Z first", "2026-11-28T23:00:00Z, 2026-11-28T23:10:00Z first"})
    void gapFirstToldOnTheDayBeforeOrLaterIsNotToldAgain(Instant changed, String told) {
        Watch watch = new Watch(SATURDAY);
        watch.now = changed;

        watch.until(Instant.parse("2026-12-01T12:00:00Z"));

        assertThat(watch.events).containsExactly(changed + " found", told, "2026-11-29T09:00:00Z over");
    }

    @Test
    void gapThatIsFilledBeforeItHasSettledIsToldToNobody() {
        Watch watch = new Watch(SATURDAY);
        watch.look();
        watch.rota = new Rota(LONDON, SATURDAY.shifts(), List.of(new StandIn(1, 1, 5, WEDNESDAY.plusDays(3), WEDNESDAY.plusDays(3))), List.of());
        watch.now = NOON.plusSeconds(120);

        watch.until(Instant.parse("2026-12-01T12:00:00Z"));

        assertThat(watch.events).containsExactly("2026-11-25T12:00:00Z found", "2026-11-25T12:02:00Z filled");
    }

    @Test
    void partThatIsStillOpenIsNoNewGapAndOneThatOpensAgainIs() {
        Watch watch = new Watch(SATURDAY);
        watch.until(NOON.plusSeconds(3600));
        Absence half = new Absence(1, 5, Instant.parse("2026-11-29T02:00:00Z"), Instant.parse("2026-11-30T00:00:00Z"));
        StandIn standIn = new StandIn(1, 1, 5, WEDNESDAY.plusDays(3), WEDNESDAY.plusDays(3));
        watch.events.clear();

        watch.rota = new Rota(LONDON, SATURDAY.shifts(), List.of(standIn), List.of(half));
        watch.look();
        assertThat(watch.events).isEmpty();
        watch.rota = new Rota(LONDON, SATURDAY.shifts(), List.of(standIn), List.of());
        watch.look();
        watch.rota = SATURDAY;
        watch.look();

        assertThat(watch.events).extracting(event -> event.replaceFirst("^\\S+ ", "")).containsExactly("filled", "found");
    }

    @Test
    void everyUntoldGapGoesIntoOneMessageWithWhatIsToldAgain() {
        Rota nightly = rota(LONDON, night(EVERY_DAY, Optional.empty()));
        Watch watch = new Watch(nightly);

        GapLook first = watch.look();
        watch.now = first.next();
        GapLook told = watch.look();
        watch.now = Instant.parse("2026-11-26T09:00:00Z");
        GapLook found = watch.look();
        watch.now = found.next();
        GapLook day = watch.look();

        assertThat(first.found()).as("of seven days").hasSize(7);
        assertThat(told.first()).containsExactlyElementsOf(first.found());
        assertThat(List.of(found.first(), found.again())).as("what was found now settles first").containsOnly(List.of());
        assertThat(found.next()).isEqualTo(Instant.parse("2026-11-26T09:10:00Z"));
        assertThat(day.first()).containsExactly(night("2026-12-02"));
        assertThat(day.again()).as("tomorrow's; tonight's was told of yesterday").containsExactly(night("2026-11-27"));
    }

    /** tzdb 2025b: London changes on 25 Oct 2026 and 28 Mar 2027, Lord Howe by half an hour on 4 Oct 2026. */
    @ParameterizedTest
    @CsvSource({
            "Europe/London,       2026-10-24, 2026-10-24T21:00:00Z, 2026-10-25T06:00:00Z, 2026-10-23T08:00:00Z",
            "Europe/London,       2026-10-26, 2026-10-26T22:00:00Z, 2026-10-27T06:00:00Z, 2026-10-25T09:00:00Z",
            "Europe/London,       2027-03-27, 2027-03-27T22:00:00Z, 2027-03-28T05:00:00Z, 2027-03-26T09:00:00Z",
            "Australia/Lord_Howe, 2026-10-03, 2026-10-03T11:30:00Z, 2026-10-03T19:00:00Z, 2026-10-01T22:30:00Z"})
    void gapAndItsDayBeforeKeepToTheWallClockAcrossAChangeOfTheClocks(String zone, LocalDate day, Instant from, Instant until, Instant again) {
        Shift shift = new Shift(1, DutyRole.DUTY_MANAGER, OptionalLong.empty(), EVERY_DAY, LocalTime.of(22, 0), LocalTime.of(6, 0), 1, day,
                Optional.of(day));
        Watch watch = new Watch(rota(ZoneId.of(zone), shift));
        watch.now = from.minus(Duration.ofDays(6));

        GapLook found = watch.look();
        watch.until(until);

        assertThat(found.found()).containsExactly(new Gap(DutyRole.DUTY_MANAGER, from, until));
        assertThat(watch.events).filteredOn(event -> event.endsWith("again")).containsExactly(again + " again");
    }

    @Test
    void shorterReachDoesNotFillWhatIsKnown() {
        Known known = new Known(THAT_NIGHT, NOON, Optional.of(NOON));

        GapLook look = GapLook.look(SATURDAY, List.of(known), new Rules(LocalTime.of(9, 0), Duration.ofDays(1), Duration.ZERO), NOON.plusSeconds(60));

        assertThat(look.filled()).isEmpty();
        assertThat(look.found()).isEmpty();
    }

    /** Whatever shifts overlap and however long it goes on: no moment is found twice, and none is told of more than twice. */
    @Property(tries = 200)
    void noMomentIsFoundTwiceNorToldMoreThanTwice(@ForAll @IntRange(max = 1439) int from, @ForAll @IntRange(max = 1439) int to,
            @ForAll @IntRange(max = 1439) int otherFrom, @ForAll @IntRange(max = 1439) int otherTo, @ForAll @IntRange(max = 3) int place) {
        ZoneId zone = List.of(LONDON, ZoneId.of("America/New_York"), ZoneId.of("Australia/Lord_Howe"), ZoneId.of("Africa/Casablanca")).get(place);
        Instant begin = zone.getRules().nextTransition(Instant.parse("2026-01-01T00:00:00Z")).getInstant().minus(Duration.ofDays(9));
        LocalDate first = begin.atZone(zone).toLocalDate().minusDays(3);
        Watch watch = new Watch(rota(zone, empty(1, from, to, first), empty(2, otherFrom, otherTo, first)));
        watch.now = begin;

        watch.until(begin.plus(Duration.ofDays(12)));

        List<Gap> found = watch.found.stream().sorted(Comparator.comparing(Gap::from)).toList();
        for (int i = 1; i < found.size(); i++) {
            assertThat(found.get(i).from()).isAfterOrEqualTo(found.get(i - 1).until());
        }
        assertThat(watch.told.values()).allMatch(times -> times <= 2);
        // One that runs already when it is found may be over before it has settled; nobody needs to hear of that.
        assertThat(watch.told.keySet()).containsAll(found.stream().filter(gap -> gap.from().isBefore(watch.now.minus(Duration.ofDays(1)))
                && gap.until().isAfter(begin.plus(RULES.settle()))).toList());
    }

    /** Looks when it is to, and keeps what is known as the register does. */
    private static final class Watch {

        private final List<String> events = new ArrayList<>();
        private final List<Gap> found = new ArrayList<>();
        private final Map<Gap, Integer> told = new HashMap<>();
        private Rota rota;
        private Instant now = NOON;
        private List<Known> known = List.of();

        Watch(Rota rota) {
            this.rota = rota;
        }

        GapLook look() {
            GapLook look = GapLook.look(rota, known, RULES, now);
            List<Known> kept = new ArrayList<>(known);
            kept.removeIf(each -> look.filled().contains(each.gap()) || look.over().contains(each.gap()));
            look.found().forEach(gap -> kept.add(new Known(gap, now, Optional.empty())));
            kept.replaceAll(each -> look.first().contains(each.gap()) || look.again().contains(each.gap())
                    ? new Known(each.gap(), each.foundAt(), Optional.of(now)) : each);
            known = kept;
            note("found", look.found());
            note("filled", look.filled());
            note("over", look.over());
            note("first", look.first());
            note("again", look.again());
            found.addAll(look.found());
            look.first().forEach(gap -> told.merge(gap, 1, Integer::sum));
            look.again().forEach(gap -> told.merge(gap, 1, Integer::sum));
            assertThat(look.next()).isAfter(now);
            return look;
        }

        void until(Instant end) {
            while (now.isBefore(end)) {
                now = look().next();
            }
        }

        private void note(String what, List<Gap> gaps) {
            gaps.forEach(gap -> events.add(now + " " + what));
        }
    }

    private static Shift empty(long id, int from, int to, LocalDate first) {
        return new Shift(id, DutyRole.DUTY_MANAGER, OptionalLong.empty(), EVERY_DAY, LocalTime.ofSecondOfDay(from * 60L),
                LocalTime.ofSecondOfDay(to * 60L), 1, first, Optional.empty());
    }

    private static Shift night(Set<DayOfWeek> days, Optional<LocalDate> last) {
        return new Shift(1, DutyRole.DUTY_MANAGER, OptionalLong.empty(), days, LocalTime.of(22, 0), LocalTime.of(6, 0), 1, WEDNESDAY, last);
    }

    private static Gap night(String day) {
        LocalDate begins = LocalDate.parse(day);
        return new Gap(DutyRole.DUTY_MANAGER, begins.atTime(22, 0).atZone(LONDON).toInstant(), begins.plusDays(1).atTime(6, 0).atZone(LONDON).toInstant());
    }

    private static Rota rota(ZoneId zone, Shift... shifts) {
        return new Rota(zone, List.of(shifts), List.of(), List.of());
    }
}
