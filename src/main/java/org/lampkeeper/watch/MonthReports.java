package org.lampkeeper.watch;

import java.time.Instant;
import java.time.LocalTime;
import java.time.YearMonth;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.Letter;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.MonthLetter;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.Edited;
import org.lampkeeper.register.MonthDays;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SiteSheet;

/**
 * Sends whoever is responsible for a site the report on each month, on its day. The row of a month says that it is to come, and later that it was
 * written: a restart forgets none, and a repeat writes none twice. What was missed while nothing ran is made good, month by month.
 */
@ApplicationScoped
@Transactional
public class MonthReports {

    private static final String OPEN = "SELECT id, month_of FROM month_report WHERE site_id = :site AND written_at IS NULL";
    private static final String LAST_WRITTEN = "SELECT MAX(month_of) FROM month_report WHERE site_id = :site AND written_at IS NOT NULL";
    private static final String ADD = "INSERT INTO month_report (id, site_id, month_of) VALUES (nextval('month_report_seq'), :site, :month)";
    private static final String DROP_OPEN = "DELETE FROM month_report WHERE site_id = :site AND written_at IS NULL";
    private static final String WRITTEN = "UPDATE month_report SET written_at = :now WHERE id = :id AND written_at IS NULL";

    private static final List<String> RESPONSIBLE = List.of("RESPONSIBLE_PERSON");

    private final EntityManager entities;
    private final MonthDays days;
    private final Register register;
    private final SitePeople people;
    private final Outbox outbox;
    private final Deadlines deadlines;
    private final Journal journal;
    private final MessageConfig messages;
    private final WatchConfig config;

    MonthReports(EntityManager entities, MonthDays days, Register register, SitePeople people, Outbox outbox, Deadlines deadlines, Journal journal,
            MessageConfig messages, WatchConfig config) {
        this.entities = entities;
        this.days = days;
        this.register = register;
        this.people = people;
        this.outbox = outbox;
        this.deadlines = deadlines;
        this.journal = journal;
        this.messages = messages;
        this.config = config;
    }

    private record Open(long id, YearMonth month) {
    }

    /**
     * What is going to be sent.
     *
     * @param readers who gets it as things stand; empty: nobody is responsible
     * @param day     of the month after; empty: it is not sent
     * @param month   the one that is reported next; empty where nothing is planned yet
     * @param at      when; empty as {@code month}
     */
    public record Plan(List<Contact> readers, OptionalInt day, Optional<YearMonth> month, Optional<Instant> at) {
    }

    /** Which report a site sends next, when, and to whom. */
    public Plan plan(SiteSheet site) {
        OptionalInt day = days.ofSite(site.id());
        Optional<YearMonth> month = day.isEmpty() ? Optional.empty() : open(site.id()).map(Open::month);
        return new Plan(readers(site.id()), day, month, month.map(open -> due(open, day.getAsInt(), config.monthReportAt(), site.zone())));
    }

    /** A new site has a report to come; another zone or another day moves it. */
    void edited(@Observes Edited change) {
        if (change.thing().equals("site") || change.thing().equals(MonthDays.THING)) {
            deadlines.add(DeadlineKind.MONTH_REPORT, change.id(), 0, change.by().at());
        }
    }

    /**
     * When the report on a month is sent: on that day of the month after, on the clocks of the site. A time that they leave out is later by what they leave
     * out, and of one that they show twice it is the first.
     */
    static Instant due(YearMonth month, int day, LocalTime at, ZoneId zone) {
        return ZonedDateTime.of(month.plusMonths(1).atDay(day), at, zone).toInstant();
    }

    /** Writes the report whose day has come; returns when the next is due, which may be past where several were missed. Empty: none is to be sent. */
    Optional<Instant> look(long siteId, Instant now) {
        OptionalInt day = days.ofSite(siteId);
        Optional<SiteSheet> found = register.site(siteId);
        if (day.isEmpty() || found.isEmpty()) {
            entities.createNativeQuery(DROP_OPEN).setParameter("site", siteId).executeUpdate();
            return Optional.empty();
        }
        SiteSheet site = found.get();
        Optional<Open> known = open(siteId);
        if (known.isEmpty()) {
            YearMonth first = first(siteId, YearMonth.from(now.atZone(site.zone())));
            add(siteId, first);
            return Optional.of(due(first, day.getAsInt(), config.monthReportAt(), site.zone()));
        }
        YearMonth month = known.get().month();
        Instant due = due(month, day.getAsInt(), config.monthReportAt(), site.zone());
        if (due.isAfter(now)) {
            return Optional.of(due);
        }
        entities.createNativeQuery(WRITTEN).setParameter("now", now).setParameter("id", known.get().id()).executeUpdate();
        tell(site, known.get(), now);
        add(siteId, month.plusMonths(1));
        return Optional.of(due(month.plusMonths(1), day.getAsInt(), config.monthReportAt(), site.zone()));
    }

    /** The month that runs, or the one after the last that was written where that is later: none is written twice. */
    private YearMonth first(long siteId, YearMonth running) {
        Object last = entities.createNativeQuery(LAST_WRITTEN).setParameter("site", siteId).getSingleResult();
        YearMonth after = last == null ? running : YearMonth.parse((String) last).plusMonths(1);
        return after.isAfter(running) ? after : running;
    }

    private Optional<Open> open(long siteId) {
        for (Object found : entities.createNativeQuery(OPEN).setParameter("site", siteId).getResultList()) {
            Object[] row = (Object[]) found;
            return Optional.of(new Open(Rows.number(row[0]), YearMonth.parse((String) row[1])));
        }
        return Optional.empty();
    }

    private void add(long siteId, YearMonth month) {
        entities.createNativeQuery(ADD).setParameter("site", siteId).setParameter("month", month.toString()).executeUpdate();
    }

    private void tell(SiteSheet site, Open report, Instant now) {
        boolean isTold = false;
        for (Contact reader : readers(site.id())) {
            Letter letter = MonthLetter.of(site, report.month(), reader.name(), messages.address("sites/" + site.id() + "/month?month=" + report.month()));
            NewMessage message = new NewMessage(Purpose.MONTH, OptionalLong.empty(), OptionalLong.empty(), reader.personId(), reader.mail().orElse(""), letter.subject(),
                    letter.body(), Optional.of(letter.subject()), OptionalLong.of(report.id()), now);
            // A paper is for reading at a desk: by mail where there is one, else a word by whatever comes first.
            if (reader.mail().isPresent()) {
                outbox.put(message);
            } else if (!outbox.tell(message)) {
                continue;
            }
            isTold = true;
            journal.append(Entry.of(now, "month-report-told").site(site.id()).with("person", reader.reference()).with("month", report.month().toString()));
        }
        if (!isTold) {
            journal.append(Entry.of(now, "month-report-not-told").site(site.id()).with("month", report.month().toString()));
        }
    }

    /** Whoever is responsible for the site itself; where nobody is, whoever is for every site. */
    private List<Contact> readers(long siteId) {
        List<Contact> ofTheSite = people.withRole(siteId, true, RESPONSIBLE);
        return ofTheSite.isEmpty() ? people.withRole(siteId, false, RESPONSIBLE) : ofTheSite;
    }
}
