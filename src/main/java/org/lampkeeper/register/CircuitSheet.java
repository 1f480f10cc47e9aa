package org.lampkeeper.register;

import java.util.Optional;
import java.util.OptionalInt;

import org.lampkeeper.alarm.DeviceMark;
import org.lampkeeper.electrical.Curve;

/** What a message or a page needs about a circuit. {@code residualMilliampere} is empty for a device without that part. */
public record CircuitSheet(String way, DeviceKind device, Curve curve, int ratingAmpere, OptionalInt residualMilliampere, String cable,
        int fuseAmpere, String fusedUnitPlace, long id, int version) {

    /** The device as it is printed on its front: "C16, 30 mA". */
    public String deviceMark() {
        return DeviceMark.of(curve.name(), ratingAmpere, residualMilliampere.isPresent() ? Optional.of(residualMilliampere.getAsInt()) : Optional.empty());
    }
}
