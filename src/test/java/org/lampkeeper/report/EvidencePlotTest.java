package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.junit.jupiter.api.Test;

import org.lampkeeper.journal.Head;
import org.lampkeeper.report.Evidence.Cabinet;
import org.lampkeeper.report.Evidence.Part;
import org.lampkeeper.report.Evidence.Table;
import org.lampkeeper.report.EvidencePlot.Bar;
import org.lampkeeper.report.SupplyFact.Heard;
import org.lampkeeper.report.SupplyFact.Lost;
import org.lampkeeper.report.SupplyFact.Returned;

import static org.assertj.core.api.Assertions.assertThat;

/** Ten hours on a width of 600: an hour is 60 wide; from -2 to 8 °C on a height of 120: a degree is 12 high. By hand. */
class EvidencePlotTest {

    private static final Instant START = Instant.parse("2026-11-01T20:00:00Z");
    private static final Span SPAN = new Span(START, START.plus(Duration.ofHours(10)));
    private static final List<String> COLUMNS = List.of("observed", "supply", "inside C", "inside lowest C", "inside highest C", "outside C", "battery %", "heater on", "door open",
            "content C", "content lowest C", "content highest C");

    @Test
    void temperaturesSupplyDoorAndLooksStandAtTheirTimes() {
        EvidencePlot plot = plot(List.of(row(0, "4.0", "3.0", "8.0", "-2.0", "false", "6.0"), row(30, "4.0", "4.0", "5.0", "", "true", ""), row(60, "4.0", "4.0", "4.0", "", "false", ""),
                row(300, "5.0", "5.0", "5.0", "", "true", "")), List.of(look("2026-11-01T23:00:00Z"), look(""), look("2026-11-02T09:00:00Z")));

        assertThat(plot.words()).isEqualTo("Inside from 3.0 to 8.0 °C. The content from 6.0 to 6.0 °C. Outside from -2.0 to -2.0 °C. ");
        assertThat(plot.top()).isEqualTo("8 °C");
        assertThat(plot.bottom()).isEqualTo("-2 °C");
        assertThat(plot.zero()).contains("96.00");
        assertThat(plot.inside()).as("a hole of four hours is a hole").containsExactly("0.00,48.00 30.00,48.00 60.00,48.00", "300.00,36.00");
        assertThat(plot.band()).containsExactly("0.00,0.00 30.00,36.00 60.00,48.00 60.00,48.00 30.00,48.00 0.00,60.00");
        assertThat(plot.outside()).containsExactly("0.00,120.00");
        assertThat(plot.content()).containsExactly("0.00,24.00");
        assertThat(plot.days()).as("midnight").containsExactly("240.00");
        assertThat(plot.door()).containsExactly(new Bar("open", "30.00", "30.00"), new Bar("open", "300.00", "1.50"));
        assertThat(plot.supply()).containsExactly(new Bar("unknown", "0.00", "60.00"), new Bar("lost", "120.00", "60.00"));
        assertThat(plot.looks()).as("one of this time").containsExactly("180.00");
    }

    @Test
    void whereNothingWasMeasuredTheSupplyIsDrawnAllTheSame() {
        EvidencePlot plot = plot(List.of(), List.of());

        assertThat(plot.words()).isEqualTo("No temperature was measured.");
        assertThat(plot.top()).isEmpty();
        assertThat(plot.supply()).hasSize(2);
    }

    private static EvidencePlot plot(List<List<String>> readings, List<List<String>> looks) {
        Evidence evidence = new Evidence(new Cabinet(1, "S1", "Stair 1", 3, "North Stair", ZoneId.of("Europe/London")), SPAN, List.of(),
                Map.of(Part.TEMPERATURES, new Table(COLUMNS, readings), Part.LOOKS, new Table(List.of("kind", "looked"), looks)), Map.of(), Map.of(), Optional.empty(),
                new Evidence.Stretch(Head.EMPTY, Head.EMPTY, Optional.empty(), Optional.empty(), "", Optional.empty()));
        return EvidencePlot.of(evidence, SupplyRecord.of(List.of(new Heard(START.plus(Duration.ofHours(1))), new Lost(START.plus(Duration.ofHours(2))),
                new Returned(START.plus(Duration.ofHours(3)))), List.of(), SPAN));
    }

    private static List<String> look(String at) {
        return List.of("LAMP", at);
    }

    private static List<String> row(int minutes, String inside, String least, String most, String outside, String door, String content) {
        return List.of(START.plus(Duration.ofMinutes(minutes)).toString(), "HEALTHY", inside, least, most, outside, "", "", door, content, content, content);
    }
}
