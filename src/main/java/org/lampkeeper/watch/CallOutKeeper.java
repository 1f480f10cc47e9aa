package org.lampkeeper.watch;

import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Collection;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.alarm.AlarmEvent;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.alarm.Grouping;
import org.lampkeeper.alarm.Grouping.Origin;
import org.lampkeeper.alarm.Outcome;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Climb;
import org.lampkeeper.callout.Climb.Step;
import org.lampkeeper.callout.Climb.Upcoming;
import org.lampkeeper.callout.ClimbRules;
import org.lampkeeper.callout.Decision;
import org.lampkeeper.callout.Fact;
import org.lampkeeper.callout.Merging;
import org.lampkeeper.callout.Phase;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.watch.Letters.Scene;

/**
 * Carries out what {@link Climb} decides about call-outs: stores where each stands, tells people, sets the next deadline. Called holding
 * the site's lock.
 */
@ApplicationScoped
class CallOutKeeper {

    private static final Set<AlarmState> OPEN = EnumSet.complementOf(EnumSet.of(AlarmState.NORMAL));

    private final CallOutBook book;
    private final Alarms alarms;
    private final CallOutLists lists;
    private final Register register;
    private final SitePeople sitePeople;
    private final People people;
    private final Deadlines deadlines;
    private final Letters letters;
    private final WarmthBook warmth;
    private final PersonChannels channels;
    private final Journal journal;
    private final WatchConfig config;

    CallOutKeeper(CallOutBook book, Alarms alarms, CallOutLists lists, Register register, SitePeople sitePeople, People people, Deadlines deadlines,
            Letters letters, WarmthBook warmth, PersonChannels channels, Journal journal, WatchConfig config) {
        this.book = book;
        this.alarms = alarms;
        this.lists = lists;
        this.register = register;
        this.sitePeople = sitePeople;
        this.people = people;
        this.deadlines = deadlines;
        this.letters = letters;
        this.warmth = warmth;
        this.channels = channels;
        this.journal = journal;
        this.config = config;
    }

    /** Makes an unacknowledged alarm reach people: in the call-out it belongs to, or in one of its own. */
    void startOrResume(AlarmRecord alarm, Outlooks outlooks, Instant now) {
        Optional<CallOutRecord> own = callOutOf(alarm);
        if (own.isPresent() && !own.get().isEnded()) {
            if (own.get().phase() != Phase.RESTING) {
                // Others keep it going, and nobody would hear of this one again: it stands behind what everybody was told of.
                alarm.joins(own.get());
            }
            tellOfItSoon(own.get(), now);
            return;
        }
        Optional<CallOutRecord> whole = siteWideCallOut(alarm);
        if (whole.isPresent()) {
            joinsWhole(alarm, whole.get(), now);
            return;
        }
        Optional<Origin> origin = origin(alarm);
        Optional<CallOutRecord> together = origin.flatMap(it -> lostTogether(alarm.siteId(), it, now));
        if (together.isPresent()) {
            joins(alarm, together.get(), now);
            together.get().lost(origin.orElseThrow(), now);
            tellOfItSoon(together.get(), now);
            return;
        }
        CallOutRecord opened = new CallOutRecord(alarm.siteId(), now);
        book.persist(opened);
        alarm.joins(opened);
        origin.ifPresent(it -> opened.lost(it, now));
        journal.append(AlarmKeeper.entry(alarm, "call-out-opened", now).with("call-out", opened.id()));
        alarms.flush();
        apply(opened, new Fact.Needed(), outlooks, now);
    }

    private void joins(AlarmRecord alarm, CallOutRecord callOut, Instant now) {
        alarm.joins(callOut);
        journal.append(AlarmKeeper.entry(alarm, "alarm-joined-call-out", now).with("call-out", callOut.id()));
    }

    /** Whoever is told of a whole site is told of each of its sensors; whoever has taken it before was not told of this one. */
    private void joinsWhole(AlarmRecord alarm, CallOutRecord whole, Instant now) {
        joins(alarm, whole, now);
        if (!whole.phase().isCalling()) {
            tellOfItSoon(whole, now);
        }
    }

