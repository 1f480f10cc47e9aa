package org.lampkeeper.message;

/**
 * What a person reads.
 *
 * @param subject one line for a locked screen
 * @param body    plain text, lines ended by {@code \n}
 */
public record Letter(String subject, String body) {
}
