package org.lampkeeper.message;

import java.time.Duration;
import java.util.Optional;

import org.lampkeeper.journal.Head;

/**
 * One kind of way by which people are told. Every bean of this type is one; nothing else has to know of it. Used by many threads.
 */
interface Channel {

    /** What is stored of it; at most 24 capital letters and low lines, and never changed. */
    String kind();

    /** The kind that a person chooses, which several ways may carry: the ways of one share its addresses, each with a health of its own. */
    default String serves() {
        return kind();
    }

    /** Among the ways that carry the same; the lowest is used first. */
    default int place() {
        return 0;
    }

    /** What people call it, in the middle of a sentence: "mail". */
    String label();

    /** Whether its address is something that people type in; otherwise it is added where it is. */
    default boolean isEntered() {
        return true;
    }

    /** Whether this installation has it set up; one that it has not is neither offered nor used. */
    boolean isOffered();

    /**
     * The one way in which an address that a person entered is stored.
     *
     * @throws AddressRefused with what would be right, for whoever entered it
     */
    String address(String entered);

    /**
     * Blocks for at most {@link #timeout()}. Never throws for what the other side does: that is its answer. The same message may be handed
     * over again; it carries the same key.
     *
     * @param journal the journal's head, for whoever keeps the message
     */
    Handover handOver(OutgoingMessage message, Head journal);

    /** Whether the message says what the journal's head was. */
    default boolean tellsHead() {
        return false;
    }

    /** After this long {@link #handOver} has returned; a lease must outlive it. */
    Duration timeout();

    /** How a message is stored to have gone where that is not the kind that its person chose, such as into a file. */
    default Optional<String> wentAs() {
        return Optional.of(kind()).filter(it -> !it.equals(serves()));
    }

    /** The name for the journal. */
    default String transport() {
        return wentAs().orElse(kind());
    }
}
