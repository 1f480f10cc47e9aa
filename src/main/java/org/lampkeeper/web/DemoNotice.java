package org.lampkeeper.web;

import java.time.Clock;
import java.time.Duration;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import org.eclipse.microprofile.config.inject.ConfigProperty;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.CircuitRow;
import org.lampkeeper.web.SupplyReading.Snapshot;

/** Tells a newcomer what the demo button that they just pressed is going to cause. */
@ApplicationScoped
class DemoNotice {

    private final TurnWords turns;
    private final CallOutLists lists;
    private final Clock clock;
    private final Duration confirm;

    DemoNotice(TurnWords turns, CallOutLists lists, Clock clock,
            @ConfigProperty(name = "lampkeeper.watch.confirm", defaultValue = "20s") Duration confirm) {
        this.turns = turns;
        this.clock = clock;
        this.lists = lists;
        this.confirm = confirm;
    }

    /** {@code away}, {@code back}: what was switched, as {@code cabinet-12} or {@code board-3}; anything else says nothing. */
    String after(Optional<String> away, Optional<String> back, Snapshot snapshot) {
        Optional<CabinetRow> switched = away.or(() -> back).flatMap(target -> first(target, snapshot));
        if (switched.isEmpty()) {
            return "";
        }
        CabinetRow row = switched.get();
        String name = away.or(() -> back).orElseThrow().startsWith("board-") ? row.circuit().map(CircuitRow::board).orElse("")
                : row.cabinet();
        if (away.isEmpty()) {
            return "Supply is given back to " + name + ". The lamp is lit again within seconds; an alarm that nobody took stays open until somebody does.";
        }
        String who = lists.ofSite(row.siteId()).turns().stream().findFirst()
                .map(turn -> turns.name(turn.whom(), row.siteId(), clock.instant())).orElse("everybody of the site");
        return "Supply is taken away from " + name + ". In about " + Sentences.ago(confirm) + " the loss counts as confirmed; then " + who
                + " gets a mail, and after that the next on the list until somebody takes it: see Messages.";
    }

    private static Optional<CabinetRow> first(String target, Snapshot snapshot) {
        return snapshot.cabinets().stream().filter(row -> target.equals("cabinet-" + row.cabinetId())
                || row.circuit().filter(circuit -> target.equals("board-" + circuit.boardId())).isPresent()).findFirst();
    }
}
