package org.lampkeeper.watch;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.callout.Climb.Upcoming;
import org.lampkeeper.callout.Decision.TellStillYours;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.AlarmLetter;
import org.lampkeeper.message.Letter;
import org.lampkeeper.message.LetterFacts;
import org.lampkeeper.message.LetterFacts.About;
import org.lampkeeper.message.LetterFacts.Inside;
import org.lampkeeper.message.LetterFacts.Next;
import org.lampkeeper.message.LetterFacts.OfCabinet;
import org.lampkeeper.message.LetterFacts.OfInstallation;
import org.lampkeeper.message.LetterFacts.OfSite;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Rows;
import org.lampkeeper.telemetry.Subscriber;

/** Gathers what a message has to say at this moment and puts it into the outbox, in the transaction that decided it. */
@ApplicationScoped
class Letters {

    private static final String TOLD_BY_CALL_OUT = """
            SELECT person_id, MIN(id) FROM outgoing_message
             WHERE call_out_id = :callOut AND purpose = 'ALARM' GROUP BY person_id ORDER BY MIN(id)""";

    /** By outgoing_message_by_call_out. */
    private static final String REACHED = """
            SELECT id FROM outgoing_message WHERE call_out_id = :callOut AND purpose = 'ALARM' AND state <> 'UNDELIVERED' LIMIT 1""";

    private static final String INSIDE = """
            SELECT inside_c, observed_at FROM sensor_status WHERE cabinet_id = :cabinet AND inside_c IS NOT NULL""";

    private final EntityManager entities;
    private final Register register;
    private final People people;
    private final AdviceBook advice;
    private final Outbox outbox;
    private final LinkTokens tokens;
    private final MessageConfig messages;
    private final Journal journal;
    private final Subscriber subscriber;
    private final WatchConfig config;

    Letters(EntityManager entities, Register register, People people, AdviceBook advice, Outbox outbox, LinkTokens tokens,
            MessageConfig messages, Journal journal, Subscriber subscriber, WatchConfig config) {
        this.entities = entities;
        this.register = register;
        this.people = people;
        this.advice = advice;
        this.outbox = outbox;
        this.tokens = tokens;
        this.messages = messages;
        this.journal = journal;
        this.subscriber = subscriber;
        this.config = config;
    }

    /**
     * Who is told after somebody.
     *
     * @param who those behind a turn at that time; nobody for everybody of the site, and where nobody is on duty
     */
    record Ahead(Upcoming upcoming, List<Contact> who, Instant at) {
        Ahead {
            who = List.copyOf(who);
        }

        private Next forReader(long personId) {
            boolean isReader = who.stream().anyMatch(each -> each.personId() == personId);
            return new Next(named(), at, isReader && who.size() == 1);
        }

        private String named() {
            if (!who.isEmpty()) {
                return who.stream().map(Contact::name).collect(Collectors.joining(" and "));
            }
            return upcoming instanceof Upcoming.Everybody ? "Everybody of the site" : "Whoever is on duty then";
        }
    }

    /**
     * Tells a person of the first of {@code alarms}, which speaks for the others; false where the person has no way to be told, which is
     * written down.
     */
    boolean tell(List<AlarmRecord> alarms, CallOutRecord callOut, Contact reader, Optional<Ahead> ahead, Instant now) {
        AlarmRecord alarm = alarms.get(0);
        LetterFacts facts = facts(alarm, callOut, reader, ahead.map(it -> it.forReader(reader.personId())), now);
        return put(Purpose.ALARM, AlarmLetter.compose(facts), alarm, callOut, reader, now);
    }

    /** Everybody who was told before hears that the condition is there again; who could be told. */
    List<Long> tellAgain(AlarmRecord alarm, CallOutRecord callOut, Instant now) {
        List<Long> told = new ArrayList<>();
        for (long personId : toldBy(callOut)) {
            Contact reader = people.contact(personId);
            if (put(Purpose.ALARM, AlarmLetter.compose(facts(alarm, callOut, reader, Optional.empty(), now)), alarm, callOut, reader, now)) {
                told.add(personId);
            }
        }
        return told;
    }

    /** The others who were told hear who has it, and when they will be there, as far as they said. */
    void tellTaken(AlarmRecord alarm, CallOutRecord callOut, long takenBy, Optional<Instant> arrival, Instant now) {
        String name = people.contact(takenBy).name();
        for (long personId : toldBy(callOut)) {
            if (personId != takenBy) {
                Contact reader = people.contact(personId);
                put(Purpose.NOTICE, AlarmLetter.taken(facts(alarm, callOut, reader, Optional.empty(), now), name, now, arrival), alarm,
                        callOut, reader, now);
            }
        }
    }

    /** Asks somebody to take it over until then; false where they have no way to be told. A notice: it is taken already, and is sent all the same. */
    boolean ask(AlarmRecord alarm, CallOutRecord callOut, long holderId, long personId, Instant until, Instant now) {
        Contact reader = people.contact(personId);
        return put(Purpose.NOTICE, AlarmLetter.askedToTakeOver(facts(alarm, callOut, reader, Optional.empty(), now),
                people.contact(holderId).name(), until), alarm, callOut, reader, now);
    }

    /** Who has it hears that the other does not take it over. */
    void tellStillYours(AlarmRecord alarm, CallOutRecord callOut, TellStillYours still, Instant now) {
        Contact reader = people.contact(still.holderId());
        put(Purpose.NOTICE, AlarmLetter.stillYours(facts(alarm, callOut, reader, Optional.empty(), now), people.contact(still.askedId()).name(),
                still.why()), alarm, callOut, reader, now);
    }

