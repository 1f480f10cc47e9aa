package org.lampkeeper.alarm;

/** The conditions that need a person. */
public enum AlarmKind {
    /** A loss was reported and lasted. */
    SUPPLY_LOST(Priority.HIGH, Scope.CABINET),
    /** Several sensors of a site went quiet together: a dead router and a dead intake look the same from here, so it climbs like a loss. */
    PROBABLE_SITE_LOSS(Priority.HIGH, Scope.SITE),
    /** A sensor broke its promise of a next report. */
    NOT_HEARD(Priority.MEDIUM, Scope.CABINET),
    /** Many short losses: to be looked at by daylight, nobody is called out for it. */
    UNSTEADY(Priority.LOW, Scope.CABINET),
    /** Nobody is known to have looked when a look was due. */
    LOOK_MISSED(Priority.MEDIUM, Scope.CABINET),
    /** Somebody saw the lamp out, and no sensor contradicts them. */
    LAMP_OUT(Priority.HIGH, Scope.CABINET),
    /** Somebody found something damaged or missing. */
    DAMAGE_SEEN(Priority.MEDIUM, Scope.CABINET),
    /** The sensor says one thing and a person at the lamp the other: one of them is wrong, and nobody knows which. */
    SENSOR_AND_LAMP_DIFFER(Priority.HIGH, Scope.CABINET),
    /** It was measured below the lowest storage temperature of the content. Live until somebody has looked and says that it is fit for use. */
    CONTENT_TOO_COLD(Priority.HIGH, Scope.CABINET),
    /** The same above the highest. */
    CONTENT_TOO_HOT(Priority.HIGH, Scope.CABINET),
    /** The supply is there, and below the set point the inside follows the outside. */
    HEATER_NOT_HEATING(Priority.MEDIUM, Scope.CABINET),
    /** Well above its set point, and no end. */
    HEATER_NEVER_STOPS(Priority.MEDIUM, Scope.CABINET),
    /** It heats, and cannot hold the set point in the winter that the place reckons with: to be looked at by daylight. */
    HEATER_TOO_SMALL(Priority.LOW, Scope.CABINET),
    /** Its sensor has read the door open for long. */
    DOOR_OPEN(Priority.MEDIUM, Scope.CABINET),
    /** Since the door was closed it cools or warms faster than its content allows: probably somebody took it out. */
    LOOKS_EMPTIED(Priority.MEDIUM, Scope.CABINET),
    /** Lampkeeper cannot hear any sensor. */
    NOT_LISTENING(Priority.HIGH, Scope.INSTALLATION),
    /** Messages to people are not leaving. */
    MAIL_NOT_SENDING(Priority.MEDIUM, Scope.INSTALLATION),
    /** The broker threw reports away. */
    BROKER_DROPPING(Priority.MEDIUM, Scope.INSTALLATION),
    /** A message waits for longer than it should, for whatever reason. */
    MESSAGES_STUCK(Priority.MEDIUM, Scope.INSTALLATION),
    /** The database takes long to commit: everything that is told is told late. */
    DATABASE_SLOW(Priority.MEDIUM, Scope.INSTALLATION),
    /** The clock of a machine jumped: deadlines may have come early or late. */
    CLOCK_STEPPED(Priority.MEDIUM, Scope.INSTALLATION),
    /** A disk is nearly full: soon nothing can be stored. */
    DISK_NEARLY_FULL(Priority.HIGH, Scope.INSTALLATION),
    /** What watches Lampkeeper from outside is not told that it is well. */
    HEARTBEAT_NOT_SENT(Priority.MEDIUM, Scope.INSTALLATION);

    private final Priority priority;
    private final Scope scope;

    AlarmKind(Priority priority, Scope scope) {
        this.priority = priority;
        this.scope = scope;
    }

    public Priority priority() {
        return priority;
    }

    public Scope scope() {
        return scope;
    }

    /** Whether people are told, in the order of the call-out list, until somebody takes it. */
    public boolean callsOut() {
        return priority != Priority.LOW;
    }

    /** Whether nothing keeps the content warm while it lasts: then a forecast says how long there is. */
    public boolean leavesUnheated() {
        return switch (this) {
            case SUPPLY_LOST, LAMP_OUT, HEATER_NOT_HEATING, DOOR_OPEN -> true;
            case PROBABLE_SITE_LOSS, NOT_HEARD, UNSTEADY, LOOK_MISSED, DAMAGE_SEEN, SENSOR_AND_LAMP_DIFFER, CONTENT_TOO_COLD, CONTENT_TOO_HOT,
                HEATER_NEVER_STOPS, HEATER_TOO_SMALL, LOOKS_EMPTIED, NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW,
                CLOCK_STEPPED, DISK_NEARLY_FULL, HEARTBEAT_NOT_SENT -> false;
        };
    }
}
