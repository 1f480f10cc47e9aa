package org.lampkeeper.register;

import java.util.OptionalInt;

import jakarta.persistence.Column;
import jakarta.persistence.Entity;
import jakarta.persistence.EnumType;
import jakarta.persistence.Enumerated;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;
import jakarta.persistence.OneToOne;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.electrical.Curve;

/** What feeds one cabinet, from the way on its board to the fuse beside it. */
@Entity
class Circuit extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @OneToOne(fetch = FetchType.LAZY, optional = false)
    private Cabinet cabinet;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Board board;
    private String way;
    @Enumerated(EnumType.STRING)
    private DeviceKind deviceKind;
    @Enumerated(EnumType.STRING)
    private Curve deviceCurve;
    @Column(name = "device_rating_a")
    private int deviceRatingAmpere;
    @Column(name = "residual_ma")
    private @Nullable Integer residualMilliampere;
    private String cable;
    @Column(name = "fuse_a")
    private int fuseAmpere;
    private String fusedUnitPlace;

    protected Circuit() {
    }

    Circuit(Cabinet cabinet, Board board, NewCircuit entered, By by) {
        this.cabinet = cabinet;
        take(board, entered, by);
    }

    void take(Board itsBoard, NewCircuit entered, By by) {
        board = itsBoard;
        way = entered.way();
        deviceKind = entered.device();
        deviceCurve = entered.curve();
        deviceRatingAmpere = entered.ratingAmpere();
        residualMilliampere = entered.residualMilliampere().isPresent() ? entered.residualMilliampere().getAsInt() : null;
        cable = entered.cable();
        fuseAmpere = entered.fuseAmpere();
        fusedUnitPlace = entered.fusedUnitPlace();
        changed(by);
    }

    long id() {
        return id;
    }

    CabinetSheet sheet() {
        return cabinet.sheet(board.sheet(), circuit());
    }

    CircuitSheet circuit() {
        OptionalInt residual = residualMilliampere == null ? OptionalInt.empty() : OptionalInt.of(residualMilliampere);
        return new CircuitSheet(way, deviceKind, deviceCurve, deviceRatingAmpere, residual, cable, fuseAmpere, fusedUnitPlace, id, version());
    }
}
