package org.lampkeeper.simulator;

import java.time.Duration;
import java.util.Arrays;
import java.util.Locale;
import java.util.stream.Collectors;

/** What can go wrong at one sensor. Several may run at once. */
public enum Fault {
    /** The supply is gone, and comes back at the end. Both changes are reported at once. */
    LOSS(Duration.ofMinutes(2)),
    /** A loss too short to trouble anybody. */
    DIP(Duration.ofSeconds(5)),
    /** Dips of 1 to 5 s, again and again. */
    UNSTEADY(Duration.ofMinutes(2)),
    /** The program of the sensor hangs: its connection stays, no report comes, and what happened meanwhile is not remembered. */
    SILENCE(Duration.ofMinutes(3)),
    /** The connection is cut without a good-bye, so that the broker publishes the will; nothing is remembered meanwhile. */
    OFFLINE(Duration.ofMinutes(3)),
    /** As {@link #OFFLINE}, but the sensor remembers its observations and sends them when it is back, several times in one pack. */
    BACKLOG(Duration.ofMinutes(3)),
    /** The connection is cut, the memory empty; at the end a new birth, and {@code seq} starts again at 1. */
    REBOOT(Duration.ofSeconds(5)),
    /** The clock is two hours ahead. */
    CLOCK_AHEAD(Duration.ofMinutes(2)),
    /** The clock has started again at 1 January 2000. */
    CLOCK_ANCIENT(Duration.ofMinutes(2)),
    /** The clock has started again at 1 January 1970. RFC 8428 reads numbers that small as relative times. */
    CLOCK_1970(Duration.ofMinutes(2)),
    /** The sensor has no clock: its reports carry no base time, only how long ago, or nothing for now. */
    CLOCK_RELATIVE(Duration.ofMinutes(2)),
    /**
     * Four messages that must not be believed, spread over the duration: half a JSON text, 1 MiB, a NaN, another sensor's base name.
     * Each of them says that the supply is lost, while it is not: whoever believes one raises a false alarm.
     */
    GARBAGE(Duration.ofSeconds(20));

    private final Duration usually;

    Fault(Duration usually) {
        this.usually = usually;
    }

    /** How long it lasts when nobody says. */
    public Duration usually() {
        return usually;
    }

    /** As it is written on a command line: {@code clock-ahead}. */
    public String word() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** @throws IllegalArgumentException listing the words that there are */
    public static Fault of(String word) {
        return Arrays.stream(values()).filter(fault -> fault.word().equals(word)).findFirst()
                .orElseThrow(() -> new IllegalArgumentException("fault \"" + word + "\" is not known; there are: " + words()));
    }

    static String words() {
        return Arrays.stream(values()).map(Fault::word).collect(Collectors.joining(", "));
    }
}
