package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.List;

/**
 * A look that is to be taken.
 *
 * @param day            of the site, on which it opens
 * @param opens          from here on somebody is asked
 * @param closes         a look before this is on time; after {@code opens}
 * @param missedAt       nobody looked until here: it was missed; not before {@code closes}
 * @param bySomebodyElse the day is a closed one: those who are asked on such days
 */
public record CheckDue(LocalDate day, Instant opens, Instant closes, Instant missedAt, boolean bySomebodyElse) {

    // Ours: time to walk there and look.
    private static final Duration SHORTLY_BEFORE = Duration.ofMinutes(20);

    /** @throws IllegalArgumentException when the times are not in order */
    public CheckDue {
        if (!closes.isAfter(opens) || missedAt.isBefore(closes)) {
            throw new IllegalArgumentException("check of " + day + " opens " + opens + ", closes " + closes + ", is missed at " + missedAt
                    + "; must be in this order");
        }
    }

    /**
     * When somebody is asked: at opening, half-way, and shortly before closing where that is later than half-way. Two or three moments in
     * order, the first is {@code opens}.
     */
    public List<Instant> reminders() {
        Instant halfWay = opens.plus(Duration.between(opens, closes).dividedBy(2));
        Instant shortlyBefore = closes.minus(SHORTLY_BEFORE);
        // Of forty minutes both are the same moment, and it is half-way that stays.
        return shortlyBefore.isAfter(halfWay) ? List.of(opens, halfWay, shortlyBefore) : List.of(opens, halfWay);
    }

    /**
     * When somebody is asked next, seen from {@code now}; {@code missedAt} where nobody is asked any more. After an outage what was missed
     * of this is left out: one reminder, no burst.
     */
    public Instant nextAfter(Instant now) {
        return reminders().stream().filter(at -> at.isAfter(now)).findFirst().orElse(missedAt);
    }

    public boolean isOnTime(Instant lookedAt) {
        return !lookedAt.isBefore(opens) && lookedAt.isBefore(closes);
    }
}
