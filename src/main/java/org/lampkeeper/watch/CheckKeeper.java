package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.UUID;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckLife;
import org.lampkeeper.check.CheckLife.Decision;
import org.lampkeeper.check.CheckLife.Step;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.check.LookTime;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.CheckLetter;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.message.ShortMessages;
import org.lampkeeper.register.CabinetLeavesUse;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CheckPlanSheet;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.ErasingPerson;
import org.lampkeeper.register.Register;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.watch.CheckBook.Due;
import org.lampkeeper.watch.CheckBook.Said;

/**
 * Carries out what {@link CheckLife} decides about looks: asks people, raises and ends alarms, sets the next deadline. Joins the
 * caller's transaction, and takes the site's lock first.
 */
@ApplicationScoped
class CheckKeeper {

    /** Ours: whoever comes home with it on the day after still says what they saw. */
    private static final Duration LINK_AFTER_MISSED = Duration.ofHours(24);

    /** Ours: nobody can tell for longer whether there is supply than it takes to walk there. */
    private static final Duration EXTRA_LASTS = Duration.ofHours(1);

    /** Ours: of more that are silent at once the call-out tells in one message; nobody walks to all of them by link. */
    private static final int MOST_EXTRA_OF_A_SITE = 3;

    private static final List<AlarmKind> OF_LOOKS = List.of(AlarmKind.LOOK_MISSED, AlarmKind.LAMP_OUT, AlarmKind.DAMAGE_SEEN);

    private final CheckBook book;
    private final CheckPlans plans;
    private final Register register;
    private final SitePeople people;
    private final DutyBook duties;
    private final SiteWatches sites;
    private final AlarmKeeper alarms;
    private final AdviceBook supply;
    private final Deadlines deadlines;
    private final Outbox outbox;
    private final LinkTokens tokens;
    private final ShortMessages shortMessages;
    private final MessageConfig messages;
    private final Journal journal;

    CheckKeeper(CheckBook book, CheckPlans plans, Register register, SitePeople people, DutyBook duties, SiteWatches sites, AlarmKeeper alarms,
            AdviceBook supply, Deadlines deadlines, Outbox outbox, LinkTokens tokens, ShortMessages shortMessages, MessageConfig messages, Journal journal) {
        this.book = book;
        this.plans = plans;
        this.register = register;
        this.people = people;
        this.duties = duties;
        this.sites = sites;
        this.alarms = alarms;
        this.supply = supply;
        this.deadlines = deadlines;
        this.outbox = outbox;
        this.tokens = tokens;
        this.shortMessages = shortMessages;
        this.messages = messages;
        this.journal = journal;
    }

    /** A moment of a look has come; nothing happens where it has gone on since, or is not planned any more. */
    void due(long dueId, long version, Instant now) {
        OptionalLong site = book.siteOf(dueId);
        if (site.isEmpty()) {
            return;
        }
        sites.lock(site.getAsLong());
        book.lock(dueId).filter(due -> due.version() == version && !due.isWithdrawn()).ifPresent(due -> timePassed(due, now));
    }

    /**
     * Only the lamp tells now: somebody is asked to look at once, where looks are planned at all. Called holding the site's lock.
     */
    void wentSilent(long siteId, long cabinetId, Instant now) {
        OptionalLong plan = book.lampPlan(cabinetId);
        Optional<CabinetSheet> cabinet = register.findSheet(cabinetId);
        if (plan.isEmpty() || cabinet.isEmpty()) {
            return;
        }
        LocalDate today = LocalDate.ofInstant(now, cabinet.get().site().zone());
        if (!book.isLampAskedFor(cabinetId, today.minusDays(1), now) && book.extraOpen(siteId, today.minusDays(1)) < MOST_EXTRA_OF_A_SITE) {
            timePassed(book.addExtra(plan.getAsLong(), siteId, cabinetId, today, now, now.plus(EXTRA_LASTS)), now);
        }
    }

    private void timePassed(Due due, Instant now) {
        Optional<CabinetSheet> cabinet = register.findSheet(due.cabinetId());
        if (cabinet.isEmpty()) {
            book.withdraw(due, now);
            return;
        }
        boolean isOpening = due.openedAt().isEmpty();
        CheckPlanSheet plan = plans.find(due.planId()).orElseThrow();
        if (isOpening && plan.sensorCounts() && due.kind() == CheckKind.LAMP && now.isBefore(due.life().due().closes())
                && supply.reading(due.cabinetId(), now) == Reading.HEALTHY) {
            book.add(due, OptionalLong.empty(), Answer.LIT, LookTime.now(now), true, OptionalLong.empty(), Optional.empty(), Reading.HEALTHY,
                    Optional.empty());
            book.store(due, new CheckLife(due.life().due(), CheckState.DONE, Optional.of(new CheckLife.Seen(Answer.LIT, now))), now);
            journal.append(entry(due, "check-by-sensor", now));
            return;
        }
        Step step = isOpening ? CheckLife.open(due.life().due(), now) : due.life().timePassed(now);
        store(due, step, now);
        carryOut(due, cabinet.get(), plan, step, now, now);
    }

