package org.lampkeeper.supply;

import java.time.Duration;

/**
 * How long to wait before a person is troubled.
 *
 * @param confirm     how long a loss must last before it is one; zero or more. A loss of doubtful time always waits at least {@link #DOUBTFUL_CONFIRM}
 * @param grace       what a sensor may be late against its own promise; zero or more
 * @param linkGrace   how long a sensor's link may be down before that counts as silence; zero or more
 * @param dipsUnsteady how many dips within {@code dipsWindow} make a supply unsteady; at least 2
 * @param dipsWindow  see {@code dipsUnsteady}; more than zero
 */
public record Tolerance(Duration confirm, Duration grace, Duration linkGrace, int dipsUnsteady, Duration dipsWindow) {

    /** Ours: the default confirmation time, so that a doubtful loss gets the chance to be contradicted even where confirmation is off. */
    public static final Duration DOUBTFUL_CONFIRM = Duration.ofSeconds(20);

    public Tolerance {
        requireNotNegative("confirm", confirm);
        requireNotNegative("grace", grace);
        requireNotNegative("link grace", linkGrace);
        if (dipsUnsteady < 2) {
            throw new IllegalArgumentException("dips that make a supply unsteady: " + dipsUnsteady + ", must be at least 2");
        }
        if (dipsWindow.isNegative() || dipsWindow.isZero()) {
            throw new IllegalArgumentException("window for dips: " + dipsWindow + ", must be more than zero");
        }
    }

    private static void requireNotNegative(String name, Duration value) {
        if (value.isNegative()) {
            throw new IllegalArgumentException(name + ": " + value + ", must be zero or more");
        }
    }
}
