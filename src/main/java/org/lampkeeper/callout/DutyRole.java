package org.lampkeeper.callout;

import java.util.Locale;

/** What somebody may be on duty for at a site. A step of a call-out list names one of these, or a person. */
public enum DutyRole {

    /** Looks after the site from day to day: looks at the lamps, opens the gate. */
    SITE_DUTY,
    /** Is woken at night and decides. */
    DUTY_MANAGER,
    /** A competent person for the circuit: opens boards, replaces fuses. */
    ELECTRICIAN,
    /** Answers for the cabinets of the site. */
    RESPONSIBLE_PERSON;

    /** As a sentence says it: "duty manager". */
    public String words() {
        return name().toLowerCase(Locale.ROOT).replace('_', ' ');
    }
}
