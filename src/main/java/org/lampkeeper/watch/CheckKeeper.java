package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.UUID;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.Absence;
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
import org.lampkeeper.watch.CheckBook.Asked;
import org.lampkeeper.watch.CheckBook.Due;
import org.lampkeeper.watch.CheckBook.Said;
import org.lampkeeper.watch.Deadlines.Deadline;

/**
 * Carries out what {@link CheckLife} decides about looks: asks people, raises and ends alarms, sets the next deadline. Joins the
 * caller's transaction, and takes the site's lock first.
 */
@ApplicationScoped
class CheckKeeper {

    /** Ours: whoever comes home with it on the day after still says what they saw. */
    static final Duration LINK_AFTER_MISSED = Duration.ofHours(24);

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

    /** Their moments have come; nothing happens with one that has gone on since, or is not planned any more. */
    void due(List<Deadline> deadlines, Instant now) {
        Set<Long> ids = deadlines.stream().map(Deadline::subjectId).collect(Collectors.toSet());
        Set<DueVersion> meant = deadlines.stream().map(each -> new DueVersion(each.subjectId(), each.version())).collect(Collectors.toSet());
        sites.lock(book.sitesOf(ids));
        Come come = withSheets(book.lock(ids).stream().filter(due -> meant.contains(new DueVersion(due.id(), due.version())) && !due.isWithdrawn()).toList());
        // What was read is sheets by now; before each further statement Hibernate would look through it for changes.
        book.forgetRead();
        timePassed(come, now);
    }

    /**
     * Those among them that have not opened open, and can be answered from now on. Whom to ask is decided when their deadlines, which stay, are
     * handled.
     *
     * @return how many
     */
    int open(List<Deadline> come, Instant now) {
        sites.lock(book.sitesOf(come.stream().map(Deadline::subjectId).toList()));
        List<Deadline> unopened = deadlines.claimUnopened(come, now);
        if (!unopened.isEmpty()) {
            book.open(unopened.stream().map(Deadline::subjectId).toList(), now);
            deadlines.haveOpened(unopened);
        }
        return unopened.size();
    }

