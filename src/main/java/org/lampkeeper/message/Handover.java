package org.lampkeeper.message;

/** What became of handing one message to its channel. */
sealed interface Handover permits Handover.Accepted, Handover.Refused, Handover.Deferred, Handover.Unreachable {

    /** The channel has taken it over; what happens behind it is out of sight. */
    record Accepted() implements Handover {
    }

    /** This message will never be taken: the recipient or the content is refused for good. */
    record Refused(String reason) implements Handover {
    }

    /** The channel works, but does not take this message now. */
    record Deferred(String reason) implements Handover {
    }

    /** The channel takes nothing from us: it is down, silent, or refuses us as a sender. */
    record Unreachable(String reason) implements Handover {
    }
}
