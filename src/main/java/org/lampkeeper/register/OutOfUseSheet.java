package org.lampkeeper.register;

import java.time.Instant;
import java.util.OptionalLong;

/**
 * A cabinet that is out of use: nothing feeds or watches it, its code and its name stay its own.
 *
 * @param because why; empty for one that was taken out before a reason was asked for
 * @param by      who took it out; empty where no person did
 */
public record OutOfUseSheet(long cabinetId, String code, String name, String place, String content, SiteSheet site, Instant since,
        String because, OptionalLong by, int version) {
}
