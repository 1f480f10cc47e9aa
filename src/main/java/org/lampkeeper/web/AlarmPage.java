package org.lampkeeper.web;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;

import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Attendance.Remark;
import org.lampkeeper.alarm.Attendance.Setting;
import org.lampkeeper.alarm.LostElsewhere;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.alarm.Surroundings;
import org.lampkeeper.alarm.WhereToLook;
import org.lampkeeper.message.Channels;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.Register;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.watch.AttendanceDesk;
import org.lampkeeper.watch.AttendanceEntry;
import org.lampkeeper.watch.Elsewhere;
import org.lampkeeper.watch.RetentionConfig;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.watch.WarmthBook;
import org.lampkeeper.web.AlarmReading.AlarmRow;
import org.lampkeeper.web.AlarmReading.Asked;
import org.lampkeeper.web.AlarmReading.DoneRow;
import org.lampkeeper.web.AlarmReading.Standing;
import org.lampkeeper.web.AlarmReading.ToldRow;
import org.lampkeeper.web.AlarmView.Arrival;
import org.lampkeeper.web.AlarmView.LookFirst;
import org.lampkeeper.web.AlarmView.Phone;
import org.lampkeeper.web.AlarmView.Relay;
import org.lampkeeper.web.AlarmView.Together;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.Picture.Line;
import org.lampkeeper.web.SupplyReading.SensorRow;

/** Puts the alarm page together: for the person behind a link, or for somebody who has signed in. */
@ApplicationScoped
class AlarmPage {

    // Ours: more than these nobody reads on a phone; whoever takes one takes them all.
    private static final int TOGETHER_ON_A_PAGE = 20;

    // Ours: what somebody woken at night can say without thinking, each a button of its own.
    private static final List<Integer> ARRIVALS = List.of(10, 20, 30, 45, 60, 90);

    private final AlarmReading alarms;
    private final SupplyReading supply;
    private final Register register;
    private final CallOutLists lists;
    private final WarmthBook warmth;
    private final PlotReading plots;
    private final SitePeople sitePeople;
    private final TurnWords turns;
    private final WebConfig config;
    private final RetentionConfig retention;
    private final ObjectMapper json;
    private final CurrentCaller current;
    private final AttendanceDesk attendance;
    private final PersonChannels channels;
    private final Elsewhere elsewhere;
    private final Channels kinds;
    private final Clock clock;

    AlarmPage(AlarmReading alarms, SupplyReading supply, Register register, CallOutLists lists, WarmthBook warmth, PlotReading plots, SitePeople sitePeople, TurnWords turns, WebConfig config,
            RetentionConfig retention, ObjectMapper json, CurrentCaller current, AttendanceDesk attendance, PersonChannels channels, Elsewhere elsewhere, Channels kinds, Clock clock) {
        this.alarms = alarms;
        this.supply = supply;
        this.register = register;
        this.lists = lists;
        this.warmth = warmth;
        this.plots = plots;
        this.sitePeople = sitePeople;
        this.turns = turns;
        this.config = config;
        this.retention = retention;
        this.json = json;
        this.current = current;
        this.attendance = attendance;
        this.channels = channels;
        this.elsewhere = elsewhere;
        this.kinds = kinds;
        this.clock = clock;
    }

    /** Who reads the page through a link. {@code said}: what they pressed just before; empty for nothing. */
    record Reader(long personId, String token, String said) {
    }

    /**
     * Who reads the page, and what their buttons may do.
     *
     * @param base what the addresses of the buttons begin with
     * @param said what they pressed just before; empty for nothing
     */
    private record Hand(long personId, String base, String said, boolean isLink, boolean mayTake, boolean mayHoldBack) {
    }

    /** For the person behind a link. Empty when there is no such alarm, or the reader is no longer registered. */
    Optional<AlarmView> of(long alarmId, Reader reader) {
        Hand hand = new Hand(reader.personId(), "/a/" + reader.token(), reader.said(), true, true, false);
        return alarms.person(reader.personId())
                .flatMap(name -> alarms.alarm(alarmId).map(alarm -> compose(alarm, hand, name, clock.instant())));
    }

