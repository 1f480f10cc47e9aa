package org.lampkeeper.supply;

/** What is known of a supply: what the newest believable report said, or that nobody knows. */
public enum Reading {
    HEALTHY,
    LOST,
    /** Never heard, silent past its promise, or its link is down. Never shown as healthy. */
    UNKNOWN
}
