package org.lampkeeper.message;

import java.time.Instant;

/** A proof is to be sent in the night; fired inside the transaction that plans it. */
public record ProofPlanned(long proofId, Instant at) {
}
