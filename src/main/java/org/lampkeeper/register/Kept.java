package org.lampkeeper.register;

import java.time.Instant;
import java.util.Objects;

import jakarta.persistence.MappedSuperclass;
import jakarta.persistence.Version;

import org.jspecify.annotations.Nullable;

/** What every entry of the register has: a version that each change raises, and who changed it last. */
@MappedSuperclass
abstract class Kept {

    @Version
    private Integer version;
    private @Nullable Instant changedAt;
    private @Nullable Long changedBy;

    int version() {
        return version;
    }

    /** Of what says when it was changed from its first moment on. */
    Instant changedAt() {
        return Objects.requireNonNull(changedAt);
    }

    void changed(By by) {
        changedAt = by.at();
        changedBy = by.personId().isPresent() ? by.personId().getAsLong() : null;
    }
}