    /** Whether a message about this call-out is under way to anybody or has been handed over. */
    boolean hasReachedAnybody(CallOutRecord callOut) {
        return !entities.createNativeQuery(REACHED).setParameter("callOut", callOut.id()).getResultList().isEmpty();
    }

    /** Everybody who was told hears that the condition is gone. */
    void tellReturned(AlarmRecord alarm, CallOutRecord callOut, Instant now) {
        Optional<String> takenBy = callOut.takenBy().isPresent() ? people.find(callOut.takenBy().getAsLong()).map(Contact::name)
                : Optional.empty();
        for (long personId : toldBy(callOut)) {
            Contact reader = people.contact(personId);
            put(Purpose.NOTICE, AlarmLetter.returned(facts(alarm, callOut, reader, Optional.empty(), now),
                    alarm.returnedAt().orElse(now), takenBy), alarm, callOut, reader, now);
        }
    }

    /** Everybody who was told hears that nothing will say any more whether the condition is there. */
    void tellSensorRetired(AlarmRecord alarm, CallOutRecord callOut, By by) {
        Optional<String> who = by.personId().isPresent() ? people.find(by.personId().getAsLong()).map(Contact::name) : Optional.empty();
        for (long personId : toldBy(callOut)) {
            Contact reader = people.contact(personId);
            put(Purpose.NOTICE, AlarmLetter.sensorRetired(facts(alarm, callOut, reader, Optional.empty(), by.at()), who), alarm, callOut,
                    reader, by.at());
        }
    }

    private boolean put(Purpose purpose, Letter letter, AlarmRecord alarm, CallOutRecord callOut, Contact reader, Instant now) {
        boolean isTold = outbox.tell(new NewMessage(purpose, OptionalLong.of(callOut.id()), OptionalLong.of(alarm.id()), reader.personId(), "",
                letter.subject(), letter.body(), letter.brief(), now));
        if (!isTold) {
            journal.append(AlarmKeeper.entry(alarm, "person-not-reachable", now).with("person", reader.reference())
                    .with("reason", "no channel"));
        }
        return isTold;
    }

    private LetterFacts facts(AlarmRecord alarm, CallOutRecord callOut, Contact reader, Optional<Next> next, Instant now) {
        String token = tokens.issue(alarm.id(), reader.personId(), now.plus(config.linkLife()));
        List<String> others = new ArrayList<>();
        List<Long> told = toldBy(callOut);
        Map<Long, Contact> names = people.find(told);
        for (long personId : told) {
            if (personId != reader.personId() && names.containsKey(personId)) {
                others.add(names.get(personId).name());
            }
        }
        List<CabinetSheet> ofSite = alarm.kind().scope() == Scope.INSTALLATION ? List.of() : register.sheetsOfSite(alarm.siteId());
        About about = about(alarm, ofSite);
        return new LetterFacts(alarm.kind(), about, alarm.since(), now, inside(alarm), adviceFor(alarm.kind(), about, ofSite, now), others,
                next, linkTo(token), journal.head());
    }

    /** The base may have a path of its own, where a proxy serves several things under one name. */
    private String linkTo(String token) {
        String base = messages.baseUrl().toString();
        return (base.endsWith("/") ? base : base + "/") + "a/" + token;
    }

    private About about(AlarmRecord alarm, List<CabinetSheet> ofSite) {
        return switch (alarm.kind().scope()) {
            case CABINET -> new OfCabinet(ofSite.stream().filter(sheet -> sheet.cabinetId() == alarm.cabinetId().orElseThrow())
                    .findFirst().orElseThrow());
            case SITE -> new OfSite(register.site(alarm.siteId()).orElseThrow(), ofSite);
            case INSTALLATION -> new OfInstallation(config.operatorZone(), detail(alarm.kind()));
        };
    }

    private String detail(AlarmKind kind) {
        return switch (kind) {
            case NOT_LISTENING -> subscriber.troubles().values().stream().findFirst().map(trouble -> "Now: " + trouble + ".")
                    .orElse("It is connected to the broker again.");
            case MAIL_NOT_SENDING -> "The mail server does not take messages; they wait and go out by themselves when it does.";
            case BROKER_DROPPING -> "The broker's own count of dropped messages has grown: reports were lost. Look at its queue limits.";
            case SUPPLY_LOST, PROBABLE_SITE_LOSS, NOT_HEARD, UNSTEADY ->
                    throw new IllegalArgumentException(kind + " is not about the installation");
        };
    }

    private Optional<Inside> inside(AlarmRecord alarm) {
        if (alarm.cabinetId().isEmpty()) {
            return Optional.empty();
        }
        for (Object found : entities.createNativeQuery(INSIDE).setParameter("cabinet", alarm.cabinetId().getAsLong()).getResultList()) {
            Object[] row = (Object[]) found;
            return Optional.of(new Inside(((Number) row[0]).doubleValue(), Rows.instant(row[1])));
        }
        return Optional.empty();
    }

    private Optional<Advice> adviceFor(AlarmKind kind, About about, List<CabinetSheet> ofSite, Instant now) {
        return about instanceof OfCabinet of && kind != AlarmKind.UNSTEADY ? Optional.of(advice.advise(of.cabinet(), ofSite, now))
                : Optional.empty();
    }

    private List<Long> toldBy(CallOutRecord callOut) {
        List<Long> told = new ArrayList<>();
        for (Object found : entities.createNativeQuery(TOLD_BY_CALL_OUT).setParameter("callOut", callOut.id()).getResultList()) {
            told.add(Rows.number(((Object[]) found)[0]));
        }
        return told;
    }
}