    /** For somebody who has signed in; whoever may take alarms there may take this one, on the list or not. Empty when there is no such alarm. */
    Optional<AlarmView> of(long alarmId, Caller caller, String said) {
        return alarms.alarm(alarmId).map(alarm -> {
            Hand hand = new Hand(caller.personId(), "/alarms/" + alarmId, said, false, caller.reach().may(Right.TAKE, alarm.siteId()),
                    caller.reach().may(Right.HOLD_BACK, alarm.siteId()));
            return compose(alarm, hand, "", clock.instant());
        });
    }

    private AlarmView compose(AlarmRow alarm, Hand hand, String readerName, Instant now) {
        Picture picture = new Picture(supply.everything(), config.listeningWithin(), now);
        Optional<Line> line = alarm.cabinetId().isPresent() ? picture.line(alarm.cabinetId().getAsLong()) : Optional.empty();
        Optional<CabinetSheet> sheet = alarm.cabinetId().isPresent() ? register.findSheet(alarm.cabinetId().getAsLong()) : Optional.empty();
        String headline = Sentences.alarmHeadline(alarm.kind(), alarm.where(), alarm.since(), alarm.eased(), now, alarm.zone(), alarm.live());
        Frame around = SupplyPage.frame(headline, "alarms",
                current.find().map(caller -> picture.snapshot().seenBy(caller.reach())).orElse(picture.snapshot()).outline(), now);
        Frame frame = new Frame(headline, "alarms", alarm.siteId() == 0 ? around.clock() : alarm.site() + ", " + clock(now, alarm, now),
                around.iso(), around.alarms(), readerName);

        boolean needsATaker = alarm.isOpen() && !alarm.state().isHold() && (alarm.hasIt().isEmpty() || hasMoreToTake(alarm));
        boolean isMine = alarm.hasIt().filter(taker -> taker.personId() == hand.personId()).isPresent();
        boolean isAsked = alarm.isOpen() && asked(alarm).filter(asked -> asked.personId() == hand.personId()).isPresent();
        boolean mayTake = hand.mayTake() && (needsATaker || isAsked);
        boolean mayPass = hand.mayTake() && ((needsATaker && alarm.nextAt().isPresent()) || isAsked || (isMine && isTaken(alarm)));
        Optional<SiteDuty> duty = Optional.ofNullable(picture.snapshot().duty().get(alarm.siteId()));
        boolean mayShelve = hand.mayHoldBack() && alarm.isOpen() && !alarm.state().isHold();
        return new AlarmView(frame, look(alarm), spoken(alarm), headline, what(alarm, sheet), standing(alarm, isMine, now),
                isMine ? Optional.empty() : alarm.hasIt().flatMap(taker -> taker.phone().map(number -> Phone.of(taker.name(), number))),
                thanks(hand, alarm, isMine), evidence(alarm), mayTake ? hand.base() + "/take" : "", mayPass ? hand.base() + "/cannot" : "",
                mayTake || (hand.mayTake() && isMine && isTaken(alarm) && !hasArrived(alarm)) ? arrivals(hand, alarm, now) : List.of(),
                hand.mayTake() && isMine && isTaken(alarm) ? Optional.of(mine(hand, alarm, now)) : Optional.empty(),
                needsATaker && !hand.mayTake() ? "You may look, but taking an alarm needs another role." : "",
                mayShelve ? "/alarms/" + alarm.id() + "/shelve" : "", attendance(alarm, now), warm(alarm, line, picture), plot(alarm, now),
                alarms.together(alarm, TOGETHER_ON_A_PAGE).stream().map(other -> together(other, hand.isLink(), now)).toList(),
                moreTogether(alarm), lostElsewhere(alarm, sheet), line.flatMap(it -> sheet.map(known -> lookFirst(alarm, it, known, picture))), relay(alarm, now),
                duty.map(it -> it.brief(now)).orElse(""), duty.map(it -> it.remark(now)).orElse(""), alarm.zone().getId(),
                SupplyPage.zoneName(alarm.zone()));
    }

