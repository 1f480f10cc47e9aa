package org.lampkeeper.watch;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.message.ChannelProven;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.ProofPlanned;

/** What comes due about proofs of channels, added in the transaction that plans or records one. */
@ApplicationScoped
class ProofDeadlines {

    private final Deadlines deadlines;
    private final MessageConfig config;

    ProofDeadlines(Deadlines deadlines, MessageConfig config) {
        this.deadlines = deadlines;
        this.config = config;
    }

    void planned(@Observes ProofPlanned event) {
        deadlines.add(DeadlineKind.PROOF_DUE, event.proofId(), 0, event.at());
    }

    void proven(@Observes ChannelProven event) {
        deadlines.add(DeadlineKind.PROOF_OLD, event.channelId(), event.at().toEpochMilli(), event.at().plus(config.proofLife()));
    }
}
