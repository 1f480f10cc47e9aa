package org.lampkeeper.alarm;

/** What one alarm is about: there is at most one open alarm of a kind for each. */
public enum Scope {
    CABINET,
    SITE,
    /** Lampkeeper itself and what it runs on. */
    INSTALLATION
}
