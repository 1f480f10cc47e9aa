package org.lampkeeper.message;

import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Neighbour;
import org.lampkeeper.alarm.Surroundings;
import org.lampkeeper.alarm.WhereToLook;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.journal.Head;
import org.lampkeeper.message.LetterFacts.About;
import org.lampkeeper.message.LetterFacts.Next;
import org.lampkeeper.message.LetterFacts.OfCabinet;
import org.lampkeeper.message.LetterFacts.OfInstallation;
import org.lampkeeper.message.LetterFacts.OfSite;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.supply.Reading;

/** North Stair of the invented Hallow Water Ferries, in a night of November. */
final class LetterFixture {

    static final ZoneId LONDON = ZoneId.of("Europe/London");
    static final Instant SINCE = Instant.parse("2026-11-25T02:41:00Z");
    static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");
    static final String LINK = "http://localhost:8080/a/token";
    static final Head HEAD = new Head(4711, "8c".repeat(32));

    static final SiteSheet NORTH_STAIR = new SiteSheet(3, "North Stair", "1 Quay Row, Hallow", LONDON, "gate code 4711", "brick hut, cellar",
            Optional.of(new Electrician("B. Marsh", Optional.of("01632 960042"))), 0);
    static final BoardSheet BOARD_A = new BoardSheet(5, 3, "North Stair", "A", "quay kiosk", "key 7", 0);
    static final CabinetSheet STAIR_2 = cabinet("North Stair 2", "NS2", "4", BOARD_A);
    static final CabinetSheet STAIR_3 = cabinet("North Stair 3", "NS3", "5", BOARD_A);

    private LetterFixture() {
    }

    static CabinetSheet cabinet(String name, String code, String way, BoardSheet board) {
        return new CabinetSheet(7, code, name, "foot of the stair, left", "defibrillator", "under the cabinet", NORTH_STAIR, board,
                new CircuitSheet(way, DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3 x 2.5 mm2", 3, "below the cabinet", 8, 0), 0);
    }

    static Advice ownWay() {
        return WhereToLook.advise(new Surroundings("North Stair 2", "defibrillator", "foot of the stair, left", "under the cabinet", "A",
                "quay kiosk", "key 7", "4", "C16, 30 mA", 3, "below the cabinet", "3 x 2.5 mm2", "brick hut, cellar",
                List.of(new Neighbour("North Stair 1", Reading.HEALTHY)), List.of(), false, false));
    }

    static LetterFacts supplyLost() {
        return new LetterFacts(AlarmKind.SUPPLY_LOST, new OfCabinet(STAIR_2), SINCE, NOW, Optional.empty(), Optional.of(ownWay()),
                List.of("M. Teal"), Optional.of(new Next("R. Osk", Instant.parse("2026-11-25T02:51:00Z"), false)), LINK, HEAD);
    }

    static LetterFacts of(AlarmKind kind) {
        About about = switch (kind.scope()) {
            case CABINET -> new OfCabinet(STAIR_2);
            case SITE -> new OfSite(NORTH_STAIR, List.of(STAIR_2, STAIR_3));
            case INSTALLATION -> new OfInstallation(LONDON, "The broker at mqtt.quay.example does not answer.");
        };
        return new LetterFacts(kind, about, SINCE, NOW, Optional.empty(), Optional.empty(), List.of(), Optional.empty(), LINK, HEAD);
    }
}
