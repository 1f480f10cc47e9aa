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
    @Column(name = "surface_w_per_m2k")
    private @Nullable Double surfaceCoefficient;
    @Column(name = "content_mm")
    private @Nullable Double contentMillimetres;
    @Column(name = "content_w_per_mk")
    private @Nullable Double contentConductivity;

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
        surfaceCoefficient = entered.body().surfaceCoefficient().orElse(null);
        contentMillimetres = entered.body().millimetres().orElse(null);
        contentConductivity = entered.body().conductivity().orElse(null);
        changed(by);
    }

    WarmthSheet sheet() {
        return new WarmthSheet(cabinetId, new NewWarmth(Optional.ofNullable(setPointCelsius).map(Celsius::new), Optional.ofNullable(heaterWatt),
                Optional.ofNullable(wattPerKelvin), Optional.ofNullable(joulePerKelvin), Optional.ofNullable(coldestCelsius).map(Celsius::new), needsSupply,
                slowerWhenWarm, new NewWarmth.Body(Optional.ofNullable(surfaceCoefficient), Optional.ofNullable(contentMillimetres),
                        Optional.ofNullable(contentConductivity))), version());
    }
}
