package org.lampkeeper.quantity;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.LongRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

class ShareTest {

    /** Newcombe 1998 (Statistics in Medicine 17:857), method 3, the first four, printed figures from memory and recomputed; the rest recomputed. */
    @ParameterizedTest
    @CsvSource({"81, 263, 0.2553, 0.3662", "15, 148, 0.0624, 0.1605", "0, 20, 0, 0.1611", "1, 29, 0.0061, 0.1718", "46, 50, 0.8116, 0.9685",
            "360, 365, 0.9683, 0.9941", "28, 30, 0.7868, 0.9815", "30, 30, 0.8865, 1"})
    void intervalIsTheOnePublished(long part, long whole, double low, double high) {
        Share.Interval interval = new Share(part, whole).interval();

        assertThat(interval.low()).isCloseTo(low, within(0.00005));
        assertThat(interval.high()).isCloseTo(high, within(0.00005));
    }

    @Property
    void intervalHoldsTheShareAndStaysBetweenNothingAndAll(@ForAll @LongRange(min = 1, max = 100_000) long whole,
            @ForAll @LongRange(min = 0, max = 100_000) long some) {
        Share share = new Share(some % (whole + 1), whole);

        assertThat(share.interval().low()).isBetween(0.0, share.value() + 1e-12);
        assertThat(share.interval().high()).isBetween(share.value() - 1e-12, 1.0);
    }

    @Test
    void partBeyondTheWholeIsRefused() {
        assertThatThrownBy(() -> new Share(4, 3)).hasMessageContaining("must be");
        assertThatThrownBy(() -> new Share(0, 0)).hasMessageContaining("must be");
    }
}
