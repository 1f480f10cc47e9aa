package org.lampkeeper.callout;

/** Who a turn of a call-out list names. */
public sealed interface Whom {

    /** This person, whoever is on duty. */
    record Person(long personId) implements Whom {
    }

    /** Whoever is on duty for this role at the moment of telling. */
    record OnDutyFor(DutyRole role) implements Whom {
    }
}
