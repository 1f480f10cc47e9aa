package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.Shift;
import org.lampkeeper.web.DutyWords.Standing;

import static org.assertj.core.api.Assertions.assertThat;

class DutyWordsTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Instant NOW = Instant.parse("2026-11-25T12:00:00Z");
    private static final Instant EVENING = Instant.parse("2026-11-25T22:00:00Z");
    private static final Standing TEAL = new Standing(DutyRole.DUTY_MANAGER, List.of("M. Teal"), List.of(), Optional.of(EVENING), List.of("A. Wren"), Optional.of(EVENING));

    @Test
    void headlineSaysWhoIsOn() {
        assertThat(headline(List.of(), List.of())).isEqualTo("Ferry has no rota yet.");
        assertThat(headline(List.of(TEAL), List.of())).isEqualTo("M. Teal is on at Ferry as the duty manager.");
        assertThat(headline(List.of(new Standing(DutyRole.SITE_DUTY, List.of("M. Teal", "A. Wren"), List.of(), Optional.empty(), List.of(), Optional.empty())), List.of()))
                .isEqualTo("M. Teal and A. Wren are on at Ferry as the site duty.");
    }

    @Test
    void headlineSaysWhereNobodyIs() {
        assertThat(headline(List.of(TEAL), List.of(new Gap(DutyRole.DUTY_MANAGER, EVENING, EVENING.plusSeconds(3600)))))
                .isEqualTo("M. Teal is on at Ferry as the duty manager; from 22:00 nobody is the duty manager.");
        assertThat(headline(List.of(TEAL), List.of(new Gap(DutyRole.ELECTRICIAN, NOW, EVENING))))
                .isEqualTo("Nobody is on duty as the electrician at Ferry until 22:00.");
    }

    @Test
    void roleSaysWhoIsNextOrWhoIsToldInstead() {
        assertThat(DutyWords.standing(TEAL, LONDON, NOW)).isEqualTo("M. Teal is on until 22:00, then A. Wren.");
        assertThat(DutyWords.standing(new Standing(DutyRole.ELECTRICIAN, List.of(), List.of("T. Reed", "A. Wren"), Optional.of(EVENING),
                List.of("M. Teal"), Optional.of(EVENING)), LONDON, NOW)).isEqualTo("Nobody is on until 22:00, then M. Teal; T. Reed, then A. Wren is told instead.");
        assertThat(DutyWords.standing(new Standing(DutyRole.ELECTRICIAN, List.of(), List.of(), Optional.empty(), List.of(), Optional.empty()), LONDON, NOW))
                .isEqualTo("Nobody is on.");
    }

    @Test
    void pageAboutSomethingElseSaysItShort() {
        Standing late = new Standing(DutyRole.ELECTRICIAN, List.of("T. Reed"), List.of(), Optional.of(NOW.plusSeconds(3600)), List.of("T. Reed"),
                Optional.of(NOW.plusSeconds(72_000)));

        assertThat(DutyWords.brief(List.of(TEAL, late), LONDON, NOW)).isEqualTo(
                "M. Teal (duty manager) until 22:00, then A. Wren; T. Reed (electrician) until 13:00, then T. Reed from 26 Nov 08:00");
        assertThat(DutyWords.brief(List.of(new Standing(DutyRole.SITE_DUTY, List.of(), List.of(), Optional.empty(), List.of(), Optional.empty())), LONDON, NOW))
                .isEqualTo("nobody (site duty)");
        assertThat(DutyWords.gaps(List.of(new Gap(DutyRole.ELECTRICIAN, NOW, EVENING), new Gap(DutyRole.DUTY_MANAGER, EVENING, EVENING.plusSeconds(28_800))),
                LONDON, NOW)).isEqualTo("No electrician now, until 22:00, and 1 more");
        assertThat(DutyWords.gap(new Gap(DutyRole.DUTY_MANAGER, EVENING, EVENING.plusSeconds(28_800)), LONDON, NOW))
                .isEqualTo("No duty manager from 22:00 to 26 Nov 06:00");
    }

    @Test
    void patternIsSaidInDaysAndTimes() {
        Shift nights = new Shift(1, DutyRole.DUTY_MANAGER, OptionalLong.empty(), Set.of(DayOfWeek.SUNDAY, DayOfWeek.MONDAY), LocalTime.of(22, 0),
                LocalTime.of(6, 0), 2, LocalDate.parse("2026-11-25"), Optional.of(LocalDate.parse("2026-12-31")));

        assertThat(DutyWords.pattern(nights))
                .isEqualTo("Mon, Sun 22:00 to 06:00 on the following day, every 2 weeks, from 2026-11-25 until 2026-12-31");
    }

    private static String headline(List<Standing> planned, List<Gap> gaps) {
        return DutyWords.headline("Ferry", planned, gaps, LONDON, NOW);
    }
}
