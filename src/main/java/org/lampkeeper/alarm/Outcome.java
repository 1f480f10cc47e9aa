package org.lampkeeper.alarm;

/** What an event made of an alarm. */
public sealed interface Outcome {

    record Changed(AlarmLife next) implements Outcome {
    }

    /** The event says what is so already, or came too late to matter: a repeat does no harm. */
    record Unchanged(AlarmLife same) implements Outcome {
    }

    /** The event makes no sense here; {@code reason} can be shown to the person who asked for it. */
    record Refused(String reason) implements Outcome {
    }
}
