package org.lampkeeper.access;

/** Something that a role lets a person do, at the sites that the role is bound to. */
public enum Right {
    /** See supply, cabinets, alarms and messages. */
    SEE,
    /** Take an alarm, pass it on, write its attendance record. */
    TAKE,
    /** Shelve an alarm, announce work. */
    HOLD_BACK,
    /** Register and change boards, cabinets, circuits, content and sensors. */
    EDIT_PLANT,
    /** Change who is told, and when. */
    EDIT_CALL_OUT,
    /** Change the site itself: name, address, access, electrician. Registering a new one takes this at every site. */
    EDIT_SITE,
    /** Register people, invite them, give and take roles that reach no further than one's own. */
    EDIT_PEOPLE,
    /** Say which programs outside hear of alarms. */
    EDIT_WEBHOOKS,
    /** Read the journal and have it verified. */
    READ_JOURNAL,
    /** Look after Lampkeeper itself; only at every site. */
    OPERATE
}
