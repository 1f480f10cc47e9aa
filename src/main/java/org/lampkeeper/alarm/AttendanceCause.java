package org.lampkeeper.alarm;

import java.util.Set;

/**
 * One of the causes that an attendance record may name.
 *
 * @param word        stored; never changes its meaning
 * @param text        as the form and the record say it
 * @param at          the alarms for which it is offered
 * @param needsRetest whether electrical work belongs to it, so that the circuit must have been tested afterwards
 * @param needsFuse   whether a fuse was fitted, so that its rating must be said
 */
public record AttendanceCause(String word, String text, Set<Scope> at, boolean needsRetest, boolean needsFuse) {

    public AttendanceCause {
        if (!word.matches("[a-z][a-z0-9]*(-[a-z0-9]+)*") || word.length() > 40) {
            throw new IllegalArgumentException("word '" + word + "', must be lower-case words joined by hyphens, at most 40 characters");
        }
        if (text.isBlank() || text.length() > 80) {
            throw new IllegalArgumentException("text of '" + word + "' has " + text.length() + " characters, must have 1 to 80");
        }
        if (at.isEmpty()) {
            throw new IllegalArgumentException("at of '" + word + "' is empty, must name cabinet, site or installation");
        }
        at = Set.copyOf(at);
    }
}
