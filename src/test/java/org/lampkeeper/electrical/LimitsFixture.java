package org.lampkeeper.electrical;

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
        return new Limits(A2.edition(), A2.remark(), A2.minimumVoltageFactor(), A2.loopScreen(), A2.disconnection(), A2.finalUpTo(), A2.beyondFinal(), volt, A2.electrodeDoubt(),
                A2.trips(), A2.insulation(), A2.continuity(), A2.conductors(), A2.armour(), A2.insulations(), A2.k(), A2.grouped(), A2.groupedLayer(), A2.groupedDucts(),
                A2.groupedBuried(), A2.dropPercent(), A2.dropMore(), A2.leakageShare(), A2.ramps(), A2.externalLoop(), A2.fuses(), A2.fuseCommon());
    }
}
