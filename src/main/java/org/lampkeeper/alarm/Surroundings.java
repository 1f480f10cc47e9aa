package org.lampkeeper.alarm;

import java.util.List;

/**
 * What is known around a cabinet that has lost its supply. A text that nobody has filled in is blank, and then left out of the advice.
 *
 * @param content           what the cabinet holds, one word or two
 * @param boardAccess       key or code for the room of the board
 * @param device            as printed on its front, see {@link DeviceMark}
 * @param fuseAmpere        rating of the fuse in the fused unit
 * @param intake            where the supply of the site comes in
 * @param onBoard           the other cabinets fed from the same board
 * @param elsewhereOnSite   the cabinets of the site on its other boards
 * @param sensorOnBatteryAndLampSeenLit a person saw the lamp lit after the loss was reported
 * @param sensorHealthyAndLampSeenOut   a person saw the lamp out while the sensor says that there is supply; not both
 */
public record Surroundings(
        String cabinet,
        String content,
        String cabinetPlace,
        String lampPlace,
        String board,
        String boardPlace,
        String boardAccess,
        String way,
        String device,
        int fuseAmpere,
        String fusedUnitPlace,
        String cable,
        String intake,
        List<Neighbour> onBoard,
        List<Neighbour> elsewhereOnSite,
        boolean sensorOnBatteryAndLampSeenLit,
        boolean sensorHealthyAndLampSeenOut) {

    public Surroundings {
        onBoard = List.copyOf(onBoard);
        elsewhereOnSite = List.copyOf(elsewhereOnSite);
        if (fuseAmpere <= 0) {
            throw new IllegalArgumentException("cabinet " + cabinet + ": fuse " + fuseAmpere + " A, must be more than zero");
        }
    }
}
