package org.lampkeeper.message;

import java.util.List;

/**
 * What a person reads.
 *
 * @param subject      one line for a locked screen
 * @param body         plain text, lines ended by {@code \n}
 * @param shorter      the subject in ever fewer words, of which the last still says what and where, for a channel that carries few
 * @param isAnswerable whether its reader can take something or pass it on
 */
public record Letter(String subject, String body, List<String> shorter, boolean isAnswerable) {
    public Letter {
        shorter = List.copyOf(shorter);
    }

    /** Tells something and asks for nothing. */
    public Letter(String subject, String body) {
        this(subject, body, List.of(), false);
    }
}
