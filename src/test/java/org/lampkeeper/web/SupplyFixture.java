package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.Rota;
import org.lampkeeper.callout.Shift;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.SupplyPage.Wish;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.CircuitRow;
import org.lampkeeper.web.SupplyReading.OpenAlarm;
import org.lampkeeper.web.SupplyReading.SensorRow;
import org.lampkeeper.web.SupplyReading.Snapshot;

/** Snapshots of an invented harbour, a site for each hundred of cabinet numbers, a board for each ten. */
final class SupplyFixture {

    static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");
    static final Wish EVERYTHING = new Wish("", OptionalLong.empty());

    private final List<CabinetRow> cabinets = new ArrayList<>();
    private final List<OpenAlarm> alarms = new ArrayList<>();
    private Optional<Instant> lastListened = Optional.of(NOW);

    private final Map<Long, SiteDuty> duty = new HashMap<>();

    /** Two who are the duty manager by turns, at this site. */
    SupplyFixture onDuty(long site, Gap... gaps) {
        LocalDate first = LocalDate.parse("2026-11-01");
        Set<DayOfWeek> days = EnumSet.allOf(DayOfWeek.class);
        duty.put(site, new SiteDuty(new Rota(ZoneId.of("Europe/London"), List.of(
                new Shift(1, DutyRole.DUTY_MANAGER, OptionalLong.of(1), days, LocalTime.of(22, 0), LocalTime.of(6, 0), 1, first, Optional.empty()),
                new Shift(2, DutyRole.DUTY_MANAGER, OptionalLong.of(2), days, LocalTime.of(6, 0), LocalTime.of(22, 0), 1, first, Optional.empty())),
                List.of(), List.of()), Map.of(1L, "M. Teal", 2L, "A. Wren"), List.of(gaps)));
        return this;
    }

    SupplyFixture lit(int... numbers) {
        for (int number : numbers) {
            add(number, state(Reading.HEALTHY, NOW.minusSeconds(40), NOW.plusSeconds(900)));
        }
        return this;
    }

    SupplyFixture reportedHealthy(int number, Instant observed, Instant silentAfter) {
        add(number, state(Reading.HEALTHY, observed, silentAfter));
        return this;
    }

    SupplyFixture lost(int number, Duration ago) {
        return lost(number, ago, NOW.plusSeconds(900));
    }

    SupplyFixture lost(int number, Duration ago, Instant silentAfter) {
        SensorState base = state(Reading.LOST, NOW.minusSeconds(50), silentAfter);
        add(number, new SensorState(base.reading(), base.observedAt(), base.seq(), base.silentAfter(), Optional.empty(), Optional.empty(),
                Optional.of(NOW.minus(ago)), Optional.empty(), false, false, false, 0, Optional.empty()));
        return this;
    }

    SupplyFixture suspected(int number) {
        SensorState base = state(Reading.LOST, NOW.minusSeconds(5), NOW.plusSeconds(900));
        add(number, new SensorState(base.reading(), base.observedAt(), base.seq(), base.silentAfter(), base.observedAt(),
                Optional.of(NOW.plusSeconds(15)), Optional.empty(), Optional.empty(), false, false, false, 0, Optional.empty()));
        return this;
    }

    SupplyFixture unheard(int number) {
        add(number, SensorState.UNHEARD);
        return this;
    }

    SupplyFixture alarm(long id, AlarmKind kind, int number) {
        alarms.add(new OpenAlarm(id, kind, number / 100, OptionalLong.of(number), true, NOW.minusSeconds(240), Optional.empty(), OptionalLong.empty(),
                Optional.empty()));
        return this;
    }

    SupplyFixture lastListened(Duration ago) {
        lastListened = Optional.of(NOW.minus(ago));
        return this;
    }

    SupplyView page() {
        return page(EVERYTHING);
    }

    SupplyView page(Wish wish) {
        return SupplyPage.compose(new Picture(snapshot(), Duration.ofSeconds(60), NOW), wish, 40, Optional.empty(), "");
    }

    SupplyView page(SupplyPage.Forecasts forecasts) {
        return SupplyPage.compose(new Picture(snapshot(), Duration.ofSeconds(60), NOW), EVERYTHING, 40, Optional.empty(), "", forecasts);
    }

    SupplyView.LineView line(int number) {
        return page().sites().stream().flatMap(site -> site.boards().stream()).flatMap(board -> board.lines().stream())
                .filter(line -> line.id() == number).findFirst().orElseThrow();
    }

    private Snapshot snapshot() {
        return new Snapshot(List.copyOf(cabinets), List.copyOf(alarms), Map.of(), lastListened, List.of(), duty);
    }

    private void add(int number, SensorState state) {
        CircuitRow circuit = new CircuitRow(number / 10, "Board " + number / 10, "shed", "" + (number % 10), "C16, 30 mA", "2.5 mm²", 3);
        cabinets.add(new CabinetRow(number / 100, "Site " + number / 100, ZoneId.of("Europe/London"), "meter cupboard", number,
                "N" + number, "Cabinet " + number, "defibrillator", Optional.of(circuit),
                Optional.of(new SensorRow(state, Optional.of(9.44), Optional.of(-2.06), Optional.empty()))));
    }

    private static SensorState state(Reading reading, Instant observed, Instant silentAfter) {
        return new SensorState(reading, Optional.of(observed), OptionalLong.empty(), Optional.of(silentAfter), Optional.empty(),
                Optional.empty(), Optional.empty(), Optional.empty(), false, false, false, 0, Optional.empty());
    }
}
