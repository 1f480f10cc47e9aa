package org.lampkeeper.alarm;

/** How soon a person is needed; the first is the most pressing. */
public enum Priority {
    HIGH, MEDIUM, LOW
}
