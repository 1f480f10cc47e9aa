package org.lampkeeper.message;

import java.time.Duration;

import org.lampkeeper.message.MailConfig.Transport;

/** Carries one mail at a time, from any thread. Never throws for what the other side does: that is its answer. */
interface MailChannel {

    /** Blocks for at most {@link #timeout()}. Handing over the same mail again is harmless: it carries the same Message-ID. */
    Handover handOver(OutgoingMail mail);

    /** After this long {@link #handOver} has returned; a lease must outlive it. */
    Duration timeout();

    /** Which way this is, for the journal and the page of sent messages. */
    Transport transport();
}
