package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.Objects;

import org.lampkeeper.alarm.Sentences;

/**
 * A moment as a page shows it. Two are equal when they are the same moment at the same place: how long ago it was does not count, since
 * the page counts that on by itself.
 *
 * @param iso   for the {@code datetime} attribute
 * @param clock local time at the site, with the date when it was another day
 * @param ago   how long before the page was made
 */
record Moment(String iso, String clock, String ago) {

    static Moment of(Instant at, ZoneId zone, Instant now) {
        Duration age = Duration.between(at, now);
        return new Moment(at.truncatedTo(ChronoUnit.SECONDS).toString(), Sentences.clock(at, zone, now),
                Sentences.ago(age.isNegative() ? Duration.ZERO : age));
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof Moment moment && iso.equals(moment.iso) && clock.equals(moment.clock);
    }

    @Override
    public int hashCode() {
        return Objects.hash(iso, clock);
    }
}
