package org.lampkeeper.telemetry;

/** What a report's payload turned out to be: a pack that can be used, or the reason why it cannot. */
public sealed interface Decoded permits Pack, Refusal {
}
