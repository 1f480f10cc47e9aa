package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeSet;

/**
 * Who is on duty at a site, and when. A shift keeps its times on the wall clock of the site whatever the clocks do: a night on which they
 * go back is an hour longer. A stand-in takes the shift whole; an absence takes a person out of whatever they would have been on for.
 *
 * @param standIns where two cover the same day of one shift, the later of the list counts
 */
public record Rota(ZoneId zone, List<Shift> shifts, List<StandIn> standIns, List<Absence> absences) {

    // Ours: the longest shift is a day, which may be an hour longer, and a zone may leave out a whole day (Pacific/Apia, 30 Dec 2011).
    private static final int DAYS_AROUND = 3;

    private static final Comparator<Stretch> IN_ORDER = Comparator.comparing(Stretch::from).thenComparing(Stretch::until)
            .thenComparingLong(Stretch::shiftId).thenComparing(Stretch::day).thenComparingInt(Stretch::part);

    public Rota {
        shifts = List.copyOf(shifts);
        standIns = List.copyOf(standIns);
        absences = List.copyOf(absences);
    }

    /** All who are on at some moment from {@code from} (included) to {@code until} (excluded), uncut, in the order of beginning. */
    public List<Stretch> stretches(Instant from, Instant until) {
        List<Stretch> found = new ArrayList<>();
        for (Planned planned : planned(from, until)) {
            OptionalLong person = person(planned);
            if (person.isEmpty()) {
                continue;
            }
            List<Span> left = List.of(planned.span());
            for (Absence absence : absences) {
                if (absence.personId() == person.getAsLong()) {
                    left = without(left, new Span(absence.from(), absence.until()));
                }
            }
            for (int part = 0; part < left.size(); part++) {
                Span span = left.get(part);
                if (span.meets(from, until)) {
                    found.add(new Stretch(planned.shift().id(), planned.day(), part, planned.shift().role(), person.getAsLong(),
                            standIn(planned).isPresent(), span.from(), span.until()));
                }
            }
        }
        found.sort(IN_ORDER);
        return found;
    }

    /** When this person is on, of any role. */
    public List<Stretch> of(long personId, Instant from, Instant until) {
        return stretches(from, until).stream().filter(stretch -> stretch.personId() == personId).toList();
    }

    /** Who is on for a role, each once, whoever began first in front; empty where nobody is. */
    public List<Long> on(DutyRole role, Instant moment) {
        return stretches(moment, moment.plusNanos(1)).stream().filter(stretch -> stretch.role() == role).map(Stretch::personId).distinct()
                .toList();
    }

    /** The first moment after {@code moment}, up to {@code horizon} later, from which other people are on; empty where there is none. */
    public Optional<Instant> nextChange(DutyRole role, Instant moment, Duration horizon) {
        Instant last = moment.plus(horizon);
        TreeSet<Instant> edges = new TreeSet<>();
        for (Stretch stretch : stretches(moment, last.plusNanos(1))) {
            if (stretch.role() == role) {
                edges.add(stretch.from());
                edges.add(stretch.until());
            }
        }
        TreeSet<Long> now = new TreeSet<>(on(role, moment));
        return edges.stream().filter(edge -> edge.isAfter(moment) && !edge.isAfter(last))
                .filter(edge -> !now.equals(new TreeSet<>(on(role, edge)))).findFirst();
    }

    /** Where a shift is planned and nobody is on for its role, cut to the range, in order; what touches is one gap. */
    public List<Gap> gaps(Instant from, Instant until) {
        List<Gap> gaps = new ArrayList<>();
        List<Planned> planned = planned(from, until);
        List<Stretch> filled = stretches(from, until);
        for (DutyRole role : DutyRole.values()) {
            List<Span> open = new ArrayList<>();
            planned.stream().filter(each -> each.shift().role() == role).map(each -> each.span().cut(from, until))
                    .sorted(Comparator.comparing(Span::from)).forEach(span -> join(open, span));
            List<Span> left = open;
            for (Stretch stretch : filled) {
                if (stretch.role() == role) {
                    left = without(left, new Span(stretch.from(), stretch.until()));
                }
            }
            left.forEach(span -> gaps.add(new Gap(role, span.from(), span.until())));
        }
        gaps.sort(Comparator.comparing(Gap::from).thenComparing(Gap::role));
        return gaps;
    }

    private record Planned(Shift shift, LocalDate day, Span span) {
    }

    private record Span(Instant from, Instant until) {

        boolean meets(Instant begin, Instant end) {
            return from.isBefore(end) && until.isAfter(begin);
        }

        Span cut(Instant begin, Instant end) {
            return new Span(from.isBefore(begin) ? begin : from, until.isAfter(end) ? end : until);
        }
    }

    private List<Planned> planned(Instant from, Instant until) {
        List<Planned> found = new ArrayList<>();
        LocalDate last = until.atZone(zone).toLocalDate().plusDays(DAYS_AROUND);
        for (Shift shift : shifts) {
            LocalDate first = from.atZone(zone).toLocalDate().minusDays(DAYS_AROUND);
            for (LocalDate day = first; !day.isAfter(last); day = day.plusDays(1)) {
                if (shift.beginsOn(day)) {
                    Span span = new Span(shift.begin(day, zone), shift.end(day, zone));
                    // Both ends in one gap of the clocks: that shift takes no time.
                    if (span.from().isBefore(span.until()) && span.meets(from, until)) {
                        found.add(new Planned(shift, day, span));
                    }
                }
            }
        }
        return found;
    }

    private Optional<StandIn> standIn(Planned planned) {
        return standIns.stream().filter(each -> each.shiftId() == planned.shift().id() && each.covers(planned.day()))
                .reduce((earlier, later) -> later);
    }

    private OptionalLong person(Planned planned) {
        return standIn(planned).map(each -> OptionalLong.of(each.personId())).orElse(planned.shift().personId());
    }

    private static List<Span> without(List<Span> spans, Span taken) {
        List<Span> left = new ArrayList<>();
        for (Span span : spans) {
            if (!span.meets(taken.from(), taken.until())) {
                left.add(span);
                continue;
            }
            if (span.from().isBefore(taken.from())) {
                left.add(new Span(span.from(), taken.from()));
            }
            if (span.until().isAfter(taken.until())) {
                left.add(new Span(taken.until(), span.until()));
            }
        }
        return left;
    }

    private static void join(List<Span> spans, Span next) {
        int end = spans.size() - 1;
        if (end >= 0 && !spans.get(end).until().isBefore(next.from())) {
            Span before = spans.get(end);
            spans.set(end, new Span(before.from(), before.until().isAfter(next.until()) ? before.until() : next.until()));
        } else {
            spans.add(next);
        }
    }
}
