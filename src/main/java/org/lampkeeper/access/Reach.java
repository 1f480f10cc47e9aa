package org.lampkeeper.access;

import java.util.Collection;
import java.util.Collections;
import java.util.EnumSet;
import java.util.HashSet;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeMap;

/** What a person may do at which sites. Immutable; can be shared between threads. */
public final class Reach {

    private static final Reach NOWHERE = of(Set.of());

    private final Set<Right> everywhere;
    private final Map<Long, Set<Right>> bySite;

    private Reach(Set<Right> everywhere, Map<Long, Set<Right>> bySite) {
        this.everywhere = everywhere;
        this.bySite = bySite;
    }

    /** Sees nothing and may do nothing. */
    public static Reach nowhere() {
        return NOWHERE;
    }

    public static Reach of(Collection<Grant> grants) {
        Set<Right> everywhere = EnumSet.noneOf(Right.class);
        Map<Long, Set<Right>> bySite = new TreeMap<>();
        for (Grant grant : grants) {
            if (grant.siteId().isPresent()) {
                bySite.computeIfAbsent(grant.siteId().getAsLong(), id -> EnumSet.noneOf(Right.class)).addAll(grant.role().rights());
            } else {
                everywhere.addAll(grant.role().rights());
            }
        }
        return new Reach(Collections.unmodifiableSet(everywhere), Collections.unmodifiableMap(bySite));
    }

    /** The same, but at most at {@code siteIds} and at most {@code rights}: for a token that may do less than its owner. */
    public Reach only(Set<Long> siteIds, Set<Right> rights) {
        Map<Long, Set<Right>> left = new TreeMap<>();
        for (long siteId : siteIds) {
            Set<Right> may = EnumSet.noneOf(Right.class);
            rights.stream().filter(right -> may(right, siteId)).forEach(may::add);
            if (!may.isEmpty()) {
                left.put(siteId, may);
            }
        }
        return new Reach(Set.of(), Collections.unmodifiableMap(left));
    }

    /** The same sites, but at most {@code rights}. */
    public Reach only(Set<Right> rights) {
        Set<Right> all = new HashSet<>(everywhere);
        all.retainAll(rights);
        Map<Long, Set<Right>> left = new TreeMap<>();
        bySite.forEach((siteId, may) -> {
            Set<Right> kept = new HashSet<>(may);
            kept.retainAll(rights);
            if (!kept.isEmpty()) {
                left.put(siteId, Set.copyOf(kept));
            }
        });
        return new Reach(Set.copyOf(all), Collections.unmodifiableMap(left));
    }

    public boolean may(Right right, long siteId) {
        return everywhere.contains(right) || bySite.getOrDefault(siteId, Set.of()).contains(right);
    }

    public boolean sees(long siteId) {
        return may(Right.SEE, siteId);
    }

    public boolean mayEverywhere(Right right) {
        return everywhere.contains(right);
    }

    /** Whether there is any site at which it holds. */
    public boolean maySomewhere(Right right) {
        return everywhere.contains(right) || bySite.values().stream().anyMatch(rights -> rights.contains(right));
    }

    /** The sites at which {@code right} holds; empty: every site. */
    public Optional<Set<Long>> sitesWith(Right right) {
        if (everywhere.contains(right)) {
            return Optional.empty();
        }
        Set<Long> sites = new HashSet<>();
        bySite.forEach((siteId, rights) -> {
            if (rights.contains(right)) {
                sites.add(siteId);
            }
        });
        return Optional.of(Set.copyOf(sites));
    }

    /** Whether nothing that {@code grant} gives lies outside this: nobody gives away more than they have. */
    public boolean covers(Grant grant) {
        OptionalLong siteId = grant.siteId();
        return grant.role().rights().stream()
                .allMatch(right -> siteId.isPresent() ? may(right, siteId.getAsLong()) : mayEverywhere(right));
    }
}