    /**
     * Somebody says what they saw. For the caller to have locked the site and the row.
     *
     * @param before      what they said before; this is told to be right instead
     * @param phoneAnswer what their phone calls it, where it was kept there
     */
    void said(Due due, CabinetSheet cabinet, Contact person, Answer answer, LookTime time, Optional<Said> before, Optional<String> note,
            Optional<Photo> photo, Optional<UUID> phoneAnswer) {
        Instant now = time.receivedAt();
        boolean isTakenBack = answer == Answer.NOT_SEEN && before.filter(said -> said.answer().isLook()).isPresent() && !hasAnotherLooked(due, person);
        Step step = isTakenBack ? due.life().tookBack(now) : due.life().looked(answer, time);
        Reading reading = supply.reading(due.cabinetId(), now);
        // Whoever could not see it and can now has not tapped wrong.
        OptionalLong corrects = before.filter(said -> said.answer().isLook()).map(said -> OptionalLong.of(said.id())).orElseGet(OptionalLong::empty);
        long record = book.add(due, OptionalLong.of(person.personId()), answer, time, step.isCounted(), corrects, note, reading, phoneAnswer);
        photo.ifPresent(it -> book.addPhoto(due, record, it, now));
        Entry entry = entry(due, "check-recorded", now).with("person", person.reference()).with("answer", answer.name()).with("looked-at", time.at())
                .with("counted", step.isCounted()).with("received-late", time.isReceivedLate()).with("supply", reading.name())
                .with("phone-clock-wrong-by", time.clockWrongBy().map(Duration::toString)).with("photo-sha256", photo.map(Photo::sha256));
        journal.append(corrects.isPresent() ? entry.with("corrects", true) : entry);
        store(due, step, now);
        carryOut(due, cabinet, plans.find(due.planId()).orElseThrow(), step, time.at(), now);
        if (answer.isLook() && step.isCounted()) {
            // It may be that of the day before: somebody has looked now.
            endMissed(due, time.at(), now);
        }
    }

    /** A photo that came after what it belongs to. For the caller to have locked the site and the row. */
    void addPhoto(Due due, long recordId, Contact person, Photo photo, Instant now) {
        book.addPhoto(due, recordId, photo, now);
        journal.append(entry(due, "check-photo", now).with("person", person.reference()).with("record", recordId).with("photo-sha256", photo.sha256()));
    }

    private boolean hasAnotherLooked(Due due, Contact person) {
        return book.said(due.id()).stream().anyMatch(said -> said.isCounted() && said.personId().isPresent() && said.personId().getAsLong() != person.personId());
    }

    /** A look at the lamp does not make up for one at the dates. */
    private void endMissed(Due due, Instant at, Instant now) {
        if (!book.isAnotherKindMissed(due)) {
            alarms.returns(AlarmKind.LOOK_MISSED, due.siteId(), OptionalLong.of(due.cabinetId()), at, now);
        }
    }

    private void store(Due due, Step step, Instant now) {
        long version = book.store(due, step.life(), now);
        step.next().ifPresent(at -> deadlines.add(DeadlineKind.CHECK, due.id(), version, at));
    }

    /** @param at when it was seen, or when the time came */
    private void carryOut(Due due, CabinetSheet cabinet, CheckPlanSheet plan, Step step, Instant at, Instant now) {
        OptionalLong cabinetId = OptionalLong.of(due.cabinetId());
        for (Decision decision : step.decisions()) {
            switch (decision) {
                case ASK -> ask(due, cabinet, plan, now);
                case RAISE_MISSED -> {
                    journal.append(entry(due, "check-missed", now).with("by", due.life().due().closes()));
                    alarms.occurs(AlarmKind.LOOK_MISSED, due.siteId(), cabinetId, due.life().due().closes(), now);
                }
                case END_MISSED -> endMissed(due, at, now);
                case RAISE_OUT -> seenOut(due, at, now);
                case RAISE_DAMAGED -> alarms.occurs(AlarmKind.DAMAGE_SEEN, due.siteId(), cabinetId, at, now);
                case END_REPORTED -> seenWell(due, at, now);
            }
        }
    }

