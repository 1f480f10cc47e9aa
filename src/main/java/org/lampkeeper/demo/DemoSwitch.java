package org.lampkeeper.demo;

/**
 * Takes the supply of simulated cabinets away and gives it back, so that a newcomer sees what Lampkeeper does. Exists in demo mode only.
 * Every call bears a repeat.
 */
public interface DemoSwitch {

    /** What a switch acts on: one cabinet, or a board with every cabinet that it feeds. */
    record Target(Kind kind, long id) {
        public enum Kind { CABINET, BOARD }
    }

    /** The simulated sensors behind {@code target} say "lost" at once. */
    void takeAway(Target target);

    /** The simulated sensors behind {@code target} say "healthy" at once. */
    void giveBack(Target target);

    /** Whether {@link #takeAway} was the last thing done to {@code target} itself. */
    boolean isAway(Target target);
}
