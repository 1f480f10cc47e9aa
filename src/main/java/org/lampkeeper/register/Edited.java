package org.lampkeeper.register;

import java.util.Collections;
import java.util.OptionalLong;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * The register was changed; fired inside the transaction that does it. Holds no secret, no way in, and of people only their reference.
 *
 * @param thing  {@code site}, {@code board}, {@code cabinet}, {@code circuit}, {@code content}, {@code warmth}, {@code sensor}, {@code person},
 *               {@code call-out-list}, {@code check-plan}, {@code closed-day},
 *               {@code cabinet-label}, {@code handover}
 * @param id     of the thing; of the cabinet for its circuit and its content; of the site for a call-out list, 0 for the operator's
 * @param siteId where it stands; empty for a person and for the operator's list
 * @param verb   what was done: {@code registered}, {@code changed}, {@code removed}, {@code retired}, …
 * @param before what was stored, as far as it is another now; empty for something new
 * @param after  what is stored, as far as it was another before; empty for something removed
 */
public record Edited(String thing, long id, OptionalLong siteId, String verb, SortedMap<String, Object> before,
        SortedMap<String, Object> after, By by) {

    public Edited {
        before = Collections.unmodifiableSortedMap(new TreeMap<>(before));
        after = Collections.unmodifiableSortedMap(new TreeMap<>(after));
    }
}
