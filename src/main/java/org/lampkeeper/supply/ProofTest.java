package org.lampkeeper.supply;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

/**
 * The proof test of a cabinet: the installer takes the supply away at the board, and it is watched whether the loss arrives, whether a message
 * reaches the person on duty and is taken, and whether the supply's return arrives. Immutable; every fact gives the next one. A fact that comes
 * twice, or after the end, changes nothing: what is measured is the first of each.
 *
 * @param startedAt  the installer said "now"
 * @param endsAt     whatever has not happened by then is said not to have happened
 * @param lostAt     the sensor's own time of the first report without supply
 * @param heardAt    when that report was heard
 * @param toldAt     the loss was confirmed, and the message was put; none while it was not, and where nobody could be told
 * @param nobody     the loss was confirmed, and there was nobody to tell
 * @param takenAt    somebody pressed "I have it"
 * @param returnedAt the sensor's own time of the report with supply
 * @param backHeard  when that was heard
 * @param endedAt    it is over: everything happened, its time was over, or it was broken off
 */
public record ProofTest(Instant startedAt, Instant endsAt, Optional<Instant> lostAt, Optional<Instant> heardAt, Optional<Instant> toldAt, boolean nobody,
        Optional<Instant> takenAt, Optional<Instant> returnedAt, Optional<Instant> backHeard, Optional<Instant> endedAt) {

    /** Ours: time to walk to the board and back, and for the message to be taken; not so long that somebody forgets the device open. */
    public static final Duration LASTS = Duration.ofMinutes(30);

    public static ProofTest begun(Instant now) {
        return new ProofTest(now, now.plus(LASTS), Optional.empty(), Optional.empty(), Optional.empty(), false, Optional.empty(), Optional.empty(),
                Optional.empty(), Optional.empty());
    }

    public boolean isRunning() {
        return endedAt.isEmpty();
    }

    /** Everything that it watches for has happened. */
    public boolean isProven() {
        return heardAt.isPresent() && toldAt.isPresent() && takenAt.isPresent() && backHeard.isPresent();
    }

    /** A report without supply. One that says so of a time before the start is not of this test. */
    public ProofTest lost(Instant observedAt, Instant now) {
        return isRunning() && heardAt.isEmpty() && !observedAt.isBefore(startedAt)
                ? new ProofTest(startedAt, endsAt, Optional.of(observedAt), Optional.of(now), toldAt, nobody, takenAt, returnedAt, backHeard, endedAt) : this;
    }

    /** The loss has lasted long enough to count: the message leaves. Whether it does is for {@link #isToBeTold} to say before. */
    public ProofTest told(boolean reachesSomebody, Instant now) {
        return new ProofTest(startedAt, endsAt, lostAt, heardAt, reachesSomebody ? Optional.of(now) : toldAt, !reachesSomebody, takenAt, returnedAt, backHeard, endedAt);
    }

    /** Whether a confirmed loss is this test's, and nobody was told of it yet. */
    public boolean isToBeTold() {
        return isRunning() && heardAt.isPresent() && toldAt.isEmpty() && !nobody;
    }

    public ProofTest taken(Instant now) {
        return isRunning() && toldAt.isPresent() && takenAt.isEmpty()
                ? new ProofTest(startedAt, endsAt, lostAt, heardAt, toldAt, nobody, Optional.of(now), returnedAt, backHeard, endedAt).orOver(now) : this;
    }

    /** A report with supply after the loss. */
    public ProofTest returned(Instant observedAt, Instant now) {
        return isRunning() && heardAt.isPresent() && backHeard.isEmpty() && !observedAt.isBefore(lostAt.orElseThrow())
                ? new ProofTest(startedAt, endsAt, lostAt, heardAt, toldAt, nobody, takenAt, Optional.of(observedAt), Optional.of(now), endedAt).orOver(now) : this;
    }

    /** Its time is over, or somebody breaks it off. */
    public ProofTest ended(Instant now) {
        return isRunning() ? new ProofTest(startedAt, endsAt, lostAt, heardAt, toldAt, nobody, takenAt, returnedAt, backHeard, Optional.of(now)) : this;
    }

    private ProofTest orOver(Instant now) {
        return isProven() ? ended(now) : this;
    }

    /** One line each: what happened after how long, or that it did not happen. {@code now}: while it runs, what is not there yet is waited for. */
    public List<String> lines() {
        List<String> lines = new ArrayList<>();
        lines.add(heardAt.map(at -> "The loss was heard " + seconds(startedAt, at) + " after the start; the sensor says that it was " + seconds(startedAt, lostAt.orElseThrow())
                + " after the start.").orElse(waitedFor("The loss", "no report without supply was heard")));
        boolean wasShort = heardAt.isPresent() && toldAt.isEmpty() && !nobody && backHeard.isPresent();
        lines.add(toldAt.map(at -> "The message left " + seconds(heardAt.orElse(startedAt), at) + " after the loss was heard.")
                .orElse(nobody ? "No message left: nobody on duty has a channel that reaches them."
                        : wasShort ? "No message left: the supply was back before the loss counted. Leave it off for longer." : waitedFor("The message", "no message left")));
        lines.add(takenAt.map(at -> "The message was taken " + seconds(toldAt.orElseThrow(), at) + " after it left.").orElse(waitedFor("That somebody takes it", "nobody took the message")));
        lines.add(backHeard.map(at -> "The supply’s return was heard " + seconds(heardAt.orElseThrow(), at) + " after the loss was heard.")
                .orElse(waitedFor("The supply’s return", "no report of the supply’s return was heard")));
        return List.copyOf(lines);
    }

    private String waitedFor(String what, String not) {
        return isRunning() ? what + " is waited for." : "Did not happen: " + not + ".";
    }

    /** Tenths below a minute: a sensor sends at once. */
    private static String seconds(Instant from, Instant to) {
        Duration passed = Duration.between(from, to);
        if (passed.abs().compareTo(Duration.ofMinutes(1)) < 0) {
            return String.format(java.util.Locale.ROOT, "%.1f s", passed.toMillis() / 1000.0);
        }
        return passed.toMinutes() + " min " + passed.toSecondsPart() + " s";
    }
}
