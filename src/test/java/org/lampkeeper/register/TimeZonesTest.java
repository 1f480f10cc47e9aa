package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.Set;

import net.fortuna.ical4j.model.TimeZoneRegistryFactory;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import static java.util.stream.Collectors.toSet;
import static org.assertj.core.api.Assertions.assertThat;

class TimeZonesTest {

    /** IANA tzdb 2025b. */
    @ParameterizedTest
    @ValueSource(strings = {"Europe/London", "America/Argentina/Buenos_Aires", "Pacific/Chatham", "UTC", "Etc/GMT+5"})
    void zonesOfTheIanaListAreKnown(String name) {
        assertThat(TimeZones.named(name)).contains(ZoneId.of(name));
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "europe/london", "Europe/Nowhere", "+01:00", "EST5"})
    void othersAreNot(String name) {
        assertThat(TimeZones.named(name)).isEmpty();
    }

    @Test
    void zonesThatTheCalendarLibraryAddsForItselfAreNot() {
        TimeZoneRegistryFactory.getInstance().createRegistry().getTimeZone("Europe/London");
        Set<String> added = ZoneId.getAvailableZoneIds().stream().filter(name -> name.startsWith("ical4j")).collect(toSet());

        assertThat(added).isNotEmpty().allSatisfy(name -> assertThat(TimeZones.named(name)).isEmpty());
    }
}
