package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Collection;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.function.Function;

/**
 * The forecasts of one moment, each worked out when it is first asked for: handed along while one fact is taken in, so that journal, pace and message say
 * the same and it is reckoned once. Made for one transaction and one thread.
 */
final class Outlooks {

    private final Function<Collection<Long>, Map<Long, ContentOutlook>> book;
    private final Map<Long, ContentOutlook> known = new HashMap<>();
    private final Set<Long> asked = new HashSet<>();

    private Outlooks(Function<Collection<Long>, Map<Long, ContentOutlook>> book) {
        this.book = book;
    }

    static Outlooks at(WarmthBook warmth, Instant now) {
        return by(cabinets -> warmth.outlooks(cabinets, now));
    }

    static Outlooks by(Function<Collection<Long>, Map<Long, ContentOutlook>> book) {
        return new Outlooks(book);
    }

    Optional<ContentOutlook> of(long cabinetId) {
        return Optional.ofNullable(of(Set.of(cabinetId)).get(cabinetId));
    }

    /** Those of these cabinets, of one site, for which one can be made. */
    Map<Long, ContentOutlook> of(Collection<Long> cabinetIds) {
        Set<Long> fresh = new HashSet<>(cabinetIds);
        fresh.removeAll(asked);
        if (!fresh.isEmpty()) {
            known.putAll(book.apply(fresh));
            asked.addAll(fresh);
        }
        Map<Long, ContentOutlook> found = new LinkedHashMap<>();
        cabinetIds.stream().filter(known::containsKey).forEach(id -> found.put(id, known.get(id)));
        return found;
    }
}
