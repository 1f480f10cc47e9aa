package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.Optional;

/** What a message or a page needs about a site. {@code access}: how to get in; {@code intake}: where its supply comes in. */
public record SiteSheet(long id, String name, String address, ZoneId zone, String access, String intake,
        Optional<Electrician> electrician, int version) {
}