    /** A sensor that says the same has called people out already; one that says otherwise makes it another alarm. */
    private void seenOut(Due due, Instant at, Instant now) {
        OptionalLong cabinetId = OptionalLong.of(due.cabinetId());
        switch (supply.reading(due.cabinetId(), now)) {
            case HEALTHY -> alarms.occurs(AlarmKind.SENSOR_AND_LAMP_DIFFER, due.siteId(), cabinetId, at, now);
            case LOST -> alarms.returns(AlarmKind.SENSOR_AND_LAMP_DIFFER, due.siteId(), cabinetId, at, now);
            case UNKNOWN -> alarms.occurs(AlarmKind.LAMP_OUT, due.siteId(), cabinetId, at, now);
        }
    }

    /** Of what somebody looked at: who looks over the cabinet has not looked at the lamp, and who reads dates at neither. */
    private void seenWell(Due due, Instant at, Instant now) {
        OptionalLong cabinetId = OptionalLong.of(due.cabinetId());
        if (due.kind() == CheckKind.LAMP || due.kind() == CheckKind.CABINET) {
            alarms.returns(AlarmKind.DAMAGE_SEEN, due.siteId(), cabinetId, at, now);
        }
        if (due.kind() != CheckKind.LAMP) {
            return;
        }
        alarms.returns(AlarmKind.LAMP_OUT, due.siteId(), cabinetId, at, now);
        if (supply.reading(due.cabinetId(), now) == Reading.LOST) {
            alarms.occurs(AlarmKind.SENSOR_AND_LAMP_DIFFER, due.siteId(), cabinetId, at, now);
        } else {
            alarms.returns(AlarmKind.SENSOR_AND_LAMP_DIFFER, due.siteId(), cabinetId, at, now);
        }
    }

    private void ask(Due due, CabinetSheet cabinet, CheckPlanSheet plan, Instant now) {
        boolean isAgain = due.openedAt().isPresent();
        String task = due.kind().task();
        Instant closes = due.life().due().closes();
        boolean isAnybody = false;
        for (Contact reader : asked(plan, due.life().due().bySomebodyElse(), now)) {
            Instant end = due.life().due().missedAt().plus(LINK_AFTER_MISSED);
            String link = messages.address("c/" + tokens.issueForLook(due.id(), reader.personId(), end));
            var letter = CheckLetter.asking(cabinet, task, reader.name(), closes, isAgain, due.isExtra(), link, now);
            boolean isReachable = outbox.tell(new NewMessage(Purpose.LOOK, OptionalLong.empty(), OptionalLong.empty(), reader.personId(), "", letter.subject(),
                    letter.body(), Optional.of(shortMessages.ofLook(CheckLetter.briefly(cabinet, task, closes, now), due.id(), reader.personId(), end)), now));
            book.asked(due, reader.personId(), isReachable, now);
            isAnybody |= isReachable;
        }
        if (!isAnybody) {
            journal.append(entry(due, "check-asked-nobody", now));
        }
    }

    /** Whoever is named; where that person is away or erased, whoever looks after the site. */
    List<Contact> asked(CheckPlanSheet plan, boolean bySomebodyElse, Instant now) {
        Whom whom = bySomebodyElse ? plan.askedWhenClosed().orElse(plan.asked()) : plan.asked();
        boolean isAway = whom instanceof Whom.Person person && duties.absences(Set.of(person.personId())).stream()
                .anyMatch(absence -> !now.isBefore(absence.from()) && now.isBefore(absence.until()));
        Whom there = isAway ? new Whom.OnDutyFor(DutyRole.SITE_DUTY) : whom;
        return people.inOrder(new LinkedHashSet<>(people.whoIs(there, plan.siteId(), now)));
    }

    /** Nobody says any more what is with a cabinet that is out of use: what people said about it is over with it. */
    void leavesUse(@Observes CabinetLeavesUse event) {
        sites.lock(event.siteId());
        OF_LOOKS.forEach(kind -> alarms.endsOutOfUse(kind, event.siteId(), event.cabinetId(), event.by()));
    }

    void erasing(@Observes ErasingPerson event) {
        book.forgetWordsOf(event.person().personId());
    }

    private static Entry entry(Due due, String kind, Instant now) {
        return Entry.of(now, kind).site(due.siteId()).cabinet(due.cabinetId()).with("look", due.id()).with("looks-at", due.kind().name());
    }
}
