package org.lampkeeper.register;

import java.util.EnumMap;
import java.util.Map;

import static org.lampkeeper.register.HandoverField.*;

/** A whole record of an invented cabinet: Ze 0.35 Ω, C16, 30 m of three-core 2.5 mm² SWA with the third core as protective conductor. */
public final class HandoverFixture {

    public static final String A2 = "BS 7671:2018+A2:2022";

    private HandoverFixture() {
    }

    public static Map<HandoverField, String> example() {
        Map<HandoverField, String> typed = new EnumMap<>(HandoverField.class);
        typed.putAll(Map.of(POSITION, "west end of the quay, beside the ladder", HEIGHT, "1.1", SHADE, "PARTLY", EXPOSURE, "JETS", ACCESS, "gate by the kiosk", KEYS, "none"));
        typed.putAll(Map.of(BOARD, "Board A", WAY, "4", SPARE_WAY, "YES", SHUTDOWN, "AGREED", SHUTDOWN_WITH, "the harbour office, 7 to 8 in the morning"));
        typed.putAll(Map.of(EDITION, A2, EARTHING, "TN_C_S", VOLT, "230", ZE, "0.35", ZE_FROM, "MEASURED", FAULT_CURRENT, "0.66"));
        typed.putAll(Map.of(DEVICE, "RCBO", CURVE, "C", RATING, "16", BREAKING, "6", RESIDUAL, "30", RESIDUAL_TYPE, "A", DELAY, "NONE", SUITED, "YES"));
        typed.putAll(Map.of(CABLE, "SWA", INSULATION, "THERMOSETTING_90", ACCESSORY, "C70", CORES, "3", SIZE, "2.5", BACK, "CORE", BACK_SIZE, "2.5", LENGTH, "30"));
        typed.putAll(Map.of(METHOD, "C", AMBIENT, "30", GROUPED, "1", SPARE_CORES, "none", ARMOUR_EARTHED, "at the board, gland and earthing nut"));
        typed.putAll(Map.of(SWITCHED, "UNSWITCHED", FUSE, "3", LAMP_SIDE, "LOAD", LAMP_PLACE, "under the cabinet", SWITCH_OFF, "at Board A, way 4"));
        typed.putAll(Map.of(IP_CODE, "IP65", METAL, "NONE", HEATER, "100", OTHER_LOAD, "5", THERMOSTAT, "8"));
        typed.putAll(Map.of(CONTENT, "defibrillator", STORAGE, "BOTH", LOWEST, "0", HIGHEST, "50", PART_1, "pads", PART_1_UNTIL, "2028-04-30"));
        typed.putAll(Map.of(TESTER, "installation tester 12, calibrated until 2027-03", R1R2, "0.43", R1R2_AT, "15", MEGOHM, ">999", ZS, "0.79", POLARITY, "CORRECT"));
        typed.putAll(Map.of(TRIP_HALF, "STAYED", TRIP_ONCE, "24.6", TRIP_FIVE, "18.2", TEST_BUTTON, "OPENS", LEAKAGE, "0.8", NEXT_INSPECTION, "2029-12-01"));
        typed.putAll(Map.of(INSTALLER, "B. Marsh", TAKEN_OVER_BY, "M. Teal", TOLD, "M. Teal: lamp, way 4, what to do when it is out"));
        return typed;
    }

    /** The same with one field otherwise; an empty text leaves it out. */
    public static Map<HandoverField, String> exampleWith(HandoverField field, String typed) {
        Map<HandoverField, String> all = example();
        all.put(field, typed);
        return all;
    }
}
