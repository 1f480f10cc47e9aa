package org.lampkeeper.message;

import java.time.Instant;

/** Somebody showed that a channel reaches them; fired inside the transaction that records it. */
public record ChannelProven(long channelId, Instant at) {
}
