package org.lampkeeper.alarm;

/** Where the line is most likely broken, as far as what is known can tell. */
public enum Cause {
    /** No other cabinet on its board: its own way or the board's supply, nobody can tell from here. */
    ONLY_CABINET_ON_BOARD,
    /** Another cabinet on the same board has supply, so the board as a whole has it. */
    OWN_WAY,
    /** Every cabinet on the board of which something is known has lost it. */
    BOARD_SUPPLY,
    /** Cabinets on at least two boards have lost it, and none of the site is known to have it. */
    SITE_INTAKE,
    /** There are neighbours on the board, and nobody knows whether they have supply. */
    NEIGHBOURS_NOT_KNOWN,
    /** The sensor runs on its battery while somebody saw the lamp lit. */
    SENSOR_SUPPLY,
    /** The sensor says that there is supply while somebody saw the lamp out. */
    LAMP_ITSELF
}
