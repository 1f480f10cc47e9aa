package org.lampkeeper.message;

import java.time.Instant;
import java.util.OptionalLong;

/**
 * A message will not be delivered: refused for good, or tried for too long. Fired inside the transaction that records it; an observer
 * that fails undoes the record, and the message is tried once more after its lease.
 */
public record MessageUndelivered(long messageId, OptionalLong callOutId, long personId, Instant at) {
}