    /** Those who were told already hear of what has joined in one message a while later; nobody is told twice of the same place. */
    private void tellOfItSoon(CallOutRecord callOut, Instant now) {
        if (callOut.phase() == Phase.RESTING) {
            alarms.flush();
            apply(callOut, new Fact.Needed(), now);
            return;
        }
        Merging before = callOut.merging();
        Merging next = before.joined(now);
        if (!next.equals(before)) {
            callOut.become(next);
            deadlines.add(DeadlineKind.MERGE, callOut.id(), next.merges(), next.dueAt().orElseThrow());
        }
    }

    /** It is time to tell of what has joined. Where somebody has all of it by now, they were told when they took it. */
    void mergeDue(CallOutRecord callOut, Instant now) {
        callOut.become(callOut.merging().done(now));
        if (alarms.anyOfCallOut(callOut.id(), Set.of(AlarmState.UNACKNOWLEDGED), 0)) {
            apply(callOut, new Fact.MoreJoined(), now);
        }
        book.flush();
    }

    private Optional<Origin> origin(AlarmRecord alarm) {
        return alarm.kind() == AlarmKind.SUPPLY_LOST && alarm.cabinetId().isPresent()
                ? register.findSheet(alarm.cabinetId().getAsLong()).map(sheet -> new Origin(sheet.board().id(), sheet.board().siteId()))
                : Optional.empty();
    }

    private Optional<CallOutRecord> lostTogether(long siteId, Origin origin, Instant now) {
        List<CallOutRecord> open = book.joinable(siteId, now.minus(config.togetherWithin()));
        return Grouping.joined(origin, open.stream().map(each -> new Grouping.Open(each.id(), each.joinedAt().orElseThrow(), each.shared())).toList(),
                config.togetherWithin(), now).flatMap(found -> open.stream().filter(each -> each.id() == found.callOutId()).findFirst());
    }

    /** A probable loss of a whole site takes over the call-outs of its single sensors: one call-out, and nobody is called twice. */
    void gather(AlarmRecord siteAlarm, Instant now) {
        CallOutRecord whole = callOutOf(siteAlarm).orElse(null);
        if (whole == null || whole.isEnded()) {
            return;
        }
        for (AlarmRecord single : alarms.openAt(siteAlarm.siteId(), AlarmKind.NOT_HEARD)) {
            Optional<CallOutRecord> its = callOutOf(single);
            if (its.isEmpty() || its.get().id() == whole.id() || its.get().isEnded()) {
                continue;
            }
            apply(its.get(), new Fact.Over(), now);
            joinsWhole(single, whole, now);
        }
        alarms.flush();
    }

    /**
     * Takes in what happened to a call-out: stores what becomes of it, with its next deadline, and carries out what is decided.
     *
     * @return what became of it; refused where somebody asked for what cannot be
     */
    Step apply(CallOutRecord callOut, Fact fact, Instant now) {
        return apply(callOut, fact, Outlooks.at(warmth, now), now);
    }

    private Step apply(CallOutRecord callOut, Fact fact, Outlooks outlooks, Instant now) {
        Climb before = callOut.climb();
        Step step = before.on(fact, rules(callOut, outlooks, now), now);
        if (!step.next().equals(before)) {
            callOut.become(step.next(), now);
            book.flush();
            step.next().nextAt().ifPresent(at -> deadlines.add(DeadlineKind.CALL_OUT, callOut.id(), callOut.version(), at));
        }
        carryOut(callOut, step, outlooks, now);
        return step;
    }

    /** Why nothing would come of this; empty where something would, or where it is so already. */
    Optional<String> wouldRefuse(CallOutRecord callOut, Fact fact, Instant now) {
        return callOut.climb().on(fact, rules(callOut, Outlooks.at(warmth, now), now), now).refused();
    }

    /** Whether a person has passed it on since they were last told of it. */
    boolean hasPassedOn(CallOutRecord callOut, long personId) {
        return letters.hasPassedOn(callOut, personId);
    }

    /** What a person was told of it so far, they have passed on. */
    void passesOn(CallOutRecord callOut, long personId) {
        letters.passesOn(callOut, personId);
    }

    /** Somebody could not be told: the next need not wait for them. */
    void notReached(CallOutRecord callOut, OptionalLong personId, Instant now) {
        apply(callOut, new Fact.NotReached(personId, !letters.hasReachedAnybody(callOut)), now);
    }

