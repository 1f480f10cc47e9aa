package org.lampkeeper.demo;

import java.io.IOException;
import java.nio.file.Files;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.demo.DemoSensors.Line;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;

@QuarkusTest
@TestProfile(WithDemo.class)
class DemoDataTest {

    @Inject
    DemoData demo;
    @Inject
    DemoConfig config;
    @Inject
    Register register;
    @Inject
    Sensors sensors;
    @Inject
    People people;
    @Inject
    CallOutLists callOutLists;
    @Inject
    DutyBook duty;
    @Inject
    CheckPlans looks;
    @Inject
    Clock clock;

    @Test
    void emptyDatabaseWasFilledAtStart() {
        List<CabinetSheet> cabinets = register.sheets();

        assertThat(cabinets).hasSize(12);
        assertThat(cabinets).extracting(CabinetSheet::content).containsOnly("defibrillator", "emergency telephone", "heated eyewash");
        assertThat(cabinets.stream().map(CabinetSheet::board).map(BoardSheet::id).distinct()).hasSize(3);
        assertThat(register.sites()).extracting(SiteSheet::name).containsExactly("Cray Point", "North Stair", "Reedholm", "Withy Slip");
        assertThat(cabinets).filteredOn(CabinetSheet::isFedFromAnotherSite).extracting(cabinet -> cabinet.site().name())
                .containsOnly("Withy Slip");
    }

    @Test
    void everyCabinetHasASensorThatCanLogIn() {
        List<Line> lines = DemoSensors.read(config.sensors());
        Map<String, SensorKey> keys = sensors.keys().stream().collect(Collectors.toMap(SensorKey::deviceId, key -> key));

        assertThat(keys.values()).extracting(SensorKey::cabinetId)
                .containsExactlyInAnyOrderElementsOf(register.sheets().stream().map(CabinetSheet::cabinetId).toList());
        assertThat(lines).hasSameSizeAs(keys.keySet()).allSatisfy(line -> {
            assertThat(sensors.accepts(line.deviceId(), line.secret())).isTrue();
            assertThat(keys.get(line.deviceId()).baseName()).isEqualTo(line.baseName());
        });
    }

    @Test
    void everySiteTellsThreePeopleWithinTwoMinutesAndEachCanBeReached() {
        assertThat(register.sites()).allSatisfy(site -> {
            CallOutList list = callOutLists.ofSite(site.id());
            assertThat(list.turns()).hasSize(3);
            assertThat(list.turns().stream().map(Turn::after).reduce(Duration.ZERO, Duration::plus)).isLessThan(Duration.ofMinutes(2));
            assertThat(list.turns()).allSatisfy(turn -> assertThat(people.contact(turn.personId().orElseThrow()).mail().orElseThrow())
                    .endsWith("@hallowwater.example"));
        });
        assertThat(callOutLists.ofSite(CallOutLists.OPERATOR).turns()).isNotEmpty();
    }

    @Test
    void oneSiteHasARotaWithoutGapsAndALookEveryDay() {
        long site = register.sites().stream().filter(each -> each.name().equals("Withy Slip")).findFirst().orElseThrow().id();
        Instant now = clock.instant();

        assertThat(duty.rota(site).orElseThrow().gaps(now, now.plus(Duration.ofDays(7)))).isEmpty();
        assertThat(duty.on(site, DutyRole.DUTY_MANAGER, now)).extracting(id -> people.contact(id).name()).containsExactly("R. Osk");
        assertThat(looks.ofSite(site)).hasSize(1).allSatisfy(plan -> assertThat(plan.plan().kind()).isEqualTo(CheckKind.LAMP));
    }

    @Test
    void filledDatabaseIsLeftAsItIs() throws IOException {
        String secretsBefore = Files.readString(config.sensors());

        assertThat(demo.fillIfEmpty()).isFalse();

        assertThat(register.sheets()).hasSize(12);
        assertThat(people.all()).hasSize(6);
        assertThat(Files.readString(config.sensors())).isEqualTo(secretsBefore);
    }

    @Test
    void lostFileOfSecretsIsMadeAnew() throws IOException {
        Files.delete(config.sensors());

        assertThat(demo.fillIfEmpty()).isFalse();

        assertThat(DemoSensors.read(config.sensors())).hasSize(12)
                .allMatch(line -> sensors.accepts(line.deviceId(), line.secret()));
    }
}
