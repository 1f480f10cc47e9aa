package org.lampkeeper.register;

import java.util.List;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/**
 * What a cabinet holds, as stored; see {@link NewContent} for what each component says.
 *
 * @param parts by the day until which they are good
 */
public record ContentSheet(long cabinetId, String kind, boolean limitsAsked, Optional<Celsius> lowest, Optional<Celsius> highest,
        List<DatedPart> parts, int version) {

    public ContentSheet {
        parts = List.copyOf(parts);
    }
}
