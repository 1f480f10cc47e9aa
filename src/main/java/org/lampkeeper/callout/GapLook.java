package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;

/**
 * One look ahead in a rota: which gaps are new, which are no more, and whether somebody hears of them now. A gap is told of once, and
 * once more on the day before it begins unless it was told of on that day or later; whatever is untold goes into one message.
 *
 * @param found  new since the look before
 * @param filled somebody is on by now
 * @param over   nobody ever was
 * @param first  to tell of for the first time now
 * @param again  to tell of once more now
 * @param next   when to look again at the latest
 */
public record GapLook(List<Gap> found, List<Gap> filled, List<Gap> over, List<Gap> first, List<Gap> again, Instant next) {

    /** @param toldAt when somebody was last told of it */
    public record Known(Gap gap, Instant foundAt, Optional<Instant> toldAt) {
    }

    /**
     * @param daily  when a day's look is, on the wall clock of the site
     * @param ahead  how far it reaches
     * @param settle how long a new gap waits before it is told of: whoever changes a rota opens gaps and closes them again
     */
    public record Rules(LocalTime daily, Duration ahead, Duration settle) {
    }

    public GapLook {
        found = List.copyOf(found);
        filled = List.copyOf(filled);
        over = List.copyOf(over);
        first = List.copyOf(first);
        again = List.copyOf(again);
    }

    /** @param known of the look before; each that is neither filled nor over stays known, and so does whatever is found */
    public static GapLook look(Rota rota, List<Known> known, Rules rules, Instant now) {
        Instant horizon = now.plus(rules.ahead());
        // As far as anything is known: what was found under a longer reach is not filled by a shorter one.
        Instant end = known.stream().map(each -> each.gap().until()).filter(horizon::isBefore).max(Comparator.naturalOrder()).orElse(horizon);
        List<Gap> open = rota.open(now, end);
        List<Gap> over = new ArrayList<>();
        List<Gap> filled = new ArrayList<>();
        List<Known> stay = new ArrayList<>();
        for (Known each : known) {
            if (!each.gap().until().isAfter(now)) {
                over.add(each.gap());
            } else if (open.stream().noneMatch(each.gap()::meets)) {
                filled.add(each.gap());
            } else {
                stay.add(each);
            }
        }
        List<Gap> before = stay.stream().map(Known::gap).toList();
        List<Gap> found = open.stream().filter(gap -> gap.from().isBefore(horizon)).flatMap(gap -> gap.without(before).stream())
                .filter(gap -> gap.until().isAfter(now)).map(gap -> gap.from().isBefore(now) ? new Gap(gap.role(), now, gap.until()) : gap).toList();
        found.forEach(gap -> stay.add(new Known(gap, now, Optional.empty())));
        return told(stay, found, filled, over, rota.zone(), rules, now);
    }

    private static GapLook told(List<Known> stay, List<Gap> found, List<Gap> filled, List<Gap> over, ZoneId zone, Rules rules, Instant now) {
        List<Gap> untold = stay.stream().filter(each -> each.toldAt().isEmpty()).map(Known::gap).sorted(Comparator.comparing(Gap::from)).toList();
        List<Gap> again = stay.stream().filter(each -> isDueAgain(each, zone, rules, now)).map(Known::gap).toList();
        Instant daily = daily(zone, rules, now);
        Optional<Instant> settled = stay.stream().filter(each -> each.toldAt().isEmpty()).map(each -> each.foundAt().plus(rules.settle()))
                .min(Comparator.naturalOrder());
        if (settled.filter(now::isBefore).isPresent()) {
            return new GapLook(found, filled, over, List.of(), List.of(), settled.get().isBefore(daily) ? settled.get() : daily);
        }
        return new GapLook(found, filled, over, untold, again, daily);
    }

    private static boolean isDueAgain(Known known, ZoneId zone, Rules rules, Instant now) {
        LocalDate eve = known.gap().from().atZone(zone).toLocalDate().minusDays(1);
        return known.toldAt().filter(told -> told.isBefore(eve.atStartOfDay(zone).toInstant())).isPresent()
                && !now.isBefore(eve.atTime(rules.daily()).atZone(zone).toInstant());
    }

    /** The next one after {@code now}; where the clocks leave that time out, as much later. */
    private static Instant daily(ZoneId zone, Rules rules, Instant now) {
        LocalDate today = now.atZone(zone).toLocalDate();
        Instant first = today.atTime(rules.daily()).atZone(zone).toInstant();
        return first.isAfter(now) ? first : today.plusDays(1).atTime(rules.daily()).atZone(zone).toInstant();
    }
}
