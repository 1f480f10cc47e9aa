package org.lampkeeper.simulator;

/**
 * What a fleet has done until now.
 *
 * @param sensors      how many it plays
 * @param connections  how often a connection came up
 * @param published    messages handed to a connection: reports, births, garbage, good-byes
 * @param acknowledged of these, by the broker
 * @param refused      of these, by the broker with a reason code, or by the client because the broker had said it would not take them
 * @param givenBack    of these, lost with their connection before they were acknowledged; their observations are sent again
 */
public record FleetCounts(int sensors, long connections, long published, long acknowledged, long refused, long givenBack) {
}