    /** Where everything about it is gathered, for whoever may read the journal there; empty for anybody else. */
    private String evidence(AlarmRow alarm) {
        boolean may = current.find().filter(caller -> caller.reach().may(Right.READ_JOURNAL, alarm.siteId())).isPresent();
        return may && alarm.cabinetId().isPresent() ? "/cabinets/" + alarm.cabinetId().getAsLong() + "/evidence?alarm=" + alarm.id() : "";
    }

    private static Optional<Asked> asked(AlarmRow alarm) {
        return alarm.callOut().flatMap(Standing::asked);
    }

    private static boolean isTaken(AlarmRow alarm) {
        return alarm.isOpen() && alarm.callOut().filter(it -> it.phase().isTaken()).isPresent();
    }

    /** Somebody has this one, and something has joined its call-out since that nobody has. */
    private static boolean hasMoreToTake(AlarmRow alarm) {
        return alarm.isOpen() && alarm.hasIt().isPresent() && alarm.callOut().filter(it -> it.phase().isCalling()).isPresent();
    }

    private static boolean hasArrived(AlarmRow alarm) {
        return alarm.callOut().filter(Standing::hasArrived).isPresent();
    }

    private static List<Arrival> arrivals(Hand hand, AlarmRow alarm, Instant now) {
        if (alarm.kind().scope() == Scope.INSTALLATION) {
            return List.of();
        }
        return ARRIVALS.stream().map(minutes -> new Arrival(hand.base() + "/take?minutes=" + minutes, "in " + Sentences.ago(Duration.ofMinutes(minutes)),
                clock(now.plus(Duration.ofMinutes(minutes)), alarm, now))).toList();
    }

    private AlarmView.Mine mine(Hand hand, AlarmRow alarm, Instant now) {
        boolean isSomewhere = alarm.kind().scope() != Scope.INSTALLATION;
        List<Contact> everybody = sitePeople.everybody(alarm.siteId(), now);
        Set<Long> reachable = channels.reachable(everybody.stream().map(Contact::personId).toList());
        List<AlarmView.Other> others = everybody.stream()
                .filter(person -> person.personId() != hand.personId() && reachable.contains(person.personId()))
                .map(person -> new AlarmView.Other(person.personId(), person.name())).toList();
        return new AlarmView.Mine(isSomewhere && !hasArrived(alarm) ? hand.base() + "/there" : "", hand.base() + "/hand-on", others);
    }

    private Optional<AlarmView.Attended> attendance(AlarmRow alarm, Instant now) {
        List<AttendanceEntry> visits = attendance.visits(alarm.id());
        Optional<AttendanceEntry> newest = visits.isEmpty() ? Optional.empty() : Optional.of(visits.get(visits.size() - 1));
        boolean isAsked = alarm.callOutId().isPresent() && (alarm.hasIt().isPresent() || !alarm.isOpen());
        if (newest.isEmpty() && !isAsked) {
            return Optional.empty();
        }
        String href = "/alarms/" + alarm.id() + "/attendance";
        if (newest.isEmpty()) {
            return Optional.of(new AlarmView.Attended(alarm.isOpen() ? "Nobody has said yet what was done."
                    : "It is over, and nobody has said what was done.", alarm.isOpen() ? "plain" : "unknown", href, "Say what was done", List.of(), ""));
        }
        AttendanceEntry entry = newest.get();
        Setting setting = desk(alarm);
        String who = alarms.person(entry.writtenBy()).orElse("somebody") + ", " + clock(entry.writtenAt(), alarm, now);
        String state = entry.isComplete() ? "The record is complete (" + who + ")."
                : "Still to be said: " + String.join(", ", entry.attendance().missing(setting).stream().map(Remark::text).toList()) + " (" + who + ").";
        return Optional.of(new AlarmView.Attended(state, entry.isComplete() ? "plain" : "unknown", href,
                entry.isComplete() ? "Correct the record" : "Go on with the record", visits.stream().map(it -> visit(it, visits.size() > 1, href, alarm, now)).toList(),
                entry.attendance().arrivedAt().isPresent() ? href + "?visit=" + (entry.visit() + 1) : ""));
    }