    private void carryOut(CallOutRecord callOut, Step step, Outlooks outlooks, Instant now) {
        List<AlarmRecord> open = step.decisions().isEmpty() ? List.of() : openAlarmsOf(callOut);
        if (open.isEmpty()) {
            return;
        }
        AlarmRecord leading = open.get(0);
        Scene scene = letters.scene(open, outlooks, now);
        Set<Long> toldNow = new HashSet<>();
        for (Decision decision : step.decisions()) {
            if (decision instanceof Decision.Tell tell) {
                boolean isReached = tell(callOut, scene, resolved(tell.whom(), leading, callOut, now), toldNow, now);
                if (!isReached) {
                    notReached(callOut, OptionalLong.empty(), now);
                }
            } else if (decision instanceof Decision.TellEverybody) {
                journal.append(AlarmKeeper.entry(leading, "last-resort-told", now).with("call-out", callOut.id()));
                boolean isReached = tell(callOut, scene, sitePeople.everybody(callOut.siteId(), now), toldNow, now);
                if (!isReached) {
                    nobodyToTell(callOut, leading, now);
                }
            } else if (decision instanceof Decision.TellAgain) {
                toldNow.addAll(letters.tellAgain(scene, callOut));
            } else if (decision instanceof Decision.TellMore) {
                letters.tellMore(scene, callOut, upcoming(callOut));
            } else if (decision instanceof Decision.TellMoreFirst first) {
                letters.tellMoreTo(scene, callOut, people.contact(first.personId()), upcoming(callOut));
            } else if (decision instanceof Decision.NobodyToTell) {
                nobodyToTell(callOut, leading, now);
            } else if (decision instanceof Decision.TellTaken taken) {
                letters.tellTaken(scene, callOut, taken.personId(), step.next().taking().flatMap(Climb.Taking::promised));
                letters.tellTakerOfTheRest(scene, callOut, people.contact(taken.personId()));
                // Whoever took it knows of all there is, also where nobody was told before: what joins from now on is told of.
                callOut.become(callOut.merging().told(now));
            } else if (decision instanceof Decision.Ask ask) {
                Instant until = step.next().asked().orElseThrow().until();
                if (!letters.ask(scene, callOut, ask.holderId(), ask.personId(), until)) {
                    notReached(callOut, OptionalLong.of(ask.personId()), now);
                }
            } else if (decision instanceof Decision.TellStillYours still) {
                journal.append(AlarmKeeper.entry(leading, "alarm-not-taken-over", now).with("person", reference(still.askedId()))
                        .with("why", still.why().name()));
                letters.tellStillYours(scene, callOut, still);
            } else if (decision instanceof Decision.CallAgain again) {
                callAgain(callOut, scene, again, toldNow, now);
            } else {
                throw new IllegalStateException("decision without a rule: " + decision);
            }
        }
    }

    /** Its alarms are unacknowledged again; whoever had it hears so first, for they know most of it. */
    private void callAgain(CallOutRecord callOut, Scene scene, Decision.CallAgain again, Set<Long> toldNow, Instant now) {
        for (AlarmRecord alarm : scene.alarms()) {
            if (alarm.life().state() == AlarmState.ACKNOWLEDGED
                    && alarm.life().on(new AlarmEvent.Occurred()) instanceof Outcome.Changed changed) {
                alarm.become(changed.next(), now);
                alarm.needsSomebodyAgain();
                journal.append(AlarmKeeper.entry(alarm, "alarm-called-again", now).with("person", reference(again.personId()))
                        .with("why", again.reason().name()));
            }
        }
        alarms.flush();
        if (again.reason() != Decision.Reason.GIVEN_BACK) {
            tell(callOut, scene, sitePeople.inOrder(List.of(again.personId())), toldNow, now);
        } else {
            toldNow.add(again.personId());
        }
    }

    /** Whether anybody is told now or was just before in the same step. */
    private boolean tell(CallOutRecord callOut, Scene scene, List<Contact> readers, Set<Long> toldNow, Instant now) {
        boolean isReached = false;
        Optional<Letters.Ahead> ahead = upcoming(callOut);
        for (Contact reader : readers) {
            if (toldNow.contains(reader.personId())) {
                isReached = true;
            } else if (letters.tell(scene, callOut, reader, ahead)) {
                toldNow.add(reader.personId());
                isReached = true;
            }
        }
        if (isReached) {
            callOut.become(callOut.merging().told(now));
        }
        return isReached;
    }

