package org.lampkeeper.message;

import java.util.Optional;

/** What became of handing one message to its channel. */
sealed interface Handover permits Handover.Accepted, Handover.Refused, Handover.Deferred, Handover.Unreachable {

    /**
     * The channel has taken it over; what happens behind it is out of sight.
     *
     * @param networkId what the network calls the message in a later receipt, at most 120 characters; none where none will come
     */
    record Accepted(Optional<String> networkId) implements Handover {

        /** By a channel that gives no receipts. */
        Accepted() {
            this(Optional.empty());
        }
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
