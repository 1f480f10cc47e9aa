package org.lampkeeper.thermal;

import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/**
 * Between which temperatures a content may be kept, as its maker says. There is no usual value to fall back on.
 *
 * @param lowest  empty: the maker gives none
 * @param highest above {@code lowest}; empty: the maker gives none
 */
public record StorageLimits(Optional<Celsius> lowest, Optional<Celsius> highest) {

    /** Neither is known. */
    public static final StorageLimits NONE = new StorageLimits(Optional.empty(), Optional.empty());

    /** @throws IllegalArgumentException when the lowest is not below the highest */
    public StorageLimits {
        if (lowest.isPresent() && highest.isPresent() && lowest.get().value() >= highest.get().value()) {
            throw new IllegalArgumentException("lowest " + lowest.get().value() + " °C, must be below the highest, " + highest.get().value() + " °C");
        }
    }
}
