package org.lampkeeper.web;

import java.time.Instant;
import java.time.YearMonth;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.message.MailPaper;
import org.lampkeeper.message.MailPapers;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.SiteMonth;

/** The report on a month as a paper for its mail, with what is most of account in words. */
@ApplicationScoped
class MailMonths implements MailPapers {

    /** By the primary key. */
    private static final String REPORT = "SELECT site_id, month_of FROM month_report WHERE id = ?";

    /** Ours: what is read on a phone while walking; the paper has them all. */
    private static final int MOST_LINES = 10;

    private final Reads reads;
    private final Register register;
    private final SiteMonths months;

    MailMonths(Reads reads, Register register, SiteMonths months) {
        this.reads = reads;
        this.register = register;
        this.months = months;
    }

    private record Report(long siteId, YearMonth month) {
    }

    @Override
    @Transactional
    public Optional<MailPaper> of(long monthReportId, Instant now) {
        return reads.first(REPORT, row -> new Report(row.number("site_id"), YearMonth.parse(row.text("month_of"))), monthReportId)
                .flatMap(report -> register.site(report.siteId()).map(site -> paper(site, report.month(), now)));
    }

    private MailPaper paper(SiteSheet site, YearMonth month, Instant now) {
        SiteMonth told = months.of(site, month, now);
        return new MailPaper(SiteMonths.fileName(site, month), SiteMonths.paper(site, told, now), words(told));
    }

    static String words(SiteMonth month) {
        StringBuilder words = new StringBuilder("THE MONTH\n").append(month.headline()).append('\n');
        if (!month.losses().isEmpty()) {
            words.append(month.losses()).append('\n');
        }
        month.met().forEach(line -> words.append(line).append('\n'));
        list(words, "NOT FIT FOR USE", month.unfit());
        list(words, "WHAT TO DO NEXT", month.next());
        return words.append("\nThe paper with this mail has it cabinet by cabinet. It is no certificate.\n").toString();
    }

    private static void list(StringBuilder words, String heading, List<String> lines) {
        if (!lines.isEmpty()) {
            words.append('\n').append(heading).append('\n');
            lines.stream().limit(MOST_LINES).forEach(line -> words.append("- ").append(line).append('\n'));
            if (lines.size() > MOST_LINES) {
                words.append("- And ").append(lines.size() - MOST_LINES).append(" more, on the paper.\n");
            }
        }
    }
}
