package org.lampkeeper.callout;

import java.time.Instant;

/** A shift is planned, and nobody is on: from {@code from} (included) to {@code until} (excluded). */
public record Gap(DutyRole role, Instant from, Instant until) {
}
