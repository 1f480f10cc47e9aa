package org.lampkeeper.register;

import java.util.Optional;

import jakarta.persistence.Column;
import jakarta.persistence.Entity;
import jakarta.persistence.Id;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.quantity.Celsius;

/** How a cabinet keeps warm, from the first time that somebody said something about it. */
@Entity
class Warmth extends Kept {

    @Id
    private Long cabinetId;
    @Column(name = "set_point_c")
    private @Nullable Double setPointCelsius;
    @Column(name = "heater_w")
    private @Nullable Double heaterWatt;
    private @Nullable Double wattPerKelvin;
    private @Nullable Double joulePerKelvin;
    @Column(name = "coldest_c")
    private @Nullable Double coldestCelsius;
    private boolean needsSupply;
    private boolean slowerWhenWarm;

    protected Warmth() {
    }

    Warmth(long cabinetId, NewWarmth entered, By by) {
        this.cabinetId = cabinetId;
        take(entered, by);
    }

    void take(NewWarmth entered, By by) {
        setPointCelsius = entered.setPoint().map(Celsius::value).orElse(null);
        heaterWatt = entered.heaterWatt().orElse(null);
        wattPerKelvin = entered.wattPerKelvin().orElse(null);
        joulePerKelvin = entered.joulePerKelvin().orElse(null);
        coldestCelsius = entered.coldest().map(Celsius::value).orElse(null);
        needsSupply = entered.needsSupply();
        slowerWhenWarm = entered.slowerWhenWarm();
        changed(by);
    }

    WarmthSheet sheet() {
        return new WarmthSheet(cabinetId, new NewWarmth(Optional.ofNullable(setPointCelsius).map(Celsius::new), Optional.ofNullable(heaterWatt),
                Optional.ofNullable(wattPerKelvin), Optional.ofNullable(joulePerKelvin), Optional.ofNullable(coldestCelsius).map(Celsius::new), needsSupply,
                slowerWhenWarm), version());
    }
}
