package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;

import org.lampkeeper.report.SupplyRecord.Condition;
import org.lampkeeper.report.SupplyRecord.Stretch;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

/** Several cabinets together, against a count of every minute of each. */
class SupplyTotalTest {

    private static final Instant START = Instant.parse("2026-11-01T00:00:00Z");

    @Property(tries = 300)
    void totalIsWhatACountOfEveryMinuteSays(@ForAll("records") List<SupplyRecord> records) {
        int[] minutes = new int[Condition.values().length];
        int losses = 0;
        int longest = 0;
        for (SupplyRecord record : records) {
            int run = 0;
            for (Instant at = record.span().from(); at.isBefore(record.span().until()); at = at.plusSeconds(60)) {
                Instant that = at;
                Condition condition = record.stretches().stream().filter(each -> each.span().holds(that)).findFirst().orElseThrow().condition();
                minutes[condition.ordinal()]++;
                losses += condition == Condition.LOST && run == 0 ? 1 : 0;
                run = condition == Condition.LOST ? run + 1 : 0;
                longest = Math.max(longest, run);
            }
        }

        SupplyTotal total = SupplyTotal.of(records);

        int known = minutes[Condition.SUPPLIED.ordinal()] + minutes[Condition.LOST.ordinal()];
        assertThat(total).isEqualTo(new SupplyTotal(records.size(), Duration.ofMinutes(minutes[Condition.SUPPLIED.ordinal()]), Duration.ofMinutes(minutes[Condition.LOST.ordinal()]),
                Duration.ofMinutes(minutes[Condition.UNKNOWN.ordinal()]), Duration.ofMinutes(minutes[Condition.EXCLUDED.ordinal()]), losses,
                losses == 0 ? Optional.empty() : Optional.of(Duration.ofMinutes(longest))));
        assertThat(total.availability().isPresent()).isEqualTo(known > 0);
        total.availability().ifPresent(share -> assertThat(share).isCloseTo((double) minutes[Condition.SUPPLIED.ordinal()] / known, within(1e-12)));
        assertThat(total.meanLoss().isPresent()).isEqualTo(losses > 0);
    }

    /** What a page of one cabinet and a page of all say of it must not differ. */
    @Property(tries = 200)
    void totalOfOneIsThatOne(@ForAll("records") List<SupplyRecord> records) {
        for (SupplyRecord record : records) {
            SupplyTotal total = SupplyTotal.of(record);
            assertThat(total.availability()).isEqualTo(record.availability());
            assertThat(total.longestLoss()).isEqualTo(record.longestLoss());
            assertThat(total.meanLoss()).isEqualTo(record.meanLoss());
        }
    }

    /** Common practice, no source: an hour of one cabinet must not weigh as much as a month of another. */
    @Test
    void cabinetOfWhichLittleIsKnownCountsForLittle() {
        SupplyRecord month = record(new int[] {Condition.SUPPLIED.ordinal(), 999});
        SupplyRecord hour = record(new int[] {Condition.LOST.ordinal(), 1});

        assertThat(SupplyTotal.of(List.of(month, hour)).availability()).contains(0.999);
        assertThat(SupplyTotal.NOTHING.availability()).isEmpty();
    }

    @Provide
    Arbitrary<List<SupplyRecord>> records() {
        return Combinators.combine(Arbitraries.integers().between(0, Condition.values().length - 1), Arbitraries.integers().between(1, 30)).as((condition, length) -> new int[] {condition, length})
                .list().ofMinSize(1).ofMaxSize(12).map(parts -> record(parts.toArray(int[][]::new))).list().ofMaxSize(6);
    }

    /** Of pairs of a condition and how many minutes it lasts; neighbours of one condition are one stretch. */
    private static SupplyRecord record(int[]... parts) {
        List<Stretch> stretches = new ArrayList<>();
        Instant at = START;
        for (int[] part : parts) {
            Instant until = at.plus(Duration.ofMinutes(part[1]));
            Condition condition = Condition.values()[part[0]];
            int last = stretches.size() - 1;
            if (last >= 0 && stretches.get(last).condition() == condition) {
                stretches.set(last, new Stretch(new Span(stretches.get(last).span().from(), until), condition));
            } else {
                stretches.add(new Stretch(new Span(at, until), condition));
            }
            at = until;
        }
        return new SupplyRecord(new Span(START, START.plus(Duration.ofMinutes(Arrays.stream(parts).mapToInt(part -> part[1]).sum()))), stretches);
    }
}