    private List<Contact> resolved(List<Whom> whom, AlarmRecord leading, CallOutRecord callOut, Instant now) {
        List<Long> ids = new ArrayList<>();
        for (Whom each : whom) {
            List<Long> who = sitePeople.whoIs(each, callOut.siteId(), now);
            if (who.isEmpty() && each instanceof Whom.OnDutyFor duty) {
                journal.append(AlarmKeeper.entry(leading, "nobody-on-duty", now).with("duty", duty.role().name()));
            }
            who.stream().filter(id -> !ids.contains(id)).forEach(ids::add);
        }
        return sitePeople.inOrder(ids);
    }

    private void nobodyToTell(CallOutRecord callOut, AlarmRecord leading, Instant now) {
        journal.append(AlarmKeeper.entry(leading, "nobody-to-tell", now).with("call-out", callOut.id()));
    }

    /** Who is told after this, and when, as far as that is known now. */
    private Optional<Letters.Ahead> upcoming(CallOutRecord callOut) {
        Climb climb = callOut.climb();
        return climb.upcoming(lists.ofSite(callOut.siteId())).flatMap(upcoming -> climb.nextAt().map(at -> {
            List<Contact> who = upcoming instanceof Upcoming.NextTurn turn
                    ? sitePeople.inOrder(sitePeople.whoIs(turn.whom(), callOut.siteId(), at)) : List.of();
            return new Letters.Ahead(upcoming, who, at);
        }));
    }

    /** Nobody who has no proven channel is waited for, nor is a turn with nobody in it; how long there is says the forecast of this moment. */
    private ClimbRules rules(CallOutRecord callOut, Outlooks asked, Instant now) {
        long siteId = callOut.siteId();
        CallOutList list = lists.ofSite(siteId);
        Map<Whom, List<Long>> who = new HashMap<>();
        list.turns().forEach(turn -> who.computeIfAbsent(turn.whom(), whom -> sitePeople.whoIs(whom, siteId, now)));
        Set<Long> proven = channels.provenAmong(who.values().stream().flatMap(List::stream).collect(Collectors.toSet()));
        Collection<ContentOutlook> outlooks = outlooks(callOut, asked);
        ClimbRules rules = new ClimbRules(list, config.callAgainAfter(), config.handOnWithin(),
                outlooks.stream().flatMap(each -> each.pastAt().stream()).min(Instant::compareTo))
                .waitingOnlyFor(whom -> who.get(whom).stream().anyMatch(proven::contains));
        boolean mayTakeTime = !outlooks.isEmpty() && outlooks.stream().allMatch(each -> each.mayTakeTime(now));
        return mayTakeTime ? rules.takingTime() : rules;
    }

    /** Of all that it is about, where each of its open alarms is a supply that is lost or a heater that is off; nothing else says how long there is. */
    private Collection<ContentOutlook> outlooks(CallOutRecord callOut, Outlooks asked) {
        List<AlarmRecord> open = openAlarmsOf(callOut).stream().filter(alarm -> alarm.life().live()).toList();
        Set<Long> unheated = open.stream().filter(alarm -> alarm.kind().leavesUnheated()).map(alarm -> alarm.cabinetId().orElseThrow())
                .collect(Collectors.toSet());
        Map<Long, ContentOutlook> outlooks = asked.of(unheated);
        // Of anything else in it nobody has chosen that it may wait.
        return outlooks.size() == unheated.size() && open.stream().allMatch(alarm -> alarm.kind().leavesUnheated()) ? outlooks.values()
                : outlooks.values().stream().map(ContentOutlook::withoutTime).toList();
    }

    /** How long there is may be another by now: the next is told sooner, or whoever has it is called again sooner. */
    void forecastAnew(CallOutRecord callOut, Instant now) {
        apply(callOut, new Fact.ForecastMade(), now);
    }

