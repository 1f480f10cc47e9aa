package org.lampkeeper.watch;

import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.Period;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.DatesLetter;
import org.lampkeeper.message.Letter;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.DatedDuties;
import org.lampkeeper.register.DatedDuty;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;

/** Reminds the responsible person of what comes due at a cabinet, once for each date. Joins the caller's transaction. */
@ApplicationScoped
class DateReminders {

    /** Ours: time to order a part and to find an electrician. */
    static final Period AHEAD = Period.ofDays(30);

    /** Ours: at the beginning of a working day. */
    static final LocalTime AT = LocalTime.of(9, 0);

    private final DatedDuties duties;
    private final Register register;
    private final People people;
    private final OnDuty onDuty;
    private final Outbox outbox;
    private final MessageConfig messages;
    private final Journal journal;

    DateReminders(DatedDuties duties, Register register, People people, OnDuty onDuty, Outbox outbox, MessageConfig messages, Journal journal) {
        this.duties = duties;
        this.register = register;
        this.people = people;
        this.onDuty = onDuty;
        this.outbox = outbox;
        this.messages = messages;
        this.journal = journal;
    }

    /** The next morning on the clocks of the site. */
    static Instant next(ZoneId zone, Instant now) {
        ZonedDateTime here = now.atZone(zone);
        Instant today = ZonedDateTime.of(here.toLocalDate(), AT, zone).toInstant();
        return today.isAfter(now) ? today : ZonedDateTime.of(here.toLocalDate().plusDays(1), AT, zone).toInstant();
    }

    /** Returns when to look again; empty for a cabinet that is not in use any more. */
    Optional<Instant> look(long cabinetId, Instant now) {
        Optional<CabinetSheet> found = register.findSheet(cabinetId);
        if (found.isEmpty()) {
            return Optional.empty();
        }
        CabinetSheet cabinet = found.get();
        LocalDate today = now.atZone(cabinet.site().zone()).toLocalDate();
        Optional<Contact> reader = onDuty.at(cabinet.site().id(), DutyRole.RESPONSIBLE_PERSON, now).stream().flatMap(id -> people.find(id).stream()).findFirst();
        if (reader.isPresent()) {
            List<DatedDuty> first = duties.ofCabinet(cabinetId).stream().filter(duty -> !today.isBefore(duty.due().minus(AHEAD))).filter(duty -> !duties.isReminded(duty))
                    .distinct().toList();
            // Whoever could not be reached is tried again the next morning.
            if (!first.isEmpty() && tell(cabinet, first, reader.get(), now)) {
                first.forEach(duty -> duties.reminded(duty, now));
            }
        }
        return Optional.of(next(cabinet.site().zone(), now));
    }

    private boolean tell(CabinetSheet cabinet, List<DatedDuty> first, Contact reader, Instant now) {
        Letter letter = DatesLetter.of(cabinet, first, reader.name(), messages.address("sites/" + cabinet.site().id() + "/dates"));
        boolean isReachable = outbox.tell(new NewMessage(Purpose.NOTICE, OptionalLong.empty(), OptionalLong.empty(), reader.personId(), "", letter.subject(), letter.body(),
                Optional.of(letter.subject()), now));
        journal.append(Entry.of(now, isReachable ? "dates-told" : "dates-not-told").site(cabinet.site().id()).cabinet(cabinet.cabinetId()).with("person", reader.reference())
                .with("dates", first.stream().map(duty -> duty.due() + " " + duty.kind()).toList()));
        return isReachable;
    }
}
