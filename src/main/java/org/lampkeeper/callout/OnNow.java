package org.lampkeeper.callout;

import java.time.Instant;
import java.util.List;
import java.util.Optional;

/**
 * How a role of a rota stands at a moment.
 *
 * @param people on shift, whoever began first in front; nobody where no shift is, or nobody is on
 * @param until  from when it is others, or nobody; empty where it stays so
 * @param next   who is on after that
 * @param from   since when; later than {@code until} where nobody is on in between; empty where {@code next} is
 */
public record OnNow(DutyRole role, List<Long> people, Optional<Instant> until, List<Long> next, Optional<Instant> from) {

    public OnNow {
        people = List.copyOf(people);
        next = List.copyOf(next);
    }
}
