package org.lampkeeper.register;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

/** Somebody else has changed this since the version that the caller had read; nothing was stored. */
public final class ChangedMeanwhile extends RuntimeException {

    private static final long serialVersionUID = 1L;

    private final int version;
    private final transient Optional<Instant> at;
    private final transient OptionalLong by;

    public ChangedMeanwhile(String thing, int expected, int version, Optional<Instant> at, OptionalLong by) {
        super(thing + ": was read in version " + expected + ", is in version " + version + " now; read it again before changing it");
        this.version = version;
        this.at = at;
        this.by = by;
    }

    /** The version that is stored now; a change that expects it overwrites knowingly. */
    public int version() {
        return version;
    }

    /** When it was last changed, where that is known. */
    public Optional<Instant> at() {
        return at;
    }

    /** The person who changed it last, where that is known. */
    public OptionalLong by() {
        return by;
    }
}