    private AlarmView.Visit visit(AttendanceEntry entry, boolean isOneOfSeveral, String href, AlarmRow alarm, Instant now) {
        return new AlarmView.Visit(isOneOfSeveral ? "Visit " + entry.visit() : "", isOneOfSeveral ? href + "?visit=" + entry.visit() : "",
                AttendanceWords.lines(entry.attendance(), alarm.zone(), now));
    }

    private Setting desk(AlarmRow alarm) {
        return attendance.setting(alarm.id()).orElseThrow(() -> new IllegalStateException("alarm " + alarm.id() + " is gone"));
    }

    private static String look(AlarmRow alarm) {
        if (!alarm.live()) {
            return "plain";
        }
        return switch (alarm.kind()) {
            case SUPPLY_LOST, PROBABLE_SITE_LOSS, LAMP_OUT, CONTENT_TOO_COLD, CONTENT_TOO_HOT -> "lost";
            case HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL, DOOR_OPEN, LOOKS_EMPTIED, NOT_HEARD, UNSTEADY, LOOK_MISSED, DAMAGE_SEEN, SENSOR_AND_LAMP_DIFFER, NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL,
                    HEARTBEAT_NOT_SENT -> "unknown";
        };
    }

    private static String spoken(AlarmRow alarm) {
        return alarm.live() ? "alarm" : "over";
    }

    private static String what(AlarmRow alarm, Optional<CabinetSheet> sheet) {
        return sheet.map(known -> Sentences.capital(known.content()) + ", " + known.place() + ". " + known.board().name() + ", way "
                + known.circuit().way() + ", " + known.circuit().deviceMark() + ".").orElse(alarm.cabinetId().isPresent() || alarm.siteId() == 0 ? ""
                        : "Nothing is heard of " + alarm.site() + ": a dead router and a dead intake look the same from here.");
    }

    private String standing(AlarmRow alarm, boolean isMine, Instant now) {
        String who = alarm.hasIt().map(taker -> isMine ? "You have this since " + clock(taker.at(), alarm, now) + "."
                : taker.name() + (alarm.isOpen() ? " has this since " : " took this at ") + clock(taker.at(), alarm, now) + ".").orElse("");
        if (!alarm.isOpen()) {
            return ("It is over since " + alarm.closedAt().map(at -> clock(at, alarm, now)).orElseThrow() + ". " + who).strip();
        }
        if (alarm.state().isHold()) {
            return "It is held back on purpose" + alarm.heldUntil().map(at -> " until " + clock(at, alarm, now)).orElse("")
                    + "; nobody is told meanwhile, and at the end the state counts at once.";
        }
        String next = alarm.nextAt().map(at -> next(alarm, at) + " is told at " + clock(at, alarm, now) + ".").orElse("");
        if (hasMoreToTake(alarm)) {
            return who + " Something joined it since that nobody has taken; " + next;
        }
        if (!who.isEmpty()) {
            return who + promise(alarm, isMine, now) + handedOn(alarm, isMine, now) + (isMine ? again(alarm, now) : " Two heads are fine: call each other.");
        }
        if (!alarm.live()) {
            return "Nobody had taken it. It stays open until somebody has seen it.";
        }
        return next.isEmpty() ? "Nobody has taken this yet." : "Nobody has taken this yet; " + next;
    }

    private static String promise(AlarmRow alarm, boolean isMine, Instant now) {
        if (hasArrived(alarm)) {
            return " Somebody is there.";
        }
        return alarm.callOut().flatMap(Standing::promised).map(at -> (isMine ? " You are there at " : " There at ") + clock(at, alarm, now) + ".").orElse("");
    }

