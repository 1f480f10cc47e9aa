package org.lampkeeper.supply;

import java.time.Instant;
import java.util.List;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;

import static org.assertj.core.api.Assertions.assertThat;

class ProofTestPropertiesTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");

    /** In whatever order facts come, and however often: what was measured once stays, and nothing moves after the end. */
    @Property
    void whatWasMeasuredStays(@ForAll @Size(max = 12) List<@IntRange(min = 0, max = 4) Integer> facts) {
        ProofTest test = ProofTest.begun(NOON);
        int second = 0;
        for (int fact : facts) {
            ProofTest before = test;
            second++;
            test = switch (fact) {
                case 0 -> test.lost(at(second), at(second));
                case 1 -> test.isToBeTold() ? test.told(true, at(second)) : test;
                case 2 -> test.taken(at(second));
                case 3 -> test.returned(at(second), at(second));
                default -> test.ended(at(second));
            };
            if (!before.isRunning()) {
                assertThat(test).isEqualTo(before);
            }
            ProofTest after = test;
            before.heardAt().ifPresent(at -> assertThat(after.heardAt()).contains(at));
            assertThat(test.takenAt().isPresent() && test.toldAt().isEmpty()).isFalse();
            assertThat(test.toldAt().isPresent() && test.heardAt().isEmpty()).isFalse();
            assertThat(test.isProven() && test.isRunning()).isFalse();
            assertThat(test.lines()).hasSize(4);
        }
    }

    private static Instant at(int second) {
        return NOON.plusSeconds(second);
    }
}
