package org.lampkeeper.callout;

import java.time.Duration;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * One place on a call-out list.
 *
 * @param after how long after the turn before, or after the start for the first; zero (told together with the turn before) or more
 */
public record Turn(Whom whom, Duration after) {

    public Turn {
        if (after.isNegative()) {
            throw new IllegalArgumentException("turn of " + whom + ": after " + after + ", must be zero or more");
        }
    }

    public Turn(long personId, Duration after) {
        this(new Whom.Person(personId), after);
    }

    /** The person whom it names; none where it names a role. */
    public OptionalLong personId() {
        return whom instanceof Whom.Person person ? OptionalLong.of(person.personId()) : OptionalLong.empty();
    }

    /** The role that it names; none where it names a person. */
    public Optional<DutyRole> role() {
        return whom instanceof Whom.OnDutyFor onDuty ? Optional.of(onDuty.role()) : Optional.empty();
    }
}
