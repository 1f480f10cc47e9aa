package org.lampkeeper.message;

import java.util.Arrays;
import java.util.Optional;
import java.util.Set;

import org.lampkeeper.journal.Entry;

/** What programs outside hear of, each by the entries of the journal that say so. Names are part of the interface and never change. */
enum WebhookEvent {
    RAISED("alarm.raised", "alarm-raised", "alarm-raised-again"),
    /** Handed over to one of a person's channels; only what asks somebody to take it. */
    TOLD("alarm.told", "message-sent"),
    TAKEN("alarm.taken", "alarm-acknowledged", "alarm-taken-over"),
    PASSED_ON("alarm.passed-on", "person-cannot-come"),
    CALLED_AGAIN("alarm.called-again", "alarm-called-again"),
    HELD("alarm.held", "alarm-suppressed", "alarm-shelved"),
    HOLD_ENDED("alarm.hold-ended", "alarm-hold-ended"),
    RETURNED("alarm.returned", "alarm-returned"),
    /** Follows whatever of these brought it to an end. */
    CLOSED("alarm.closed"),
    /** Somebody pressed the button. */
    TEST("webhook.test");

    private static final Set<String> MAY_CLOSE = Set.of("alarm-returned", "alarm-acknowledged", "alarm-hold-ended", "alarm-ended-with-sensor");

    private final String type;
    private final Set<String> kinds;

    WebhookEvent(String type, String... kinds) {
        this.type = type;
        this.kinds = Set.of(kinds);
    }

    /** As it is sent. */
    String type() {
        return type;
    }

    /** What this entry says; empty for most. */
    static Optional<WebhookEvent> of(Entry entry) {
        if (entry.alarm().isEmpty() || entry.kind().equals("message-sent") && entry.fact("purpose").filter(Purpose.ALARM.name()::equals).isEmpty()) {
            return Optional.empty();
        }
        return Arrays.stream(values()).filter(event -> event.kinds.contains(entry.kind())).findFirst();
    }

    /** Whether the alarm is over with this entry. */
    static boolean isClosedBy(Entry entry) {
        return entry.alarm().isPresent() && MAY_CLOSE.contains(entry.kind()) && entry.fact("state").filter("NORMAL"::equals).isPresent();
    }
}
