package org.lampkeeper.callout;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/** A shift is planned, and nobody is on: from {@code from} (included) to {@code until} (excluded). */
public record Gap(DutyRole role, Instant from, Instant until) {

    static final Comparator<Gap> BY_BEGINNING = Comparator.comparing(Gap::from).thenComparing(Gap::role);

    /** What touches or overlaps is one, for each role; in the order of beginning. */
    public static List<Gap> joined(List<Gap> gaps) {
        List<Gap> joined = new ArrayList<>();
        for (Gap next : gaps.stream().sorted(Comparator.comparing(Gap::role).thenComparing(Gap::from)).toList()) {
            int end = joined.size() - 1;
            if (end >= 0 && joined.get(end).role == next.role && !joined.get(end).until.isBefore(next.from)) {
                Gap before = joined.get(end);
                joined.set(end, new Gap(before.role, before.from, before.until.isAfter(next.until) ? before.until : next.until));
            } else {
                joined.add(next);
            }
        }
        joined.sort(BY_BEGINNING);
        return joined;
    }

    boolean meets(Gap other) {
        return role == other.role && from.isBefore(other.until) && until.isAfter(other.from);
    }

    /** What is left of it besides these. */
    List<Gap> without(List<Gap> others) {
        List<Gap> left = List.of(this);
        for (Gap other : others) {
            List<Gap> rest = new ArrayList<>();
            for (Gap part : left) {
                if (!part.meets(other)) {
                    rest.add(part);
                    continue;
                }
                if (part.from.isBefore(other.from)) {
                    rest.add(new Gap(role, part.from, other.from));
                }
                if (part.until.isAfter(other.until)) {
                    rest.add(new Gap(role, other.until, part.until));
                }
            }
            left = rest;
        }
        return left;
    }
}
