package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * A time during which alarms are held back on purpose.
 *
 * @param boardId   everything on this board; with neither board nor cabinet, the whole site
 * @param until     the planned end; it ends then by itself
 * @param announcedBy empty where no person did
 * @param endedAt   when a person ended it before {@code until}
 */
public record Work(long id, SuppressionKind kind, long siteId, OptionalLong boardId, OptionalLong cabinetId, Instant from, Instant until,
        String reason, OptionalLong announcedBy, Optional<Instant> endedAt) {

    public boolean isOver(Instant now) {
        return endedAt.isPresent() || !until.isAfter(now);
    }

    public boolean hasBegun(Instant now) {
        return !from.isAfter(now);
    }
}