    private record DueVersion(long id, long version) {
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
            timePassed(withSheets(List.of(book.addExtra(plan.getAsLong(), siteId, cabinetId, today, now, now.plus(EXTRA_LASTS)))), now);
        }
    }

    /** Looks, with those of their cabinets that are in use and with their plans. */
    private record Come(List<Due> looks, Map<Long, CabinetSheet> cabinets, Map<Long, CheckPlanSheet> plans) {
    }

    private Come withSheets(List<Due> looks) {
        return new Come(looks, register.sheets(looks.stream().map(Due::cabinetId).collect(Collectors.toSet())),
                plans.find(looks.stream().flatMap(due -> due.planId().stream().boxed()).collect(Collectors.toSet())));
    }

    /** Most of them only ask somebody, now or again: those are stored and told together. */
    private void timePassed(Come come, Instant now) {
        List<Opening> goOn = new ArrayList<>();
        for (Due due : come.looks()) {
            CabinetSheet cabinet = come.cabinets().get(due.cabinetId());
            if (cabinet == null) {
                book.withdraw(due, now);
                continue;
            }
            CheckPlanSheet plan = due.planId().isPresent() ? come.plans().get(due.planId().getAsLong()) : null;
            if (plan == null) {
                throw new IllegalStateException("look " + due.id() + " is by no plan, and nothing of it comes at a time");
            }
            if (standsIn(due, plan, now)) {
                bySensor(due, now);
                continue;
            }
            Step step = due.isUntouched() ? CheckLife.open(due.life().due(), now) : due.life().timePassed(now);
            if (step.life().state() == CheckState.OPEN && step.next().isPresent()) {
                goOn.add(new Opening(due, cabinet, plan, step));
            } else {
                store(due, step, now);
                carryOut(due, cabinet, Optional.of(plan), step, now, now);
            }
        }
        book.goOn(goOn.stream().map(each -> each.due().id()).toList(), now);
        deadlines.addAll(DeadlineKind.CHECK, goOn.stream().map(each -> each.due().id()).toList(), goOn.stream().map(each -> each.due().version() + 1).toList(),
                goOn.stream().map(each -> each.step().next().orElseThrow()).toList());
        ask(goOn.stream().filter(each -> each.step().decisions().contains(Decision.ASK)).toList(), now);
    }

    /** One that is open after its moment, and for which somebody may be asked. */
    private record Opening(Due due, CabinetSheet cabinet, CheckPlanSheet plan, Step step) {
    }

    private boolean standsIn(Due due, CheckPlanSheet plan, Instant now) {
        return due.openedAt().isEmpty() && plan.sensorCounts() && due.kind() == CheckKind.LAMP && now.isBefore(due.life().due().closes())
                && supply.reading(due.cabinetId(), now) == Reading.HEALTHY;
    }

    private void bySensor(Due due, Instant now) {
        book.add(due, OptionalLong.empty(), Answer.LIT, LookTime.now(now), true, OptionalLong.empty(), Optional.empty(), Reading.HEALTHY, false, Optional.empty());
        book.store(due, new CheckLife(due.life().due(), CheckState.DONE, Optional.of(new CheckLife.Seen(Answer.LIT, now))), now);
        journal.append(entry(due, "check-by-sensor", now));
    }

    /**
     * Somebody says what they saw. For the caller to have locked the site and the row.
     *
     * @param before      what they said before; this is told to be right instead
     * @param atCabinet   with the code of the label
     * @param phoneAnswer what their phone calls it, where it was kept there
     */
    void said(Due due, CabinetSheet cabinet, Contact person, Answer answer, LookTime time, Optional<Said> before, Optional<String> note, boolean atCabinet,
            Optional<Photo> photo, Optional<UUID> phoneAnswer) {
        Instant now = time.receivedAt();
        boolean isTakenBack = answer == Answer.NOT_SEEN && before.filter(said -> said.answer().isLook()).isPresent() && !hasAnotherLooked(due, person);
        Step step = isTakenBack ? due.life().tookBack(now) : due.life().looked(answer, time);
        Reading reading = supply.reading(due.cabinetId(), now);
        // Whoever could not see it and can now has not tapped wrong; nor has whoever adds the code to what they said.
        OptionalLong corrects = before.filter(said -> said.answer().isLook() && !(atCabinet && said.answer() == answer && note.isEmpty()))
                .map(said -> OptionalLong.of(said.id())).orElseGet(OptionalLong::empty);
        long record = book.add(due, OptionalLong.of(person.personId()), answer, time, step.isCounted(), corrects, note, reading, atCabinet, phoneAnswer);
        photo.ifPresent(it -> book.addPhoto(due, record, it, now));
        Entry entry = entry(due, "check-recorded", now).with("person", person.reference()).with("answer", answer.name()).with("looked-at", time.at())
                .with("counted", step.isCounted()).with("received-late", time.isReceivedLate()).with("supply", reading.name()).with("at-cabinet", atCabinet)
                .with("phone-clock-wrong-by", time.clockWrongBy().map(Duration::toString)).with("photo-sha256", photo.map(Photo::sha256));
        journal.append(corrects.isPresent() ? entry.with("corrects", true) : entry);
        store(due, step, now);
        carryOut(due, cabinet, plan(due), step, time.at(), now);
        if (answer.isLook() && step.isCounted()) {
            // It may be that of the day before: somebody has looked now.
            endMissed(due, time.at(), now);
        }
    }

    /** Empty for a look that somebody took at the label: nobody was asked. */
    private Optional<CheckPlanSheet> plan(Due due) {
        return due.planId().isPresent() ? plans.find(due.planId().getAsLong()) : Optional.empty();
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
    private void carryOut(Due due, CabinetSheet cabinet, Optional<CheckPlanSheet> plan, Step step, Instant at, Instant now) {
        OptionalLong cabinetId = OptionalLong.of(due.cabinetId());
        for (Decision decision : step.decisions()) {
            switch (decision) {
                case ASK -> ask(List.of(new Opening(due, cabinet, plan.orElseThrow(), step)), now);
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

    /** A letter to one reader. */
    private record Asking(Opening of, Contact reader) {
    }

    /** Whom to ask is looked up once for all that ask the same at the same site. */
    private record WhomAt(Whom whom, long siteId) {
    }

    private void ask(List<Opening> all, Instant now) {
        Map<WhomAt, List<Contact>> asked = asked(all.stream().map(CheckKeeper::whom).collect(Collectors.toSet()), now);
        List<Asking> letters = new ArrayList<>();
        all.forEach(each -> asked.get(whom(each)).forEach(reader -> letters.add(new Asking(each, reader))));
        Set<Long> reachable = outbox.tellAll(letters.stream().map(letter -> message(letter, now)).toList());
        book.asked(letters.stream().map(letter -> new Asked(letter.of().due().id(), letter.reader().personId(), reachable.contains(letter.reader().personId())))
                .toList(), now);
        Set<Long> told = letters.stream().filter(letter -> reachable.contains(letter.reader().personId())).map(letter -> letter.of().due().id())
                .collect(Collectors.toSet());
        all.stream().filter(each -> !told.contains(each.due().id())).forEach(each -> journal.append(entry(each.due(), "check-asked-nobody", now)));
    }

    private NewMessage message(Asking asking, Instant now) {
        Due due = asking.of().due();
        CabinetSheet cabinet = asking.of().cabinet();
        Contact reader = asking.reader();
        String task = due.kind().task();
        Instant closes = due.life().due().closes();
        Instant end = due.life().due().missedAt().plus(LINK_AFTER_MISSED);
        String link = messages.address("c/" + tokens.issueForLook(due.id(), reader.personId(), end));
        var letter = CheckLetter.asking(cabinet, task, reader.name(), closes, !due.isUntouched(), due.isExtra(), link, now);
        return new NewMessage(Purpose.LOOK, OptionalLong.empty(), OptionalLong.empty(), reader.personId(), "", letter.subject(), letter.body(),
                Optional.of(shortMessages.ofLook(CheckLetter.briefly(cabinet, task, closes, now), due.kind() == CheckKind.LAMP, due.id(), reader,
                        end)), now);
    }

    /** Whom this plan asks at a moment, as the rota is now. */
    List<Contact> asked(CheckPlanSheet plan, boolean bySomebodyElse, Instant at) {
        WhomAt whom = new WhomAt(whom(plan, bySomebodyElse), plan.siteId());
        return asked(Set.of(whom), at).get(whom);
    }

    private static WhomAt whom(Opening of) {
        return new WhomAt(whom(of.plan(), of.due().life().due().bySomebodyElse()), of.due().siteId());
    }

    private static Whom whom(CheckPlanSheet plan, boolean bySomebodyElse) {
        return bySomebodyElse ? plan.askedWhenClosed().orElse(plan.asked()) : plan.asked();
    }

    /** Whoever is named; where that person is away or erased, whoever looks after the site. In the order of telling. */
    private Map<WhomAt, List<Contact>> asked(Set<WhomAt> all, Instant now) {
        Set<Long> named = all.stream().flatMap(at -> at.whom() instanceof Whom.Person person ? Stream.of(person.personId()) : Stream.empty()).collect(Collectors.toSet());
        Set<Long> away = duties.absences(named).stream().filter(absence -> !now.isBefore(absence.from()) && now.isBefore(absence.until())).map(Absence::personId)
                .collect(Collectors.toSet());
        Map<WhomAt, List<Long>> ids = new HashMap<>();
        Map<DutyRole, List<WhomAt>> onDuty = new EnumMap<>(DutyRole.class);
        for (WhomAt at : all) {
            if (at.whom() instanceof Whom.Person person && !away.contains(person.personId())) {
                ids.put(at, List.of(person.personId()));
            } else {
                onDuty.computeIfAbsent(at.whom() instanceof Whom.OnDutyFor duty ? duty.role() : DutyRole.SITE_DUTY, role -> new ArrayList<>()).add(at);
            }
        }
        onDuty.forEach((role, of) -> {
            Map<Long, List<Long>> bySite = people.onDuty(of.stream().map(WhomAt::siteId).collect(Collectors.toSet()), role, now);
            of.forEach(at -> ids.put(at, bySite.get(at.siteId())));
        });
        Map<Long, Contact> contacts = people.contacts(ids.values().stream().flatMap(List::stream).collect(Collectors.toSet()));
        Map<WhomAt, List<Contact>> asked = new HashMap<>();
        ids.forEach((at, of) -> asked.put(at, of.stream().distinct().filter(contacts::containsKey).map(contacts::get).toList()));
        return asked;
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
        Entry entry = Entry.of(now, kind).site(due.siteId()).cabinet(due.cabinetId()).with("look", due.id()).with("looks-at", due.kind().name());
        return due.isFromLabel() ? entry.with("from", "label") : entry;
    }
}
