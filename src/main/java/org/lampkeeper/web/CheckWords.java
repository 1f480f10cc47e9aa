package org.lampkeeper.web;

import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;
import java.util.Map;

import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckPlan;
import org.lampkeeper.check.Rhythm;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.register.CheckPlanSheet;

/** How looks and their plans are called on pages. Pure. */
final class CheckWords {

    static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("HH:mm", Locale.UK);

    private CheckWords() {
    }

    static String closed(WhenClosed when) {
        return switch (when) {
            case SKIP -> "there is none";
            case MOVE -> "it is done on the next open day";
            case SOMEBODY_ELSE -> "somebody else is asked";
        };
    }

    /** "every day, 09:00 to 11:00". A rule that no form makes is shown as it is. */
    static String pattern(CheckPlan plan) {
        String often = Rhythm.of(plan.recurrence()).map(Rhythm::words).orElse(plan.recurrence().rule());
        String nextDay = plan.closes().isAfter(plan.opens()) ? "" : " of the day after";
        return often + ", " + TIME.format(plan.opens()) + " to " + TIME.format(plan.closes()) + nextDay;
    }

    /** "whoever is on duty as site duty is asked; on closed days …". */
    static String asked(CheckPlanSheet plan, Map<Long, String> names) {
        String onClosed = plan.askedWhenClosed().map(whom -> whom(whom, names) + " is asked").orElse(closed(plan.plan().whenClosed()));
        return whom(plan.asked(), names) + " is asked; on closed days " + onClosed + (plan.sensorCounts() ? "; a healthy sensor stands in for the look" : "")
                + (plan.asksCode() ? "; the code on the label is asked for" : "");
    }

    static String whom(Whom whom, Map<Long, String> names) {
        if (whom instanceof Whom.Person person) {
            return names.getOrDefault(person.personId(), "somebody");
        }
        if (whom instanceof Whom.OnDutyFor duty) {
            return "whoever is on as " + duty.role().words();
        }
        throw new IllegalStateException("whom without a rule: " + whom);
    }

    /** @param without the names of cabinets that nobody is asked to look at, of {@code all} */
    static String headline(String site, int all, List<String> without) {
        if (all == 0) {
            return site + " has no cabinet to look at yet.";
        }
        if (without.isEmpty()) {
            return all == 1 ? "The cabinet at " + site + " is looked at by a plan." : "All " + all + " cabinets at " + site + " are looked at by a plan.";
        }
        return without.size() == all ? "Nobody is asked to look at the lamps at " + site + "."
                : "Nobody is asked to look at " + (without.size() > 3 ? without.size() + " of " + all + " cabinets at " + site : PeopleReading.listed(without)) + ".";
    }

    static String clocks(String site, ZoneId zone) {
        return "On the clocks of " + site + ": " + SupplyPage.zoneName(zone) + ".";
    }
}