    private static String handedOn(AlarmRow alarm, boolean isMine, Instant now) {
        return asked(alarm).map(asked -> " " + asked.name() + " is asked to take it over until " + clock(asked.until(), alarm, now) + "; it is "
                + (isMine ? "yours" : "theirs") + " until then.").orElse("");
    }

    /** What happens to who has it if it does not come back to normal. */
    private static String again(AlarmRow alarm, Instant now) {
        Optional<Instant> at = alarm.callOut().filter(it -> it.phase().isTaken() && it.asked().isEmpty()).flatMap(Standing::nextAt);
        return " Nobody else is told" + at.map(it -> ", unless " + (alarm.callOut().flatMap(Standing::promised).filter(it::equals).isPresent()
                ? "you are not there by then" : "it is not back to normal at " + clock(it, alarm, now))).orElse("") + ".";
    }

    private String next(AlarmRow alarm, Instant at) {
        return turns.next(alarm.callOut().flatMap(it -> it.upcoming(lists.ofSite(alarm.siteId()))), alarm.siteId(), at);
    }

    private static String thanks(Hand hand, AlarmRow alarm, boolean isMine) {
        return switch (hand.said()) {
            case "take" -> isMine ? "Recorded: you take this. The others are told that you have it." : "";
            case "cannot" -> alarm.hasIt().isPresent() ? "" : "Recorded: you cannot come. The next one has been told.";
            case "there" -> hasArrived(alarm) ? "Recorded: you are there." : "";
            case "asked" -> asked(alarm).map(asked -> "Recorded: " + asked.name() + " is asked to take it over. Until they do, it is yours.").orElse("");
            case "shelved" -> alarm.state().isHold() ? "Recorded: it is held back, and ends by itself." : "";
            case "attended" -> alarm.attendedAt().isPresent() ? "Recorded: everything is said." : "Recorded. Something is still to be said.";
            default -> "";
        };
    }

    /** What was measured, and how long the content has while nothing heats it; the same words as in the messages. */
    private List<String> warm(AlarmRow alarm, Optional<Line> line, Picture picture) {
        Optional<SensorRow> sensor = line.flatMap(it -> it.row().sensor());
        Optional<Instant> heard = sensor.map(SensorRow::state).flatMap(SensorState::observedAt);
        if (line.isEmpty() || heard.isEmpty()) {
            return List.of();
        }
        String age = Sentences.ago(Duration.between(heard.get(), picture.now()));
        String outside = sensor.get().outside().isPresent() ? ", outside " + SupplyPage.temperature(sensor.get().outside()) : "";
        String content = sensor.get().content().isPresent() ? ", its content " + SupplyPage.temperature(sensor.get().content()) : "";
        List<String> sentences = new ArrayList<>(List.of(sensor.get().inside().isPresent()
                ? "Inside " + SupplyPage.temperature(sensor.get().inside()) + content + outside + ", heard " + age + " ago."
                : "No temperature was heard, so nobody knows how long it stays warm."));
        if (alarm.isOpen() && alarm.live() && sensor.get().inside().isPresent() && isAboutWarmth(alarm.kind())) {
            warmth.outlook(alarm.cabinetId().orElseThrow(), picture.now()).ifPresent(outlook -> sentences.addAll(outlook.sentences(picture.now())));
        }
        return List.copyOf(sentences);
    }

    /** The last day, and the forecast where nothing heats it. Nothing where nothing was measured. */
    private Optional<Plotted> plot(AlarmRow alarm, Instant now) {
        if (!alarm.isOpen() || alarm.cabinetId().isEmpty() || !(isAboutWarmth(alarm.kind()) || alarm.kind() == AlarmKind.HEATER_NEVER_STOPS)) {
            return Optional.empty();
        }
        Plot.Input input = plots.input(alarm.cabinetId().getAsLong(), Plot.Span.DAY, alarm.live(), alarm.zone(), now);
        return input.readings().stream().noneMatch(Plot.Reading::isMeasured) ? Optional.empty()
                : Optional.of(new Plotted(Plot.of(input), TemperaturesResource.figures(input, alarm.zone(), now)));
    }

