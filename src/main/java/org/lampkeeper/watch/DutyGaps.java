package org.lampkeeper.watch;

import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.persistence.Query;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.GapLook;
import org.lampkeeper.callout.GapLook.Known;
import org.lampkeeper.callout.Rota;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.DutyLetter;
import org.lampkeeper.message.Letter;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.RotaChanged;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SiteSheet;

/** Looks ahead in the rota of a site, writes down where nobody is on, and tells whoever may change it. Joins the caller's transaction. */
@ApplicationScoped
class DutyGaps {

    private static final String KNOWN = """
            SELECT role, begins_at, ends_at, found_at, told_at FROM duty_gap WHERE site_id = :site ORDER BY begins_at, role""";

    private static final String ADD = """
            INSERT INTO duty_gap (site_id, role, begins_at, ends_at, found_at) VALUES (:site, :role, :begins, :ends, :now)""";

    private static final String REMOVE = "DELETE FROM duty_gap WHERE site_id = :site AND role = :role AND begins_at = :begins";

    private static final String TOLD = "UPDATE duty_gap SET told_at = :now WHERE site_id = :site AND role = :role AND begins_at = :begins";

    private static final List<String> MAY_CHANGE_IT = List.of("ADMINISTRATOR", "DUTY_MANAGER", "RESPONSIBLE_PERSON");

    private final EntityManager entities;
    private final DutyBook book;
    private final Register register;
    private final SitePeople people;
    private final Outbox outbox;
    private final Deadlines deadlines;
    private final Journal journal;
    private final MessageConfig messages;
    private final WatchConfig config;

    DutyGaps(EntityManager entities, DutyBook book, Register register, SitePeople people, Outbox outbox, Deadlines deadlines, Journal journal,
            MessageConfig messages, WatchConfig config) {
        this.entities = entities;
        this.book = book;
        this.register = register;
        this.people = people;
        this.outbox = outbox;
        this.deadlines = deadlines;
        this.journal = journal;
        this.messages = messages;
        this.config = config;
    }

    void changed(@Observes RotaChanged change) {
        deadlines.add(DeadlineKind.DUTY_GAPS, change.siteId(), 0, change.at());
    }

    /** Looks ahead; returns when to look again, empty where no shift is to come: whoever plans one asks anew. */
    Optional<Instant> look(long siteId, Instant now) {
        Optional<Rota> rota = book.rota(siteId);
        if (rota.isEmpty()) {
            return Optional.empty();
        }
        GapLook look = GapLook.look(rota.get(), known(siteId), config.gapRules(), now);
        look.over().forEach(gap -> row(REMOVE, siteId, gap).executeUpdate());
        for (Gap gap : look.filled()) {
            row(REMOVE, siteId, gap).executeUpdate();
            journal.append(entry(siteId, gap, "duty-gap-filled", now));
        }
        for (Gap gap : look.found()) {
            row(ADD, siteId, gap).setParameter("ends", gap.until()).setParameter("now", now).executeUpdate();
            journal.append(entry(siteId, gap, "duty-gap-found", now));
        }
        tell(siteId, look, now);
        LocalDate today = now.atZone(rota.get().zone()).toLocalDate();
        boolean isOver = rota.get().shifts().stream().allMatch(shift -> shift.validUntil().filter(today::isAfter).isPresent());
        return isOver && known(siteId).isEmpty() ? Optional.empty() : Optional.of(look.next());
    }

    private List<Known> known(long siteId) {
        List<Known> known = new ArrayList<>();
        for (Object found : entities.createNativeQuery(KNOWN).setParameter("site", siteId).getResultList()) {
            Object[] row = (Object[]) found;
            known.add(new Known(new Gap(DutyRole.valueOf((String) row[0]), Rows.instant(row[1]), Rows.instant(row[2])), Rows.instant(row[3]),
                    Optional.ofNullable(row[4]).map(Rows::instant)));
        }
        return known;
    }

    /** One message a person that lists all. Where nobody can be told, the gaps stay untold: the next look tries again. */
    private void tell(long siteId, GapLook look, Instant now) {
        if (look.first().isEmpty() && look.again().isEmpty()) {
            return;
        }
        SiteSheet site = register.site(siteId).orElseThrow();
        boolean isTold = tell(site, readers(siteId, true), look, now) || tell(site, readers(siteId, false), look, now);
        if (!isTold) {
            journal.append(Entry.of(now, "duty-gaps-not-told").site(siteId).with("gaps", look.first().size() + look.again().size()));
            return;
        }
        look.first().forEach(gap -> row(TOLD, siteId, gap).setParameter("now", now).executeUpdate());
        look.again().forEach(gap -> row(TOLD, siteId, gap).setParameter("now", now).executeUpdate());
    }

    private boolean tell(SiteSheet site, List<Contact> readers, GapLook look, Instant now) {
        boolean isTold = false;
        for (Contact reader : readers) {
            Letter letter = DutyLetter.compose(site, look.first(), look.again(), reader.name(), messages.address("sites/" + site.id() + "/duty"));
            if (reader.mail().isPresent()) {
                outbox.put(message(reader, letter, now));
            } else if (!outbox.tell(message(reader, letter, now))) {
                continue;
            }
            isTold = true;
            journal.append(Entry.of(now, "duty-gaps-told").site(site.id()).with("person", reader.reference()).with("gaps", look.first().size())
                    .with("again", look.again().size()));
        }
        return isTold;
    }

    /** A list is for reading at a desk: by mail where there is one, else by whatever comes first. */
    private static NewMessage message(Contact reader, Letter letter, Instant now) {
        return new NewMessage(Purpose.NOTICE, OptionalLong.empty(), OptionalLong.empty(), reader.personId(), reader.mail().orElse(""), letter.subject(),
                letter.body(), now);
    }

    /** Who may change the rota: by a role at the site itself, or by one at every site. */
    private List<Contact> readers(long siteId, boolean atTheSite) {
        return people.withRole(siteId, atTheSite, MAY_CHANGE_IT);
    }

    private Query row(String sql, long siteId, Gap gap) {
        return entities.createNativeQuery(sql).setParameter("site", siteId).setParameter("role", gap.role().name()).setParameter("begins", gap.from());
    }

    private static Entry entry(long siteId, Gap gap, String kind, Instant now) {
        return Entry.of(now, kind).site(siteId).with("duty", gap.role()).with("from", gap.from()).with("until", gap.until());
    }
}
