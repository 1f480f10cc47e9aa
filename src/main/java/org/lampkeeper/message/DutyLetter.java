package org.lampkeeper.message;

import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;

import org.lampkeeper.callout.Gap;
import org.lampkeeper.register.SiteSheet;

/** Tells whoever may change a rota where nobody is on. Pure: the same facts always give the same letter. */
public final class DutyLetter {

    private static final DateTimeFormatter WHEN = DateTimeFormatter.ofPattern("EEE d MMM HH:mm", Locale.ENGLISH);

    private DutyLetter() {
    }

    /**
     * @param first  told of for the first time
     * @param again  told of before, and about to begin; one of the two may be empty
     * @param reader by name
     * @param page   where the rota is
     */
    public static Letter compose(SiteSheet site, List<Gap> first, List<Gap> again, String reader, String page) {
        List<Gap> fresh = Gap.joined(first);
        List<Gap> still = Gap.joined(again);
        Gap soonest = still.isEmpty() || !fresh.isEmpty() && fresh.get(0).from().isBefore(still.get(0).from()) ? fresh.get(0) : still.get(0);
        int others = fresh.size() + still.size() - 1;
        String subject = site.name() + ": nobody is on duty as the " + soonest.role().words() + " from " + WHEN.format(soonest.from().atZone(site.zone()))
                + (others == 0 ? "." : ", and " + others + " more.");
        StringBuilder body = new StringBuilder(reader).append(",\n\n");
        if (!still.isEmpty()) {
            body.append("still nobody is on duty at ").append(site.name()).append(", and it begins soon:\n\n");
            still.forEach(gap -> line(body, gap, site.zone()));
        }
        if (!fresh.isEmpty()) {
            body.append(still.isEmpty() ? "nobody is on duty at " + site.name() : "Nobody is on either").append(":\n\n");
            fresh.forEach(gap -> line(body, gap, site.zone()));
        }
        return new Letter(subject, body.append("An alarm then goes to those whom the site falls back on.\n\nFill the shifts here:\n\n").append(page)
                .append("\n\nTimes are as on the clock at ").append(site.name()).append(" (").append(site.zone()).append(").\n").toString());
    }

    private static void line(StringBuilder body, Gap gap, ZoneId zone) {
        body.append("- no ").append(gap.role().words()).append(" from ").append(when(gap.from(), zone)).append(" to ").append(when(gap.until(), zone))
                .append('\n');
    }

    private static String when(Instant at, ZoneId zone) {
        return WHEN.format(at.atZone(zone));
    }
}
