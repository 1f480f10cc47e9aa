package org.lampkeeper.thermal;

import java.util.Optional;

/** All that a forecast is made from; what is not known is empty, and nothing usual takes its place. */
public record Situation(Optional<Measured> inside, Optional<Outside> outside, Optional<Nodes> nodes, StorageLimits limits, Leeway leeway) {
}