    static boolean isAboutWarmth(AlarmKind kind) {
        return switch (kind) {
            case SUPPLY_LOST, LAMP_OUT, NOT_HEARD, SENSOR_AND_LAMP_DIFFER, CONTENT_TOO_COLD, CONTENT_TOO_HOT, HEATER_NOT_HEATING, DOOR_OPEN -> true;
            case PROBABLE_SITE_LOSS, UNSTEADY, LOOK_MISSED, DAMAGE_SEEN, HEATER_NEVER_STOPS, HEATER_TOO_SMALL, LOOKS_EMPTIED, NOT_LISTENING,
                MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL, HEARTBEAT_NOT_SENT -> false;
        };
    }

    private String moreTogether(AlarmRow alarm) {
        long more = alarms.countTogether(alarm) - TOGETHER_ON_A_PAGE;
        return more <= 0 ? "" : more == 1 ? "and one more, which the message names" : "and " + more + " more, which the message names";
    }

    private List<String> lostElsewhere(AlarmRow alarm, Optional<CabinetSheet> sheet) {
        return alarm.kind() == AlarmKind.SUPPLY_LOST && alarm.isOpen() && sheet.isPresent()
                ? elsewhere.besides(alarm.siteId(), List.of(sheet.get())).stream().map(LostElsewhere::sentence).toList() : List.of();
    }

    private static Together together(AlarmRow other, boolean isLinkPage, Instant now) {
        String headline = Sentences.alarmHeadline(other.kind(), other.where(), other.since(), other.eased(), now, other.zone(), other.live());
        // A link is for one alarm; whoever takes this takes all of them, so that no second address is needed.
        return new Together(headline, isLinkPage ? "" : "/alarms/" + other.id());
    }

    private static LookFirst lookFirst(AlarmRow alarm, Line line, CabinetSheet sheet, Picture picture) {
        boolean differs = alarm.kind() == AlarmKind.SENSOR_AND_LAMP_DIFFER;
        Surroundings around = new Surroundings(sheet.name(), sheet.content(), sheet.place(), sheet.lampPlace(), sheet.board().name(),
                sheet.board().place(), sheet.board().access(), sheet.circuit().way(), sheet.circuit().deviceMark(), sheet.circuit().fuseAmpere(),
                sheet.circuit().fusedUnitPlace(), sheet.circuit().cable(), sheet.site().intake(), picture.othersOnBoard(line),
                picture.elsewhere(line), differs && line.lamp() == Lamp.OUT, differs && line.lamp() == Lamp.LIT);
        Advice advice = WhereToLook.advise(around);
        boolean isAboutSupply = EnumSet.of(AlarmKind.SUPPLY_LOST, AlarmKind.LAMP_OUT, AlarmKind.SENSOR_AND_LAMP_DIFFER).contains(alarm.kind()) && alarm.live();
        boolean isAlive = picture.isAlive(sheet.board().id());
        Drawing drawing = Drawing.of(sheet.board().name(), sheet.circuit().way(), sheet.circuit().deviceMark(), sheet.circuit().cable(),
                sheet.circuit().fuseAmpere(), line.lamp(), isAlive, isAboutSupply ? Optional.of(advice) : Optional.empty());
        List<String> access = Stream.of(sheet.site().access(), sheet.isFedFromAnotherSite()
                ? "The board stands at " + sheet.board().siteName() + "." : "").filter(text -> !text.isBlank()).toList();
        Optional<Phone> electrician = sheet.site().electrician().map(it -> Phone.of(it.name(), it.phone().orElse("")));
        String boardLook = isAlive ? Lamp.LIT.look() : line.lamp().look();
        return new LookFirst(isAboutSupply ? advice.summary() : "", isAboutSupply ? advice.youMayLook() : List.of(),
                advice.firstElectricianNumber(), isAboutSupply ? advice.electricianOnly() : List.of(),
                isAboutSupply ? advice.cautions() : List.of(), access, electrician, Optional.of(drawing), sheet.board().name(), boardLook,
                isAboutSupply ? LookOrder.of(advice).board() : "", sheet.name(), sheet.content());
    }

