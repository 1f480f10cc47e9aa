package org.lampkeeper.electrical;

import java.util.HashMap;
import java.util.Map;
import java.util.NavigableMap;
import java.util.TreeMap;

import org.lampkeeper.electrical.Limits.Insulation;
import org.lampkeeper.register.LimitTables;

/** The tables that came with the program. */
final class LimitsFixture {

    static final Limits A2 = LimitTables.own().find("BS 7671:2018+A2:2022").orElseThrow();
    static final Limits A1 = LimitTables.own().find("BS 7671:2018+A1:2020").orElseThrow();
    static final String PVC = "thermoplastic 70";
    static final String XLPE = "thermosetting 90";

    private LimitsFixture() {
    }

    /** For places where 50 V are too much. */
    static Limits withTouchVoltage(double volt) {
        return with(volt, A2.insulations());
    }

    /** With cables of sizes that our own tables do not have, whatever they drop. */
    static Limits withSizesMore(double... sizes) {
        Map<String, Insulation> insulations = new HashMap<>();
        A2.insulations().forEach((name, it) -> {
            NavigableMap<Double, Double> drop = new TreeMap<>(it.dropMillivolt());
            NavigableMap<Double, Double> dropThree = new TreeMap<>(it.dropMillivoltThree());
            for (double size : sizes) {
                drop.put(size, 1.0);
                dropThree.put(size, 1.0);
            }
            insulations.put(name, new Insulation(it.conductorLimit(), it.hotFactor(), it.ratings(), it.ratingsThree(), drop, dropThree, it.ambient(), it.ground()));
        });
        return with(A2.touchVoltage(), insulations);
    }

    private static Limits with(double touchVolt, Map<String, Insulation> insulations) {
        return new Limits(A2.edition(), A2.remark(), A2.minimumVoltageFactor(), A2.loopScreen(), A2.disconnection(), A2.finalUpTo(), A2.beyondFinal(), touchVolt, A2.electrodeDoubt(),
                A2.trips(), A2.insulation(), A2.continuity(), A2.conductors(), A2.armour(), insulations, A2.k(), A2.grouped(), A2.groupedLayer(), A2.groupedDucts(),
                A2.groupedBuried(), A2.dropPercent(), A2.dropMore(), A2.leakageShare(), A2.ramps(), A2.externalLoop(), A2.fuses(), A2.fuseCommon());
    }
}
