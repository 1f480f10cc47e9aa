package org.lampkeeper.telemetry;

/**
 * What the broker of our own can say about itself.
 *
 * @param connections    clients connected now, our own among them
 * @param waiting        reports and link messages that the ingest client has not acknowledged yet
 * @param refusedLogins  since the start: wrong name or secret, or a client id that is not theirs
 * @param refusedPackets since the start: foreign topics, subscriptions by a sensor, packets that are too large or broken
 */
public record BrokerFigures(int connections, long waiting, long refusedLogins, long refusedPackets) {
}
