package org.lampkeeper.message;

import java.time.YearMonth;
import java.time.format.DateTimeFormatter;
import java.util.Locale;

import org.lampkeeper.register.SiteSheet;

/** The words that carry the report on a month; its figures and the paper are put in as the mail leaves. Pure. */
public final class MonthLetter {

    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("MMMM uuuu", Locale.ENGLISH);

    private MonthLetter() {
    }

    /**
     * @param name of whoever reads it
     * @param page where the month can be read, for whoever may sign in
     */
    public static Letter of(SiteSheet site, YearMonth month, String name, String page) {
        return new Letter(subject(site, month), name + ",\n\nthis is the report on " + MONTH.format(month) + " at " + site.name() + ": how long its cabinets had supply, how losses"
                + " were met, and what to do next.\n\nThe month as a page, also as PDF: " + page + "\n");
    }

    private static String subject(SiteSheet site, YearMonth month) {
        return site.name() + ": report on " + MONTH.format(month);
    }
}
