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
}
