package org.lampkeeper.check;

import java.time.Duration;
import java.util.Optional;

/** What a check looks at. */
public enum CheckKind {
    /** Is the lamp lit? */
    LAMP,
    /** Is the cabinet whole, closed, and is everything in it? */
    CABINET,
    /** How long are the dated parts of the content good? */
    CONTENT,
    /**
     * The test button of the residual-current device: the supply goes for a moment, and comes back. Every six months: BS 7671:2018
     * regulation 514.12.2, from a secondary source.
     */
    TEST_BUTTON;

    /** The design's rule 5: what a test button may take away comes back within two minutes, else it is a loss. */
    public static final Duration TEST_BUTTON_TAKES = Duration.ofMinutes(2);

    /** What is asked of somebody, in words that go on with "of" and the cabinet. */
    public String task() {
        return switch (this) {
            case LAMP -> "look at the lamp";
            case CABINET -> "look over the outside";
            case CONTENT -> "look at the dates of the content";
            case TEST_BUTTON -> "press the test button";
        };
    }

    /** Whether this can be said of it: of a cabinet or its dates nobody says that they are out. */
    public boolean takes(Answer answer) {
        return answer != Answer.OUT || this == LAMP || this == TEST_BUTTON;
    }

    /** For how long a loss is expected once somebody says that they do this now. */
    public Optional<Duration> expectedLoss() {
        return this == TEST_BUTTON ? Optional.of(TEST_BUTTON_TAKES) : Optional.empty();
    }
}
