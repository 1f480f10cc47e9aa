package org.lampkeeper.alarm;

import java.time.Instant;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

/**
 * What was done about an alarm, as far as somebody has said. It may be written in steps: what is missing keeps it from being complete, what
 * is wrong keeps it from being stored.
 *
 * @param arrivedAt          when somebody stood at the place
 * @param cause              a word of the list of causes
 * @param done               what was done, in the writer's own words; empty for nothing said yet
 * @param retestedBy         who tested the circuit afterwards; empty for nobody yet
 * @param retesterCompetent  whether the writer says that this was a competent person
 * @param fuseFittedAmpere   rating of the fuse that was fitted; none where none was
 * @param content            what became of what the cabinet holds
 * @param contentMovedTo     where it is now, when it was moved
 * @param peopleTold         whether those who rely on the cabinet have been told
 * @param fit                whether it is fit for use again
 * @param noneBecause        why there is no record; then nothing else is asked
 */
public record Attendance(Optional<Instant> arrivedAt, Optional<AttendanceCause> cause, String done, String retestedBy, boolean retesterCompetent,
        OptionalInt fuseFittedAmpere, Optional<Content> content, String contentMovedTo, boolean peopleTold, Optional<Fit> fit,
        String noneBecause) {

    /** Nothing has been said yet. */
    public static final Attendance NOTHING = new Attendance(Optional.empty(), Optional.empty(), "", "", false, OptionalInt.empty(),
            Optional.empty(), "", false, Optional.empty(), "");

    /** The same, with this arrival where none was said. */
    public Attendance arrivedAt(Instant at) {
        return arrivedAt.isPresent() ? this : new Attendance(Optional.of(at), cause, done, retestedBy, retesterCompetent, fuseFittedAmpere,
                content, contentMovedTo, peopleTold, fit, noneBecause);
    }

    private static final int LONGEST_DONE = 2000;
    private static final int LONGEST_NAME = 120;
    private static final int LONGEST_PLACE = 200;
    private static final int LONGEST_REASON = 400;
    // BS 1362: the cartridge fuse of a fused connection unit is at most 13 A.
    private static final int BIGGEST_FUSE = 13;

    /** What became of the content. */
    public enum Content {
        UNTOUCHED("left where it is, not opened"), INSPECTED("inspected and left"), MOVED("moved"), USED("used");

        private final String words;

        Content(String words) {
            this.words = words;
        }

        public String words() {
            return words;
        }
    }

    /** Whether the cabinet and what it holds can be relied on. */
    public enum Fit {
        YES("fit for use"), NO("not fit for use, and nobody may rely on it"), NOT_YET("not settled yet");

        private final String words;

        Fit(String words) {
            this.words = words;
        }

        public String words() {
            return words;
        }
    }

    /**
     * What the alarm is about.
     *
     * @param since       when its condition began
     * @param fuseAmpere  of the cabinet's circuit; none where there is no circuit
     */
    public record Setting(Scope scope, Instant since, ZoneId zone, OptionalInt fuseAmpere) {
    }

    /** A sentence about one field: the name of a component of {@link Attendance}. */
    public record Remark(String field, String text) {
    }

    /** What cannot be right, with what would be. Such a record is not stored. */
    public List<Remark> wrong(Setting setting, Instant now) {
        List<Remark> remarks = new ArrayList<>();
        arrivedAt.ifPresent(at -> {
            if (at.isAfter(now)) {
                remarks.add(new Remark("arrivedAt", "This lies ahead: it is " + Sentences.clock(now, setting.zone(), now) + " there."));
            } else if (at.isBefore(setting.since().truncatedTo(ChronoUnit.MINUTES))) {
                remarks.add(new Remark("arrivedAt", "The alarm began at " + Sentences.clock(setting.since(), setting.zone(), now)
                        + "; say a time from then on."));
            }
        });
        cause.filter(it -> !it.at().contains(setting.scope()))
                .ifPresent(it -> remarks.add(new Remark("cause", "\"" + it.text() + "\" is no cause of such an alarm; choose another.")));
        if (fuseFittedAmpere.isPresent()) {
            fuse(setting).ifPresent(text -> remarks.add(new Remark("fuseFittedAmpere", text)));
        }
        tooLong("done", done, LONGEST_DONE, remarks);
        tooLong("retestedBy", retestedBy, LONGEST_NAME, remarks);
        tooLong("contentMovedTo", contentMovedTo, LONGEST_PLACE, remarks);
        tooLong("noneBecause", noneBecause, LONGEST_REASON, remarks);
        if (!noneBecause.isBlank() && (arrivedAt.isPresent() || cause.isPresent() || !done.isBlank())) {
            remarks.add(new Remark("noneBecause", "Say either what was done, or why there is no record, not both."));
        }
        return List.copyOf(remarks);
    }

    /** What is still to be said before the matter is settled; empty where everything has been, or where it is said why nothing is. */
    public List<Remark> missing(Setting setting) {
        List<Remark> remarks = new ArrayList<>();
        if (!noneBecause.isBlank()) {
            return List.of();
        }
        boolean isAtAPlace = setting.scope() != Scope.INSTALLATION;
        if (isAtAPlace && arrivedAt.isEmpty()) {
            remarks.add(new Remark("arrivedAt", "when somebody arrived"));
        }
        if (cause.isEmpty()) {
            remarks.add(new Remark("cause", "the cause"));
        }
        if (done.isBlank()) {
            remarks.add(new Remark("done", "what was done"));
        }
        if (cause.filter(AttendanceCause::needsFuse).isPresent() && fuseFittedAmpere.isEmpty()) {
            remarks.add(new Remark("fuseFittedAmpere", "the rating of the fuse that was fitted"));
        }
        boolean isElectrical = cause.filter(AttendanceCause::needsRetest).isPresent() || fuseFittedAmpere.isPresent();
        if (isElectrical && retestedBy.isBlank()) {
            remarks.add(new Remark("retestedBy", "who tested it afterwards"));
        }
        if ((isElectrical || !retestedBy.isBlank()) && !retesterCompetent) {
            remarks.add(new Remark("retesterCompetent", "that a competent person tested it"));
        }
        if (setting.scope() == Scope.CABINET && content.isEmpty()) {
            remarks.add(new Remark("content", "what became of the content"));
        }
        if (content.filter(Content.MOVED::equals).isPresent() && contentMovedTo.isBlank()) {
            remarks.add(new Remark("contentMovedTo", "where the content is now"));
        }
        if (isAtAPlace && !peopleTold) {
            remarks.add(new Remark("peopleTold", "that those who rely on it have been told"));
        }
        if (isAtAPlace && (fit.isEmpty() || fit.get() == Fit.NOT_YET)) {
            remarks.add(new Remark("fit", "whether it is fit for use"));
        }
        return List.copyOf(remarks);
    }

    /** Settles the matter: nothing is wrong and nothing is missing. */
    public boolean isComplete(Setting setting, Instant now) {
        return wrong(setting, now).isEmpty() && missing(setting).isEmpty();
    }

    private Optional<String> fuse(Setting setting) {
        int fitted = fuseFittedAmpere.getAsInt();
        if (fitted < 1 || fitted > BIGGEST_FUSE) {
            return Optional.of(fitted + " A is no fuse of a fused connection unit; they go from 1 A to " + BIGGEST_FUSE + " A.");
        }
        if (setting.fuseAmpere().isEmpty() || setting.fuseAmpere().getAsInt() == fitted) {
            return Optional.empty();
        }
        int right = setting.fuseAmpere().getAsInt();
        return Optional.of(fitted > right
                ? "Never a bigger fuse: this circuit is made for " + right + " A. Have the " + fitted + " A fuse taken out and " + right
                        + " A fitted."
                : "The register says " + right + " A. If " + fitted + " A is right from now on, change the circuit first; otherwise fit "
                        + right + " A.");
    }

    private static void tooLong(String field, String text, int longest, List<Remark> remarks) {
        if (text.length() > longest) {
            remarks.add(new Remark(field, "This has " + text.length() + " characters; at most " + longest + " can be kept."));
        }
    }
}
