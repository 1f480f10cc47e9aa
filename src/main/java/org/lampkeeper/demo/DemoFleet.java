package org.lampkeeper.demo;

import java.net.URI;
import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.function.BiConsumer;
import java.util.stream.Collectors;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.logging.Log;
import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.simulator.Fleet;
import org.lampkeeper.simulator.FleetSettings;
import org.lampkeeper.simulator.SensorLogin;
import org.lampkeeper.telemetry.BrokerConfig;
import org.lampkeeper.telemetry.EmbeddedBroker;

/** Plays the demo's sensors over real MQTT, from inside the process, so that a newcomer needs one command. */
@ApplicationScoped
class DemoFleet implements DemoSwitch {

    /** Behind everything that listens. */
    private static final int LAST_AT_START = 4_000;
    /** After Lampkeeper has stopped listening, and before its broker goes: the farewells then wait there. */
    private static final int AT_STOP = 1_000;
    private static final Duration REPORT_EVERY = Duration.ofSeconds(5);

    private final DemoConfig config;
    private final BrokerConfig brokerConfig;
    private final EmbeddedBroker broker;
    private final Register register;
    private final Sensors sensors;
    private final Set<Target> away = ConcurrentHashMap.newKeySet();
    private volatile @Nullable Fleet fleet;

    DemoFleet(DemoConfig config, BrokerConfig brokerConfig, EmbeddedBroker broker, Register register, Sensors sensors) {
        this.config = config;
        this.brokerConfig = brokerConfig;
        this.broker = broker;
        this.register = register;
        this.sensors = sensors;
    }

    void start(@Observes @Priority(LAST_AT_START) StartupEvent event) {
        if (!config.enabled() || !config.play()) {
            return;
        }
        URI uri = brokerConfig.url().orElseGet(broker::uri);
        List<SensorLogin> logins = DemoSensors.read(config.sensors()).stream()
                .map(line -> new SensorLogin(line.deviceId(), line.secret(), line.baseName())).toList();
        fleet = Fleet.connect(uri, logins, FleetSettings.usual().reportingEvery(REPORT_EVERY));
        Log.infof("The demo plays %d sensors at %s.", logins.size(), uri);
    }

    void stop(@Observes @Priority(AT_STOP) ShutdownEvent event) {
        Fleet playing = fleet;
        if (playing != null) {
            playing.close();
        }
    }

    @Override
    public void takeAway(Target target) {
        away.add(target);
        switchSupply(target, Fleet::loseSupply);
    }

    @Override
    public void giveBack(Target target) {
        away.remove(target);
        switchSupply(target, Fleet::restoreSupply);
    }

    @Override
    public boolean isAway(Target target) {
        return away.contains(target);
    }

    private void switchSupply(Target target, BiConsumer<Fleet, String> action) {
        Fleet playing = fleet;
        if (playing == null) {
            throw new IllegalStateException("the demo's sensors are not played by this process");
        }
        List<CabinetSheet> cabinets = target.kind() == Target.Kind.BOARD ? register.sheetsOnBoard(target.id())
                : register.findSheet(target.id()).stream().toList();
        Set<Long> ids = cabinets.stream().map(CabinetSheet::cabinetId).collect(Collectors.toSet());
        sensors.keys().stream().filter(key -> ids.contains(key.cabinetId())).map(SensorKey::deviceId)
                .forEach(device -> action.accept(playing, device));
    }
}
