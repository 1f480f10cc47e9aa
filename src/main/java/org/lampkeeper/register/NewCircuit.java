package org.lampkeeper.register;

import java.util.List;
import java.util.OptionalInt;

import org.lampkeeper.electrical.Curve;

/**
 * The circuit of a cabinet as entered, from its way on the board to the fuse beside the cabinet.
 *
 * @param way                 as marked on the board
 * @param ratingAmpere        of the protective device, 1 to 125
 * @param residualMilliampere rated residual operating current, 6 to 500; present exactly for an RCBO
 * @param fuseAmpere          of the fused connection unit, 1 to 13
 */
public record NewCircuit(long boardId, String way, DeviceKind device, Curve curve, int ratingAmpere, OptionalInt residualMilliampere,
        String cable, int fuseAmpere, String fusedUnitPlace) {

    // IEC 60898-1 and IEC 61009-1, scope: rated current not more than 125 A
    private static final int MOST_RATING_A = 125;
    // IEC 61009-1, preferred rated residual operating currents: 6 mA to 500 mA
    private static final int LEAST_RESIDUAL_MA = 6;
    private static final int MOST_RESIDUAL_MA = 500;
    // BS 1362: fuse-links for plugs and connection units, up to 13 A
    private static final int MOST_FUSE_A = 13;

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        Problems problems = new Problems()
                .text("way", "way", way, 12)
                .range("ratingAmpere", "rating of the device", ratingAmpere, 1, MOST_RATING_A, "A")
                .text("cable", "cable", cable, 120)
                .range("fuseAmpere", "fuse", fuseAmpere, 1, MOST_FUSE_A, "A")
                .text("fusedUnitPlace", "place of the fused unit", fusedUnitPlace, 200)
                .must("residualMilliampere", (device == DeviceKind.RCBO) == residualMilliampere.isPresent(),
                        "residual current is " + (residualMilliampere.isPresent() ? "given for an MCB, which has none"
                                : "missing, an RCBO must have one"));
        residualMilliampere.ifPresent(value -> problems.range("residualMilliampere", "residual current", value, LEAST_RESIDUAL_MA, MOST_RESIDUAL_MA, "mA"));
        return problems.list();
    }
}
