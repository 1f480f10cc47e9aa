package org.lampkeeper.telemetry;

/** What a message on a sensor's {@code link} topic turned out to be. */
public sealed interface LinkReading permits LinkWord, Refusal {
}
