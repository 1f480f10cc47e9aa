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
import java.util.Set;
import java.util.stream.Stream;

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
        return at(stretches(moment, moment.plusNanos(1)).stream().filter(stretch -> stretch.role() == role).toList(), moment);
    }

    /** How each role stands that has a shift at all, seen as far ahead as {@code horizon}. */
    public List<OnNow> now(Instant moment, Duration horizon) {
        Instant last = moment.plus(horizon);
        List<Stretch> ahead = stretches(moment, last.plusNanos(1));
        List<OnNow> roles = new ArrayList<>();
        for (DutyRole role : DutyRole.values()) {
            if (shifts.stream().anyMatch(shift -> shift.role() == role)) {
                roles.add(now(role, ahead.stream().filter(stretch -> stretch.role() == role).toList(), moment, last));
            }
        }
        return roles;
    }

    private static OnNow now(DutyRole role, List<Stretch> stretches, Instant moment, Instant last) {
        List<Long> on = at(stretches, moment);
        List<Instant> edges = stretches.stream().flatMap(stretch -> Stream.of(stretch.from(), stretch.until()))
                .filter(edge -> edge.isAfter(moment) && !edge.isAfter(last)).sorted().distinct().toList();
        Optional<Instant> until = edges.stream().filter(edge -> !Set.copyOf(at(stretches, edge)).equals(Set.copyOf(on))).findFirst();
        Optional<Instant> next = until.flatMap(end -> edges.stream().filter(edge -> !edge.isBefore(end) && !at(stretches, edge).isEmpty()).findFirst());
        return new OnNow(role, on, until, next.map(from -> at(stretches, from)).orElse(List.of()), next);
    }

    private static List<Long> at(List<Stretch> stretches, Instant moment) {
        return stretches.stream().filter(stretch -> stretch.holds(moment)).map(Stretch::personId).distinct().toList();
    }

    /** Where a shift is planned and nobody is on for its role, cut to the range, in order; what touches is one gap. */
    public List<Gap> gaps(Instant from, Instant until) {
        return Gap.joined(open(from, until).stream().map(gap -> {
            Span span = new Span(gap.from(), gap.until()).cut(from, until);
            return new Gap(gap.role(), span.from(), span.until());
        }).toList());
    }

    /** The same shift by shift, whole where a shift only reaches into the range, no moment of a role twice: so each is the same on any day. */
    public List<Gap> open(Instant from, Instant until) {
        List<Planned> planned = planned(from, until);
        Instant first = planned.stream().map(each -> each.span().from()).min(Comparator.naturalOrder()).orElse(from);
        Instant last = planned.stream().map(each -> each.span().until()).max(Comparator.naturalOrder()).orElse(until);
        List<Stretch> filled = stretches(first, last);
        List<Gap> gaps = new ArrayList<>();
        for (DutyRole role : DutyRole.values()) {
            List<Span> taken = new ArrayList<>();
            filled.stream().filter(stretch -> stretch.role() == role).forEach(stretch -> taken.add(new Span(stretch.from(), stretch.until())));
            planned.stream().filter(each -> each.shift().role() == role).map(Planned::span)
                    .sorted(Comparator.comparing(Span::from).thenComparing(Span::until)).forEach(span -> {
                        List<Span> left = List.of(span);
                        for (Span other : taken) {
                            left = without(left, other);
                        }
                        left.stream().filter(each -> each.meets(from, until)).forEach(each -> gaps.add(new Gap(role, each.from(), each.until())));
                        taken.add(span);
                    });
        }
        gaps.sort(Gap.BY_BEGINNING);
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
}