    private List<Relay> relay(AlarmRow alarm, Instant now) {
        List<Relay> steps = new ArrayList<>();
        Duration confirmed = Duration.between(alarm.since(), alarm.raisedAt());
        steps.add(happened(alarm, alarm.raisedAt(), raised(alarm, confirmed), now));
        List<ToldRow> toldRows = alarms.told(alarm);
        alarm.closedAt().filter(at -> toldRows.isEmpty() && at.isBefore(now.minus(retention.messages()))).ifPresent(at -> steps.add(happened(alarm,
                alarm.raisedAt(), "messages of that time are not kept any more; who was told is in the journal", now)));
        for (ToldRow told : toldRows) {
            steps.add(new Relay(moment(told.at(), alarm, now), told.person() + ", " + MessageWords.channel(told.fate(), kinds)
                    + (told.isAlarm() ? "" : " for information") + ": " + MessageWords.of(told.fate(), alarm.zone(), now),
                    told.subject(), MessageWords.look(told.fate()), true, false));
        }
        for (DoneRow done : alarms.done(alarm)) {
            steps.add(happened(alarm, done.at(), words(done, alarm, now), now));
        }
        // Stable: what happened at the same second stays in the order in which it was added.
        steps.sort(Comparator.comparing(step -> Instant.parse(step.at().iso())));
        if (alarm.isOpen()) {
            alarm.nextAt().ifPresent(at -> steps.add(ahead(alarm, at, next(alarm, at) + ", unless somebody takes it", now)));
        }
        if (isTaken(alarm)) {
            asked(alarm).ifPresent(asked -> steps.add(ahead(alarm, asked.until(), "it stays where it is, unless " + asked.name() + " takes it over", now)));
            alarm.callOut().filter(it -> it.asked().isEmpty()).flatMap(Standing::nextAt).ifPresent(at -> steps.add(ahead(alarm, at,
                    alarm.callOut().flatMap(Standing::promised).filter(at::equals).isPresent() ? "all are called again, unless somebody is there"
                            : "all are called again, unless it is back to normal", now)));
        }
        return List.copyOf(steps);
    }

    private static Relay happened(AlarmRow alarm, Instant at, String text, Instant now) {
        return new Relay(moment(at, alarm, now), text, "", "plain", false, false);
    }

    private static Relay ahead(AlarmRow alarm, Instant at, String text, Instant now) {
        return new Relay(moment(at, alarm, now), text, "", "plain", true, true);
    }

    private static String raised(AlarmRow alarm, Duration confirmed) {
        return switch (alarm.kind()) {
            case SUPPLY_LOST -> "loss confirmed, " + Sentences.ago(confirmed) + " after the first report";
            case PROBABLE_SITE_LOSS -> "probable loss of the whole site";
            case NOT_HEARD -> "silence judged";
            case UNSTEADY -> "unsteady supply noticed";
            case LOOK_MISSED -> "nobody is known to have looked";
            case LAMP_OUT -> "somebody saw the lamp out";
            case DAMAGE_SEEN -> "somebody found something damaged or missing";
            case SENSOR_AND_LAMP_DIFFER -> "sensor and lamp were found to differ";
            case CONTENT_TOO_COLD, CONTENT_TOO_HOT -> "measured beyond what the content may have";
            case HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL -> "seen in the temperatures";
            case DOOR_OPEN -> "the door read open for long";
            case LOOKS_EMPTIED -> "seen in the temperatures since the door was closed";
            case NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL,
                    HEARTBEAT_NOT_SENT -> "noticed by Lampkeeper itself";
        };
    }

