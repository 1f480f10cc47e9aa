package org.lampkeeper.demo;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class DemoInstallationTest {

    private static final Path DELIVERED = Path.of("config", "demo", "hallow-water-ferries.json");

    @TempDir
    Path directory;

    // Each row spoils the delivered file in one place.
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "\"fuseAmpere\": 3      | \"fuseAmpere\": \"three\" | sites[0].cabinets[0].circuit.fuseAmpere",
            "\"zone\"               | \"zome\"                  | sites[0].zone",
            "\"way\": \"3\"        | \"way\": \"3\", \"x\": 1 | \"x\"",
            "\"PT2M\"               | \"2 min\"                 | operator.repeatAfter",
            "\"curve\": \"C\"       | \"curve\": \"E\"          | sites[0].cabinets[0].circuit.curve",
            "\"INSTALLER\"          | \"INSTALER\"              | people[3].roles[0].role",
            "\"sites\": [\"Reedholm\"] | \"sites\": [\"Redholm\"] | person A. Wren: site Redholm is not in the file",
            "\"people\": [          | \"people\": [[            | line 3",
            "\"A. Wren\", \"days\"   | \"A. Ren\", \"days\"      | shifts of site Withy Slip: person A. Ren is not in the file",
            "\"cabinet\": \"WS1\"  | \"cabinet\": \"WS9\"     | looks of site Withy Slip: cabinet WS9 is not there",
            "\"person\": \"R. Osk\" | \"person\": \"R. Oak\"    | person R. Oak is not in the file",
            "\"board\": \"Board A\" | \"board\": \"Board Z\"    | cabinet NS1: board North Stair / Board Z is not in the file"})
    void badFileIsNamedWithThePlaceInIt(String right, String wrong, String expected) throws IOException {
        String text = Files.readString(DELIVERED);
        assertThat(text).contains(right);
        Path spoilt = directory.resolve("spoilt.json");
        Files.writeString(spoilt, text.replace(right, wrong));

        assertThatThrownBy(() -> DemoInstallation.read(spoilt)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining(spoilt.toString())
                .hasMessageContaining(expected);
    }

    @Test
    void missingFileSaysWhereItWasLookedFor() {
        assertThatThrownBy(() -> DemoInstallation.read(directory.resolve("none.json"))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining(directory.resolve("none.json").toString())
                .hasMessageContaining("lampkeeper.demo.installation");
    }
}
