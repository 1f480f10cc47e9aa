package org.lampkeeper.message;

import java.util.Optional;

/**
 * What a person reads.
 *
 * @param subject one line for a locked screen
 * @param body    plain text, lines ended by {@code \n}
 * @param brief   the same in a line or two, for a channel that carries no more; empty where the subject says it
 */
public record Letter(String subject, String body, Optional<String> brief) {

    /** Without words of its own for a channel that carries few. */
    public Letter(String subject, String body) {
        this(subject, body, Optional.empty());
    }
}
