package org.lampkeeper.register;

import java.time.Instant;
import java.util.Optional;

/**
 * What a cabinet is called and where it stands, in use or not: for papers that stay readable after it.
 *
 * @param outOfUseSince empty while it is in use
 */
public record CabinetName(long cabinetId, String code, String name, SiteSheet site, Optional<Instant> outOfUseSince) {
}
