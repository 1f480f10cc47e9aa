package org.lampkeeper.watch;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.LostElsewhere;
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
import org.lampkeeper.message.LetterFacts.OnBoard;
import org.lampkeeper.message.LetterFacts.Outlook;
import org.lampkeeper.message.LetterFacts.Together;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.message.ShortMessages;
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

    private static final String TOLD_UP_TO = "SELECT up_to_place FROM call_out_told WHERE call_out_id = :callOut AND person_id = :person";

    private static final String RAISE_TOLD = "UPDATE call_out_told SET up_to_place = :place WHERE call_out_id = :callOut AND person_id = :person";

    private static final String ADD_TOLD = "INSERT INTO call_out_told (call_out_id, person_id, up_to_place) VALUES (:callOut, :person, :place)";

    /** By outgoing_message_by_call_out, as the next. */
    private static final String PASS_ON = """
            UPDATE call_out_told SET passed_on = (SELECT MAX(m.telling) FROM outgoing_message m
                WHERE m.call_out_id = :callOut AND m.person_id = :person AND m.purpose = 'ALARM')
             WHERE call_out_id = :callOut AND person_id = :person""";

    private static final String PASSED_ON = """
            SELECT t.person_id FROM call_out_told t
             WHERE t.call_out_id = :callOut AND t.person_id = :person
               AND t.passed_on = (SELECT MAX(m.telling) FROM outgoing_message m
                   WHERE m.call_out_id = :callOut AND m.person_id = :person AND m.purpose = 'ALARM')""";

    private static final String INSIDE = """
            SELECT inside_c, observed_at FROM sensor_status WHERE cabinet_id = :cabinet AND inside_c IS NOT NULL""";

    private final EntityManager entities;
    private final Register register;
    private final People people;
    private final AdviceBook advice;
    private final Elsewhere elsewhere;
    private final WarmthBook warmth;
    private final Outbox outbox;
    private final LinkTokens tokens;
    private final MessageConfig messages;
    private final ShortMessages shortly;
    private final Journal journal;
    private final Subscriber subscriber;
    private final WatchConfig config;

    Letters(EntityManager entities, Register register, People people, AdviceBook advice, Elsewhere elsewhere, WarmthBook warmth, Outbox outbox, LinkTokens tokens,
            MessageConfig messages, ShortMessages shortly, Journal journal, Subscriber subscriber, WatchConfig config) {
        this.entities = entities;
        this.register = register;
        this.people = people;
        this.advice = advice;
        this.elsewhere = elsewhere;
        this.warmth = warmth;
        this.outbox = outbox;
        this.tokens = tokens;
        this.messages = messages;
        this.shortly = shortly;
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
     * What is told of at this moment, gathered once for however many readers.
     *
     * @param alarms those that are open; the first speaks for the others
     */
    record Scene(List<AlarmRecord> alarms, List<CabinetSheet> ofSite, About about, Optional<Inside> inside, Optional<Advice> advice,
            List<LostElsewhere> elsewhere, Optional<Outlook> outlook, Instant now) {

        private AlarmRecord leading() {
            return alarms.get(0);
        }
    }

    Scene scene(List<AlarmRecord> alarms, Instant now) {
        return scene(alarms, Outlooks.at(warmth, now), now);
    }

    /** {@code outlooks}: what was asked for already while this was decided. */
    Scene scene(List<AlarmRecord> alarms, Outlooks outlooks, Instant now) {
        AlarmRecord leading = alarms.get(0);
        List<CabinetSheet> ofSite = leading.kind().scope() == Scope.INSTALLATION ? List.of() : register.sheetsOfSite(leading.siteId());
        About about = about(leading, ofSite);
        Set<Long> lost = alarms.stream().filter(Letters::isLoss).map(alarm -> alarm.cabinetId().orElseThrow()).collect(Collectors.toSet());
        return new Scene(alarms, ofSite, about, inside(leading), adviceFor(leading.kind(), about, ofSite, now),
                elsewhere.besides(leading.siteId(), ofSite.stream().filter(sheet -> lost.contains(sheet.cabinetId())).toList()),
                outlook(alarms, lost, ofSite, outlooks, now), now);
    }

    /** Tells a person of what is open; false where the person has no way to be told, which is written down. */
    boolean tell(Scene scene, CallOutRecord callOut, Contact reader, Optional<Ahead> ahead) {
        LetterFacts facts = facts(scene, OptionalInt.empty(), callOut, reader, ahead.map(it -> it.forReader(reader.personId())));
        boolean isPut = put(Purpose.ALARM, AlarmLetter.compose(facts), scene.leading(), callOut, reader, scene.now());
        if (isPut) {
            hasToldOfAll(callOut, reader.personId());
        }
        return isPut;
    }

    /** Everybody who was told before hears that the condition is there again; who could be told. */
    List<Long> tellAgain(Scene scene, CallOutRecord callOut) {
        List<Long> told = new ArrayList<>();
        for (long personId : toldBy(callOut)) {
            if (tell(scene, callOut, people.contact(personId), Optional.empty())) {
                told.add(personId);
            }
        }
        return told;
    }

    /** Everybody who was told before hears what has joined since they were. */
    void tellMore(Scene scene, CallOutRecord callOut, Optional<Ahead> ahead) {
        for (long personId : toldBy(callOut)) {
            tellMoreTo(scene, callOut, people.contact(personId), ahead);
        }
    }

    /** The same for one; nothing where nothing has joined since they were told. */
    void tellMoreTo(Scene scene, CallOutRecord callOut, Contact reader, Optional<Ahead> ahead) {
        tellMore(scene, callOut, reader, Purpose.ALARM, toldUpTo(callOut, reader.personId()).orElse(0), ahead);
    }

    /**
     * Whoever takes it takes what has joined too: where a message told them of less, they hear of the rest. A page tells of all, and so does
     * a message about a whole site.
     */
    void tellTakerOfTheRest(Scene scene, CallOutRecord callOut, Contact taker) {
        if (scene.leading().kind() == AlarmKind.SUPPLY_LOST) {
            toldUpTo(callOut, taker.personId()).ifPresent(before -> tellMore(scene, callOut, taker, Purpose.NOTICE, before, Optional.empty()));
        }
        hasToldOfAll(callOut, taker.personId());
    }

    private void tellMore(Scene scene, CallOutRecord callOut, Contact reader, Purpose purpose, int before, Optional<Ahead> ahead) {
        if (scene.alarms().stream().noneMatch(alarm -> alarm.callOutPlace() > before && alarm.life().live() && isMember(alarm))) {
            return;
        }
        LetterFacts facts = facts(scene, OptionalInt.of(before), callOut, reader, ahead.map(it -> it.forReader(reader.personId())));
        if (put(purpose, AlarmLetter.more(facts), scene.leading(), callOut, reader, scene.now())) {
            hasToldOfAll(callOut, reader.personId());
        }
    }

    /** The others who were told hear who has it, and when they will be there, as far as they said. */
    void tellTaken(Scene scene, CallOutRecord callOut, long takenBy, Optional<Instant> arrival) {
        String name = people.contact(takenBy).name();
        for (long personId : toldBy(callOut)) {
            if (personId != takenBy) {
                Contact reader = people.contact(personId);
                put(Purpose.NOTICE, AlarmLetter.taken(facts(scene, OptionalInt.empty(), callOut, reader, Optional.empty()), name, scene.now(), arrival),
                        scene.leading(), callOut, reader, scene.now());
            }
        }
    }

    /** Asks somebody to take it over until then; false where they have no way to be told. A notice: it is taken already, and is sent all the same. */
    boolean ask(Scene scene, CallOutRecord callOut, long holderId, long personId, Instant until) {
        Contact reader = people.contact(personId);
        return put(Purpose.NOTICE, AlarmLetter.askedToTakeOver(facts(scene, OptionalInt.empty(), callOut, reader, Optional.empty()), people.contact(holderId).name(),
                until), scene.leading(), callOut, reader, scene.now());
    }

    /** Who has it hears that the other does not take it over. */
    void tellStillYours(Scene scene, CallOutRecord callOut, TellStillYours still) {
        Contact reader = people.contact(still.holderId());
        put(Purpose.NOTICE, AlarmLetter.stillYours(facts(scene, OptionalInt.empty(), callOut, reader, Optional.empty()), people.contact(still.askedId()).name(),
                still.why()), scene.leading(), callOut, reader, scene.now());
    }

    private static boolean isLoss(AlarmRecord alarm) {
        return alarm.kind() == AlarmKind.SUPPLY_LOST && alarm.cabinetId().isPresent();
    }

    /** One of several of a kind in one call-out: cabinets lost together, or sensors of a site that is probably lost as a whole. */
    private static boolean isMember(AlarmRecord alarm) {
        return isLoss(alarm) || (alarm.kind() == AlarmKind.NOT_HEARD && alarm.cabinetId().isPresent());
    }

    /** Nothing for a single loss in a first letter; {@code upTo}: of how many places the reader was told before, in a letter about more. */
    private Optional<Together> together(Scene scene, OptionalInt upTo) {
        List<AlarmRecord> losses = scene.alarms().stream().filter(upTo.isEmpty() ? Letters::isLoss : Letters::isMember).toList();
        if (losses.size() < 2 && upTo.isEmpty()) {
            return Optional.empty();
        }
        int before = upTo.orElse(-1);
        Map<Long, CabinetSheet> sheets = scene.ofSite().stream().collect(Collectors.toMap(CabinetSheet::cabinetId, sheet -> sheet));
        List<CabinetSheet> back = losses.stream().filter(alarm -> !alarm.life().live() && alarm.callOutPlace() > before)
                .map(alarm -> sheetOf(alarm, sheets)).toList();
        List<AlarmRecord> lost = losses.stream().filter(alarm -> alarm.life().live()).toList();
        return Optional.of(new Together(byBoard(lost, sheets), byBoard(lost.stream().filter(alarm -> alarm.callOutPlace() > before).toList(), sheets),
                back.stream().map(CabinetSheet::code).toList()));
    }

    private static CabinetSheet sheetOf(AlarmRecord alarm, Map<Long, CabinetSheet> sheets) {
        CabinetSheet sheet = sheets.get(alarm.cabinetId().orElseThrow());
        if (sheet == null) {
            throw new IllegalStateException("alarm " + alarm.id() + ": its cabinet is not in use at its site");
        }
        return sheet;
    }

    private static List<OnBoard> byBoard(List<AlarmRecord> alarms, Map<Long, CabinetSheet> sheets) {
        Map<Long, Long> all = sheets.values().stream().collect(Collectors.groupingBy(sheet -> sheet.board().id(), Collectors.counting()));
        Map<Long, List<CabinetSheet>> some = alarms.stream().map(alarm -> sheetOf(alarm, sheets))
                .collect(Collectors.groupingBy(sheet -> sheet.board().id(), LinkedHashMap::new, Collectors.toList()));
        return some.values().stream().map(onBoard -> new OnBoard(onBoard.get(0).board().name()
                + (onBoard.get(0).isFedFromAnotherSite() ? " of " + onBoard.get(0).board().siteName() : ""),
                onBoard.stream().map(CabinetSheet::code).toList(), all.get(onBoard.get(0).board().id()).intValue())).toList();
    }

    /** Of how many places of a call-out this person has been told; none for one who was not. */
    private OptionalInt toldUpTo(CallOutRecord callOut, long personId) {
        List<?> rows = entities.createNativeQuery(TOLD_UP_TO).setParameter("callOut", callOut.id()).setParameter("person", personId).getResultList();
        return rows.isEmpty() ? OptionalInt.empty() : OptionalInt.of((int) Rows.number(rows.get(0)));
    }

    private void hasToldOfAll(CallOutRecord callOut, long personId) {
        for (String sql : List.of(RAISE_TOLD, ADD_TOLD)) {
            int changed = entities.createNativeQuery(sql).setParameter("callOut", callOut.id()).setParameter("person", personId)
                    .setParameter("place", callOut.joined()).executeUpdate();
            if (changed > 0) {
                return;
            }
        }
    }

    /** Whether nothing was told to them of it since they passed it on. */
    boolean hasPassedOn(CallOutRecord callOut, long personId) {
        return !entities.createNativeQuery(PASSED_ON).setParameter("callOut", callOut.id()).setParameter("person", personId).getResultList().isEmpty();
    }

    void passesOn(CallOutRecord callOut, long personId) {
        entities.createNativeQuery(PASS_ON).setParameter("callOut", callOut.id()).setParameter("person", personId).executeUpdate();
    }

    /** Whether a message about this call-out is under way to anybody or has been handed over. */
    boolean hasReachedAnybody(CallOutRecord callOut) {
        return !entities.createNativeQuery(REACHED).setParameter("callOut", callOut.id()).getResultList().isEmpty();
    }

    /** Everybody who was told hears that the condition is gone. */
    void tellReturned(AlarmRecord alarm, CallOutRecord callOut, int together, Instant now) {
        Optional<String> takenBy = callOut.takenBy().isPresent() ? people.find(callOut.takenBy().getAsLong()).map(Contact::name)
                : Optional.empty();
        Scene scene = scene(List.of(alarm), now);
        for (long personId : toldBy(callOut)) {
            Contact reader = people.contact(personId);
            put(Purpose.NOTICE, AlarmLetter.returned(facts(scene, OptionalInt.empty(), callOut, reader, Optional.empty()), alarm.returnedAt().orElse(now), takenBy,
                    together), alarm, callOut, reader, now);
        }
    }

    /** Everybody who was told hears that nothing will say any more whether the condition is there. */
    void tellSensorRetired(AlarmRecord alarm, CallOutRecord callOut, By by) {
        Optional<String> who = by.personId().isPresent() ? people.find(by.personId().getAsLong()).map(Contact::name) : Optional.empty();
        Scene scene = scene(List.of(alarm), by.at());
        for (long personId : toldBy(callOut)) {
            Contact reader = people.contact(personId);
            put(Purpose.NOTICE, AlarmLetter.sensorRetired(facts(scene, OptionalInt.empty(), callOut, reader, Optional.empty()), who), alarm, callOut,
                    reader, by.at());
        }
    }

    private boolean put(Purpose purpose, Letter letter, AlarmRecord alarm, CallOutRecord callOut, Contact reader, Instant now) {
        boolean isTold = outbox.tell(new NewMessage(purpose, OptionalLong.of(callOut.id()), OptionalLong.of(alarm.id()), reader.personId(), "",
                letter.subject(), letter.body(), Optional.of(shortly.of(letter, alarm.id(), callOut.id(), reader, now.plus(config.linkLife()))), now));
        if (!isTold) {
            journal.append(AlarmKeeper.entry(alarm, "person-not-reachable", now).with("person", reader.reference())
                    .with("reason", "no channel"));
        }
        return isTold;
    }

    private LetterFacts facts(Scene scene, OptionalInt before, CallOutRecord callOut, Contact reader, Optional<Next> next) {
        AlarmRecord alarm = scene.leading();
        String token = tokens.issue(alarm.id(), reader.personId(), scene.now().plus(config.linkLife()));
        List<String> others = new ArrayList<>();
        List<Long> told = toldBy(callOut);
        Map<Long, Contact> names = people.find(told);
        for (long personId : told) {
            if (personId != reader.personId() && names.containsKey(personId)) {
                others.add(names.get(personId).name());
            }
        }
        return new LetterFacts(alarm.kind(), scene.about(), alarm.since(), scene.now(), scene.inside(), scene.advice(), others, next,
                messages.address("a/" + token), journal.head(), together(scene, before), scene.elsewhere(), scene.outlook());
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
            case MESSAGES_STUCK -> "How long a message has waited stands on the page Operation.";
            case DATABASE_SLOW -> "How long a commit takes is measured by Lampkeeper itself, about every three seconds.";
            case CLOCK_STEPPED -> "Seen by comparing the clock with a counter that only runs forward.";
            case DISK_NEARLY_FULL -> "It is the disk of Lampkeeper's data.";
            case HEARTBEAT_NOT_SENT -> "It is tried again at its usual pace.";
            case SUPPLY_LOST, PROBABLE_SITE_LOSS, NOT_HEARD, UNSTEADY, LOOK_MISSED, LAMP_OUT, DAMAGE_SEEN, SENSOR_AND_LAMP_DIFFER, CONTENT_TOO_COLD,
                CONTENT_TOO_HOT, HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL, DOOR_OPEN, LOOKS_EMPTIED ->
                    throw new IllegalArgumentException(kind + " is not about the installation");
        };
    }

    /** Of the cabinet that it is about; of many that are lost together, of the one that is past its limits first. */
    private static Optional<Outlook> outlook(List<AlarmRecord> alarms, Set<Long> lost, List<CabinetSheet> ofSite, Outlooks known, Instant now) {
        AlarmRecord leading = alarms.get(0);
        if (leading.cabinetId().isEmpty()) {
            return Optional.empty();
        }
        Set<Long> asked = lost.size() > 1 ? lost : Set.of(leading.cabinetId().getAsLong());
        Map<Long, ContentOutlook> outlooks = known.of(asked);
        Optional<ContentOutlook> first = outlooks.values().stream().filter(each -> each.pastAt().isPresent())
                .min(Comparator.comparing((ContentOutlook each) -> each.pastAt().orElseThrow()).thenComparing(ContentOutlook::cabinetId))
                .or(() -> Optional.ofNullable(outlooks.get(leading.cabinetId().getAsLong())));
        return first.map(outlook -> {
            List<String> sentences = new ArrayList<>();
            if (asked.size() > 1) {
                ofSite.stream().filter(sheet -> sheet.cabinetId() == outlook.cabinetId()).findFirst()
                        .ifPresent(sheet -> sentences.add("The first of them to be past its limits, as far as is known, is " + sheet.name() + "."));
            }
            outlook.measured(now).ifPresent(sentences::add);
            sentences.addAll(outlook.sentences(now));
            if (outlook.pastAt().isPresent()) {
                sentences.add("That is an estimate: wind, rain and an opened door change it. Act on the early end.");
            }
            return new Outlook(sentences, outlook.brief(now), leading.easedAt());
        });
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
        return about instanceof OfCabinet of && isAboutSupply(kind) ? Optional.of(advice.advise(kind, of.cabinet(), ofSite, now))
                : Optional.empty();
    }

    private static boolean isAboutSupply(AlarmKind kind) {
        return switch (kind) {
            case SUPPLY_LOST, PROBABLE_SITE_LOSS, NOT_HEARD, LAMP_OUT, SENSOR_AND_LAMP_DIFFER -> true;
            case UNSTEADY, LOOK_MISSED, DAMAGE_SEEN, CONTENT_TOO_COLD, CONTENT_TOO_HOT, HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL,
                DOOR_OPEN, LOOKS_EMPTIED, NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED,
                DISK_NEARLY_FULL, HEARTBEAT_NOT_SENT -> false;
        };
    }

    private List<Long> toldBy(CallOutRecord callOut) {
        List<Long> told = new ArrayList<>();
        for (Object found : entities.createNativeQuery(TOLD_BY_CALL_OUT).setParameter("callOut", callOut.id()).getResultList()) {
            told.add(Rows.number(((Object[]) found)[0]));
        }
        return told;
    }
}
