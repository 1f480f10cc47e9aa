package org.lampkeeper.simulator;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Map;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class FaultPlanTest {

    private static final List<String> IDS = List.of("sim-1", "sim-2", "sim-3");

    @TempDir
    private Path folder;

    @Test
    void aSeedDealsTheSameFaultsInTheOrderOfTheirOffsets() {
        Map<Fault, Integer> howMany = Map.of(Fault.LOSS, 20, Fault.DIP, 10, Fault.GARBAGE, 0);

        List<PlannedFault> plan = FaultPlan.dealt(howMany, IDS, Duration.ofMinutes(10), 7);

        assertThat(plan).hasSize(30).isEqualTo(FaultPlan.dealt(howMany, IDS, Duration.ofMinutes(10), 7))
                .isNotEqualTo(FaultPlan.dealt(howMany, IDS, Duration.ofMinutes(10), 8));
        assertThat(plan).extracting(PlannedFault::offset).isSorted().allMatch(offset -> offset.compareTo(Duration.ofMinutes(10)) < 0);
        assertThat(plan).filteredOn(planned -> planned.fault() == Fault.LOSS).hasSize(20);
        assertThat(plan).extracting(PlannedFault::deviceId).containsOnly("sim-1", "sim-2", "sim-3");
    }

    @Test
    void aScriptIsReadInTheOrderOfItsOffsets() throws IOException {
        Path script = script("# evening", "", "2m, sim-2, clock-ahead", "30s,sim-1,loss,1m30s");

        List<PlannedFault> plan = FaultPlan.read(script, IDS);

        assertThat(plan).containsExactly(
                new PlannedFault(Duration.ofSeconds(30), "sim-1", Fault.LOSS, Duration.ofSeconds(90)),
                new PlannedFault(Duration.ofMinutes(2), "sim-2", Fault.CLOCK_AHEAD, Fault.CLOCK_AHEAD.usually()));
    }

    @Test
    void aStarIsEverySensor() throws IOException {
        List<PlannedFault> plan = FaultPlan.read(script("0s, *, silence, 3m"), IDS);

        assertThat(plan).extracting(PlannedFault::deviceId).containsExactlyElementsOf(IDS);
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "30s, sim-1                | must be offset, sensor, fault",
        "30s, sim-9, loss          | no sensor is called \"sim-9\"",
        "30s, sim-1, explosion     | there are: loss, dip, unsteady",
        "soon, sim-1, loss         | write 30s, 2m, 1h30m",
        "-5s, sim-1, loss          | is negative",
        "30s, sim-1, loss, 0s      | must be more than zero"
    })
    void aWrongLineIsRefusedWithItsPlace(String line, String why) throws IOException {
        Path script = script("# first", line);

        assertThatThrownBy(() -> FaultPlan.read(script, IDS)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("line 2").hasMessageContaining(why);
    }

    @Test
    void aSensorFileMayHaveAHeadingAndGivesNoSecretAwayWhenPrinted() throws IOException {
        Path file = script("deviceId,secret,baseName", "a-1,hush,urn:dev:mac:0024befffe804ff1:");

        List<SensorLogin> logins = SensorLogin.readAll(file);

        assertThat(logins).containsExactly(new SensorLogin("a-1", "hush", "urn:dev:mac:0024befffe804ff1:"));
        assertThat(logins.toString()).doesNotContain("hush");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "a-1,hush               | 2 fields, must be 3",
        "a/1,hush,urn:x:        | must not be empty nor hold",
        "a-1,hush,              | the base name is empty",
        "same,hush,urn:x:       | is there twice"
    })
    void aWrongSensorLineIsRefusedWithItsPlace(String line, String why) throws IOException {
        Path file = script("same,hush,urn:x:", line);

        assertThatThrownBy(() -> SensorLogin.readAll(file)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("line 2").hasMessageContaining(why);
    }

    private Path script(String... lines) throws IOException {
        return Files.write(folder.resolve("lines.csv"), List.of(lines));
    }
}
