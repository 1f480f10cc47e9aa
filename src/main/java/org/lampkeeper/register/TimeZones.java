package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.Optional;
import java.util.Set;
import java.util.TimeZone;

/** The time zones a site may have: those of the IANA list as it came with the Java in use. */
public final class TimeZones {

    // Not ZoneId's own list: libraries that read calendars add zones to that, under names that are gone with the process.
    private static final Set<String> NAMES = Set.of(TimeZone.getAvailableIDs());

    private TimeZones() {
    }

    /** @return empty where there is no zone of this name, written exactly so */
    public static Optional<ZoneId> named(String name) {
        return Optional.of(name).filter(NAMES::contains).filter(ZoneId.getAvailableZoneIds()::contains).map(ZoneId::of);
    }
}