    private String words(DoneRow done, AlarmRow alarm, Instant now) {
        Optional<String> person = text(done, "person").flatMap(alarms::nameBehind);
        String who = person.orElse("somebody");
        return switch (done.kind()) {
            case "person-cannot-come" -> who + " cannot come" + byReply(done) + "; the next one is told now";
            case "nobody-to-tell" -> "there is nobody who could be told";
            case "nobody-on-duty" -> "nobody is on duty as " + text(done, "duty").map(it -> it.toLowerCase(Locale.ROOT).replace('_', ' ')).orElse("asked for")
                    + "; the next is told now";
            case "last-resort-told" -> "everybody of the site is told now";
            case "alarm-called-again" -> switch (text(done, "why").orElse("")) {
                case "GIVEN_BACK" -> who + " cannot do it after all";
                case "NOT_ARRIVED" -> who + " has not arrived in time: called again";
                case "COLD" -> "the content may soon be too cold or too hot: called again";
                default -> "not back to normal in time: called again";
            };
            case "alarm-handed-on" -> who + " asks " + text(done, "to").flatMap(alarms::nameBehind).orElse("somebody") + " to take it over";
            case "alarm-taken-over" -> who + " takes it over" + byReply(done);
            case "alarm-not-taken-over" -> who + switch (text(done, "why").orElse("")) {
                case "DECLINED" -> " cannot take it over";
                case "NOT_REACHED" -> " could not be told";
                default -> " has not answered";
            };
            case "arrival-promised" -> who + " is going to be there at " + text(done, "at").map(at -> clock(Instant.parse(at), alarm, now)).orElse("a time not known");
            case "alarm-raised-again" -> "the condition is there again";
            case "content-eased" -> "measured within its limits again; somebody still has to look";
            case "alarm-returned" -> "the condition is over";
            case "alarm-acknowledged" -> who + " takes it" + byReply(done);
            case "alarm-shelved" -> who + " shelves it" + until(done, alarm, now) + because(done);
            case "alarm-suppressed" -> "held back" + until(done, alarm, now) + " by " + text(done, "by").map(it -> it.toLowerCase(Locale.ROOT).replace('_', ' '))
                    .orElse("a hold") + person.map(name -> " of " + name).orElse("") + because(done);
            case "alarm-hold-ended" -> "no longer held back";
            case "alarm-ended-with-sensor" -> "its sensor was retired" + person.map(name -> " by " + name).orElse("")
                    + "; nothing tells any more whether the supply is there";
            case "alarm-joined-call-out" -> "told of together with what was lost before";
            case "attendance-written" -> who + " began to say what was done";
            case "attendance-completed" -> who + " said what was done";
            case "attendance-corrected" -> who + " changed what was said to be done";
            case "attendance-not-recorded" -> who + " said why there is no record";
            default -> throw new IllegalStateException("journal kind '" + done.kind() + "' is read but has no words");
        };
    }

    private String until(DoneRow done, AlarmRow alarm, Instant now) {
        return text(done, "until").map(at -> " until " + clock(Instant.parse(at), alarm, now)).orElse("");
    }

    private String because(DoneRow done) {
        return text(done, "reason").map(reason -> ": " + reason).orElse("");
    }

    private String byReply(DoneRow done) {
        return text(done, "channel").map(it -> ", by " + it + " reply").orElse("");
    }

    private Optional<String> text(DoneRow done, String name) {
        try {
            JsonNode value = json.readTree(done.body()).path(name);
            return value.isTextual() ? Optional.of(value.asText()) : Optional.empty();
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a journal entry of kind " + done.kind() + " is not JSON", e);
        }
    }

    private static Moment moment(Instant at, AlarmRow alarm, Instant now) {
        return Moment.of(at, alarm.zone(), now);
    }

    private static String clock(Instant at, AlarmRow alarm, Instant now) {
        return Sentences.clock(at, alarm.zone(), now);
    }
}