    /** One of its alarms is over for now: rest when none of them is live, end when none is open, and say so to those who were told. */
    void conditionReturned(AlarmRecord alarm, Instant now) {
        Optional<CallOutRecord> own = callOutOf(alarm);
        if (own.isEmpty() || own.get().isEnded()) {
            return;
        }
        CallOutRecord callOut = own.get();
        if (!alarms.anyLiveOfCallOut(callOut.id())) {
            letters.tellReturned(alarm, callOut, (int) alarms.count("callOutId", callOut.id()), now);
        }
        restUnlessNeeded(callOut, 0, now);
        endIfNothingIsOpen(callOut, now);
    }

    /** Nobody further is told where no alarm but {@code except} waits for somebody; one that somebody has keeps its time ahead. */
    private void restUnlessNeeded(CallOutRecord callOut, long except, Instant now) {
        boolean isTaken = callOut.phase().isTaken();
        if (alarms.anyOfCallOut(callOut.id(), isTaken ? Set.of(AlarmState.UNACKNOWLEDGED, AlarmState.ACKNOWLEDGED) : Set.of(AlarmState.UNACKNOWLEDGED), except)) {
            return;
        }
        // What had joined it is over before anybody took that too: it is with whoever had it before.
        OptionalLong holder = isTaken ? OptionalLong.empty() : alarms.holderInCallOut(callOut.id(), except);
        apply(callOut, holder.isPresent() ? new Fact.Taken(holder.getAsLong(), Optional.empty()) : new Fact.NotNeeded(), now);
    }

    /** An alarm ended with its sensor: nobody further is told of it, and those who were told hear why. */
    void sensorRetired(AlarmRecord alarm, By by) {
        pause(alarm, by.at());
        callOutOf(alarm).filter(callOut -> !callOut.isEnded()).ifPresent(callOut -> {
            letters.tellSensorRetired(alarm, callOut, by);
            endIfNothingIsOpen(callOut, by.at());
        });
    }

    /** The last of its alarms may have been closed by an acknowledgement. */
    void endIfNothingIsOpen(CallOutRecord callOut, Instant now) {
        if (!callOut.isEnded() && !alarms.anyOfCallOut(callOut.id(), OPEN, 0)) {
            apply(callOut, new Fact.Over(), now);
            journal.append(Entry.of(now, "call-out-ended").site(callOut.siteId()).with("call-out", callOut.id()));
        }
    }

    /** The alarm is held back: nobody further is told of it, unless another alarm of the same call-out still needs somebody. */
    void pause(AlarmRecord alarm, Instant now) {
        callOutOf(alarm).ifPresent(callOut -> {
            alarms.flush();
            restUnlessNeeded(callOut, alarm.id(), now);
        });
    }

    /** Somebody is there, whoever it is; a visit of another from before it was taken keeps no promise that was made since. */
    void arrived(AlarmRecord alarm, Instant arrival, long writtenBy, Instant now) {
        callOutOf(alarm)
                .filter(callOut -> callOut.takenBy().stream().anyMatch(holder -> holder == writtenBy)
                        || callOut.takenAt().filter(taken -> arrival.isBefore(taken.truncatedTo(ChronoUnit.MINUTES))).isEmpty())
                .ifPresent(callOut -> apply(callOut, new Fact.Arrived(), now));
    }

    /** Whoever has it takes what has joined too, and hears of those of it that no message had named. */
    void takesMore(CallOutRecord callOut, long holder, Instant now) {
        List<AlarmRecord> open = openAlarmsOf(callOut);
        if (!open.isEmpty()) {
            letters.tellTakerOfTheRest(letters.scene(open, Outlooks.at(warmth, now), now), callOut, people.contact(holder));
        }
    }

    Optional<CallOutRecord> callOutOf(AlarmRecord alarm) {
        OptionalLong id = alarm.callOutId();
        return id.isPresent() ? book.findByIdOptional(id.getAsLong()) : Optional.empty();
    }

    List<AlarmRecord> openAlarmsOf(CallOutRecord callOut) {
        return alarms.openOfCallOut(callOut.id());
    }

    private String reference(long personId) {
        return people.contact(personId).reference();
    }

    private Optional<CallOutRecord> siteWideCallOut(AlarmRecord alarm) {
        if (alarm.kind() != AlarmKind.NOT_HEARD) {
            return Optional.empty();
        }
        return alarms.open(AlarmKind.PROBABLE_SITE_LOSS, alarm.siteId(), OptionalLong.empty())
                .flatMap(this::callOutOf).filter(callOut -> !callOut.isEnded());
    }
}
