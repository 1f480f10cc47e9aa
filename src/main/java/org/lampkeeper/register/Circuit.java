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
import jakarta.persistence.Version;

import org.jspecify.annotations.Nullable;

/** What feeds one cabinet, from the way on its board to the fuse beside it. */
@Entity
class Circuit {

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
    @Version
    private Integer version;

    protected Circuit() {
    }

    Circuit(Cabinet cabinet, Board board, NewCircuit entered) {
        this.cabinet = cabinet;
        this.board = board;
        this.way = entered.way();
        this.deviceKind = entered.device();
        this.deviceCurve = entered.curve();
        this.deviceRatingAmpere = entered.ratingAmpere();
        this.residualMilliampere = entered.residualMilliampere().isPresent() ? entered.residualMilliampere().getAsInt() : null;
        this.cable = entered.cable();
        this.fuseAmpere = entered.fuseAmpere();
        this.fusedUnitPlace = entered.fusedUnitPlace();
    }

    CabinetSheet sheet() {
        OptionalInt residual = residualMilliampere == null ? OptionalInt.empty() : OptionalInt.of(residualMilliampere);
        return cabinet.sheet(board.sheet(), new CircuitSheet(way, deviceKind, deviceCurve, deviceRatingAmpere, residual, cable, fuseAmpere,
                fusedUnitPlace));
    }
}
