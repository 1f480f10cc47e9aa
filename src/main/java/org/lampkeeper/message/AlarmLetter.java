package org.lampkeeper.message;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.CodeRanges;
import org.lampkeeper.alarm.LostElsewhere;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.callout.Decision.NotTakenOver;
import org.lampkeeper.message.LetterFacts.Inside;
import org.lampkeeper.message.LetterFacts.OfCabinet;
import org.lampkeeper.message.LetterFacts.OfInstallation;
import org.lampkeeper.message.LetterFacts.OfSite;
import org.lampkeeper.message.LetterFacts.OnBoard;
import org.lampkeeper.message.LetterFacts.Outlook;
import org.lampkeeper.message.LetterFacts.Together;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CircuitSheet;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.SiteSheet;

/**
 * The words of a message about an alarm, for somebody who is woken by it: first what and since when, then the link, then what it means,
 * where to look, how to get in. Pure: the same facts always give the same letter.
 */
public final class AlarmLetter {

    private final LetterFacts facts;
    private final ZoneId zone;
    private final List<String> lines = new ArrayList<>();

    private AlarmLetter(LetterFacts facts) {
        this.facts = facts;
        this.zone = facts.about().zone();
    }

    /** Asks the reader to take the alarm. */
    public static Letter compose(LetterFacts facts) {
        return new AlarmLetter(facts).alarm();
    }

    /**
     * Tells that the condition is over, which acknowledges nothing.
     *
     * @param takenBy who has the alarm; empty while it still needs somebody
     */
    public static Letter returned(LetterFacts facts, Instant returnedAt, Optional<String> takenBy) {
        return returned(facts, returnedAt, takenBy, 1);
    }

    /** The same of the last of {@code together} cabinets that were lost together. */
    public static Letter returned(LetterFacts facts, Instant returnedAt, Optional<String> takenBy, int together) {
        return new AlarmLetter(facts).returnedLetter(returnedAt, takenBy, together);
    }

    /** For everybody who was told: nothing tells any more whether the condition is there. {@code retiredBy}: empty for nobody known. */
    public static Letter sensorRetired(LetterFacts facts, Optional<String> retiredBy) {
        return new AlarmLetter(facts).sensorRetiredLetter(retiredBy);
    }

    /**
     * Tells those who were told that somebody has it.
     *
     * @param arrival when they said they would be there; empty where they did not say
     */
    public static Letter taken(LetterFacts facts, String takenBy, Instant takenAt, Optional<Instant> arrival) {
        return new AlarmLetter(facts).takenLetter(takenBy, takenAt, arrival);
    }

    /** Asks the reader to take over what {@code holder} has. */
    public static Letter askedToTakeOver(LetterFacts facts, String holder, Instant until) {
        return new AlarmLetter(facts).askingLetter(holder, until);
    }

    /** Tells the reader, who has it and asked another to take it over, that they do not. */
    public static Letter stillYours(LetterFacts facts, String asked, NotTakenOver why) {
        return new AlarmLetter(facts).stillYoursLetter(asked, why);
    }

    /** Tells the reader, who was told before, of the cabinets that were lost since. */
    public static Letter more(LetterFacts facts) {
        return new AlarmLetter(facts).moreLetter();
    }

    private Letter moreLetter() {
        Together together = facts.together().orElseThrow(() -> new IllegalArgumentException("a letter about more tells of none"));
        int fresh = Together.count(together.fresh());
        String site = site().map(SiteSheet::name).orElse("the site");
        boolean isLoss = facts.kind() == AlarmKind.SUPPLY_LOST;
        String what = isLoss ? "cabinet" : "sensor";
        String how = isLoss ? fresh == 1 ? "has no supply" : "have no supply" : fresh == 1 ? "is not heard" : "are not heard";
        String sentence = (fresh == 1 ? "One more " + what : fresh + " more " + what + "s") + " of " + site + " " + how + "; " + together.count()
                + " in all.";
        lines.add(sentence);
        lines.add("");
        lines.add("Take them: " + facts.link());
        lines.add("Opening the link changes nothing. Only what you press on the page counts.");
        section("Which are new", boards(together.fresh()));
        section(isLoss ? "Lost and back again" : "Heard again", back());
        if (isLoss) {
            section("How long it stays warm", facts.outlook().map(Outlook::sentences).orElse(List.of()));
        }
        elsewhere();
        section(isLoss ? "All that have no supply, by board" : "All that are not heard, by board", together.lost().stream().map(AlarmLetter::share).toList());
        facts.advice().ifPresent(this::advice);
        section("Who is told", whoIsTold());
        footer();
        return answerable(sentence + briefForecast() + " " + mark(), sentence + briefForecast());
    }

    /** "All 24 on board A: H1 to H24." No label is left out. */
    private static List<String> boards(List<OnBoard> boards) {
        return boards.stream().map(each -> share(each).replaceAll("\\.$", "") + ": " + CodeRanges.of(each.codes()) + ".").toList();
    }

    private static String share(OnBoard each) {
        int count = each.codes().size();
        String board = named("board", each.board());
        return count < each.ofAll() ? count + " of " + each.ofAll() + " on " + board + "."
                : count == 1 ? "The only one on " + board + "." : "All " + count + " on " + board + ".";
    }

    private List<String> back() {
        List<String> back = facts.together().map(Together::back).orElse(List.of());
        return back.isEmpty() ? List.of() : List.of(CodeRanges.of(back) + ".");
    }

    private boolean isOfMany() {
        return facts.together().filter(it -> it.count() > 1).isPresent();
    }

    private Letter alarm() {
        lines.add(headline());
        lines.add("");
        lines.add("Take it: " + facts.link());
        lines.add("Opening the link changes nothing. Only what you press on the page counts: \"I take this\", or \"I can't\" to have the next one told.");
        if (isOfMany()) {
            section("Which cabinets", boards(facts.together().orElseThrow().lost()));
        }
        section("Lost and back again", back());
        whatToKnow();
        section("Who is told", whoIsTold());
        footer();
        String sentence = subjectSentence() + briefForecast();
        return answerable((sentence + " " + mark()).strip(), (sentence + " " + boardAndWay()).strip(), sentence,
                fewest() + brief().map(words -> ". " + Sentences.capital(words)).orElse(""));
    }

    private Letter returnedLetter(Instant returnedAt, Optional<String> takenBy, int together) {
        String back = backSentence(returnedAt) + (together > 1 ? ", the last of " + together + " that were told of together" : "");
        String who = takenBy.map(name -> name + " has it").orElse("the alarm still needs somebody to take it");
        lines.add(back + "; " + who + ".");
        lines.add("");
        lines.add((takenBy.isPresent() ? "See it: " : "Take it: ") + facts.link());
        lines.add("Opening the link changes nothing.");
        section("What and where", whatAndWhere());
        section("What it means", meaningOfReturn());
        footer();
        return new Letter(back + "; " + who + ".", text(), List.of(back + "."), takenBy.isEmpty());
    }

    private Letter sensorRetiredLetter(Optional<String> retiredBy) {
        String what = switch (facts.kind()) {
            case LOOK_MISSED, LAMP_OUT, DAMAGE_SEEN, CONTENT_TOO_COLD, CONTENT_TOO_HOT -> where() + " was taken out of use";
            case SUPPLY_LOST, PROBABLE_SITE_LOSS, NOT_HEARD, UNSTEADY, SENSOR_AND_LAMP_DIFFER, HEATER_NOT_HEATING,
                HEATER_NEVER_STOPS, HEATER_TOO_SMALL, DOOR_OPEN, LOOKS_EMPTIED, NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING,
                MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL, HEARTBEAT_NOT_SENT -> "The sensor of " + where() + " was retired";
        };
        String sentence = what + retiredBy.map(name -> " by " + name).orElse("") + " at "
                + clock(facts.now()) + "; this alarm ended with it.";
        lines.add(sentence);
        lines.add("That does not say that the supply is back: only the lamp tells that now.");
        lines.add("");
        lines.add("See it: " + facts.link());
        lines.add("Opening the link changes nothing.");
        section("What and where", whatAndWhere());
        footer();
        return letter(sentence);
    }

    /** All that whoever may have to go needs. */
    private void whatToKnow() {
        elsewhere();
        section(isOfMany() ? "The first of them" : "What and where", whatAndWhere());
        section("What it means", meaning());
        if (facts.advice().isPresent()) {
            advice(facts.advice().get());
        } else {
            section("Where to look first", placesWithoutAdvice());
        }
        section("Getting in", gettingIn());
        electrician();
    }

    private void elsewhere() {
        section("Lost at other sites too", facts.elsewhere().stream().map(LostElsewhere::sentence).toList());
    }

    private Letter askingLetter(String holder, Instant until) {
        String sentence = holder + " asks you to take it over: " + subjectSentence();
        lines.add(sentence);
        lines.add(holder + " has it until you do. Please answer until " + clock(until) + ".");
        lines.add("");
        lines.add("Take it, or say that you cannot: " + facts.link());
        lines.add("Opening the link changes nothing. Only \"I take this\" on the page does.");
        if (isOfMany()) {
            section("Which cabinets", boards(facts.together().orElseThrow().lost()));
        }
        whatToKnow();
        footer();
        return answerable(sentence, holder + " asks you to take it over. " + fewest(), holder + " hands on: " + fewest());
    }

    private Letter stillYoursLetter(String asked, NotTakenOver why) {
        String sentence = switch (why) {
            case DECLINED -> asked + " cannot take it over; you still have it.";
            case DID_NOT_ANSWER -> asked + " has not answered; you still have it.";
            case NOT_REACHED -> asked + " could not be told; you still have it.";
        };
        lines.add(sentence);
        lines.add(headline());
        lines.add("");
        lines.add("See it, or hand it on to another: " + facts.link());
        lines.add("Opening the link changes nothing.");
        section("What and where", whatAndWhere());
        footer();
        return answerable(sentence + " " + subjectSentence(), sentence + " " + fewest(), "Still yours: " + fewest());
    }

    private Letter takenLetter(String takenBy, Instant takenAt, Optional<Instant> arrival) {
        String sentence = takenBy + " has taken it at " + clock(takenAt) + arrival.map(at -> ", there at " + clock(at)).orElse("") + ": "
                + subjectSentence();
        lines.add(sentence);
        lines.add("You need not do anything.");
        lines.add("");
        lines.add("See it: " + facts.link());
        lines.add("Opening the link changes nothing.");
        section("What and where", whatAndWhere());
        footer();
        return new Letter(sentence, text(), List.of(takenBy + " has taken it. " + fewest()), false);
    }

    private Letter letter(String subject) {
        return new Letter(subject, text());
    }

    /** @param shorter the subject in ever fewer words */
    private Letter answerable(String subject, String... shorter) {
        return new Letter(subject, text(), List.of(shorter), true);
    }

    private String text() {
        return String.join("\n", lines) + "\n";
    }

    /** What, where and since when, in as few words as anybody understands; what is about Lampkeeper itself has no place. */
    private String fewest() {
        String what = switch (facts.kind()) {
            case SUPPLY_LOST -> "No supply: ";
            case PROBABLE_SITE_LOSS -> "Probably no supply: ";
            case NOT_HEARD -> "Not heard: ";
            case UNSTEADY -> "Unsteady supply: ";
            case LOOK_MISSED -> "Not looked at: ";
            case LAMP_OUT -> "Lamp out: ";
            case DAMAGE_SEEN -> "Damaged or missing: ";
            case SENSOR_AND_LAMP_DIFFER -> "Sensor and lamp differ: ";
            case CONTENT_TOO_COLD -> "Content too cold: ";
            case CONTENT_TOO_HOT -> "Content too hot: ";
            case HEATER_NOT_HEATING -> "Heater does not heat: ";
            case HEATER_NEVER_STOPS -> "Heater does not stop: ";
            case HEATER_TOO_SMALL -> "Heater too small: ";
            case DOOR_OPEN -> "Door open: ";
            case LOOKS_EMPTIED -> "Content looks taken out: ";
            case NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL,
                    HEARTBEAT_NOT_SENT -> "";
        };
        String place = isOfMany() ? facts.together().orElseThrow().count() + " of " + site().map(SiteSheet::name).orElse("the site") : where();
        return what.isEmpty() ? subjectSentence().replaceFirst(": .*", ".") : what + place + ", " + clock(facts.since());
    }

    private String headline() {
        if (isOfMany()) {
            return facts.together().orElseThrow().count() + " cabinets of " + site().map(SiteSheet::name).orElse("the site")
                    + " have no supply since " + clock(facts.since()) + " (" + age() + ").";
        }
        return Sentences.alarmHeadline(facts.kind(), where(), facts.since(), facts.outlook().flatMap(Outlook::eased), facts.now(), zone, true);
    }

    /** The headline without "(4 min)": a subject is read hours later, when that is no longer true. */
    private String subjectSentence() {
        return headline().replace(" (" + age() + ")", "");
    }

    private String age() {
        return Sentences.ago(Duration.between(facts.since(), facts.now()));
    }

    private String clock(Instant at) {
        return Sentences.clock(at, zone, facts.now());
    }

    private String where() {
        if (facts.about() instanceof OfCabinet about) {
            return about.cabinet().name();
        }
        if (facts.about() instanceof OfSite about) {
            return about.site().name();
        }
        return "Lampkeeper";
    }

    /** What must be at hand without opening the letter: "Board A way 4, C16 30 mA, 3 A fuse." */
    private String mark() {
        if (isOfMany()) {
            List<OnBoard> boards = facts.together().orElseThrow().lost();
            return boards.size() == 1 ? share(boards.get(0)) : "On " + boards.size() + " boards.";
        }
        if (facts.about() instanceof OfCabinet about) {
            return Sentences.capital(mark(about.cabinet()));
        }
        if (facts.about() instanceof OfSite about) {
            return about.cabinets().size() == 1 ? Sentences.capital(mark(about.cabinets().get(0))) : about.cabinets().size() + " cabinets.";
        }
        return "";
    }

    /** The mark without what only an electrician needs; empty where it is about several cabinets. */
    private String boardAndWay() {
        return !isOfMany() && facts.about() instanceof OfCabinet about ? Sentences.capital(board(about.cabinet()) + " " + way(about.cabinet().circuit())) + "."
                : "";
    }

    private static String mark(CabinetSheet cabinet) {
        return board(cabinet) + " " + way(cabinet.circuit()) + ", " + cabinet.circuit().deviceMark().replace(",", "") + ", "
                + cabinet.circuit().fuseAmpere() + " A fuse.";
    }

    private static String board(CabinetSheet cabinet) {
        return named("board", cabinet.board().name());
    }

    private static String way(CircuitSheet circuit) {
        return named("way", circuit.way());
    }

    /** "board A" for what the register calls "A" or "Board A". */
    private static String named(String noun, String name) {
        String stripped = name.strip();
        return stripped.toLowerCase(Locale.ROOT).startsWith(noun + " ") ? noun + stripped.substring(noun.length()) : noun + " " + stripped;
    }

    private List<String> whatAndWhere() {
        String since = "Since " + clock(facts.since()) + " (" + zone.getId() + "), " + age() + " before this was written.";
        if (facts.about() instanceof OfCabinet about) {
            CabinetSheet cabinet = about.cabinet();
            return List.of(
                    cabinet.name() + ", label " + cabinet.code() + ", " + cabinet.content() + ": " + sentence(cabinet.place()),
                    cabinet.site().name() + ", " + sentence(cabinet.site().address()),
                    Sentences.capital(mark(cabinet)) + " Lamp: " + sentence(cabinet.lampPlace()),
                    since);
        }
        if (facts.about() instanceof OfSite about) {
            List<String> places = new ArrayList<>();
            places.add(about.site().name() + ", " + sentence(about.site().address()));
            for (CabinetSheet cabinet : about.cabinets()) {
                places.add("- " + cabinet.name() + ", label " + cabinet.code() + ", " + cabinet.content() + ": " + sentence(cabinet.place())
                        + " " + Sentences.capital(mark(cabinet)));
            }
            places.add(since);
            return places;
        }
        if (facts.about() instanceof OfInstallation about) {
            return List.of("This Lampkeeper itself. " + about.detail(), since);
        }
        throw new IllegalStateException("unknown subject of a letter " + facts.about());
    }

    private List<String> meaning() {
        return switch (facts.kind()) {
            case SUPPLY_LOST -> withForecast(
                    "The heater is off. Left without supply, the content cannot be protected from frost.");
            case PROBABLE_SITE_LOSS -> List.of(
                    "Several sensors went quiet together. A lost supply and a dead router look the same from here:",
                    "treat it as a lost supply of the whole site until somebody has seen a lamp.",
                    "If it is one, the heaters are off, and the content cannot be protected from frost.",
                    "No forecast: no temperature is known while the sensors are silent.");
            case NOT_HEARD -> withForecast(
                    "The sensor has broken its promise to report. Nobody knows if the cabinet has supply: only the lamp can tell.");
            case UNSTEADY -> List.of("The supply came and went several times. Each time it came back by itself; the next time it may not.");
            case LOOK_MISSED -> List.of(
                    "Whoever was asked has not said what they saw. A lamp helps only if somebody looks:",
                    "until somebody does, nobody knows from it if the cabinet has supply.");
            case LAMP_OUT -> withForecast(
                    "Somebody stood there and saw the lamp out. The heater is off if the supply is lost, and the content cannot be protected from frost.");
            case DAMAGE_SEEN -> List.of(
                    "Somebody stood there and found something damaged or missing. It may not be fit for use.");
            case SENSOR_AND_LAMP_DIFFER -> withForecast(
                    "The sensor says one thing, somebody who stood there saw the other. One of them is wrong, and nobody knows which:",
                    "treat the supply as lost until an electrician has measured it.");
            case CONTENT_TOO_COLD, CONTENT_TOO_HOT -> withForecast(
                    "It was measured beyond what the maker of the content allows. It may look well and still fail when it is needed:",
                    "do not rely on it before somebody competent has inspected it. This stays open until the record says that it is fit for use.");
            case HEATER_NOT_HEATING -> withForecast(
                    "The supply is there, and the inside follows the outside all the same. A blown element, a thermostat or a loose wire look the same from here,",
                    "and so does an open door where no sensor reads it.");
            case HEATER_NEVER_STOPS -> List.of(
                    "It heats well above its set point, and no end: the content may become too hot, and something may burn.");
            case HEATER_TOO_SMALL -> List.of(
                    "It heats, but by what it has done it cannot hold the set point in the winter that the register names for this place.");
            case DOOR_OPEN -> withForecast(
                    "An open door lets the warmth out many times as fast: the content may become too cold though the supply is there.");
            case LOOKS_EMPTIED -> List.of(
                    "Since the door was closed, the inside warms and cools faster than with its content in it. Somebody may have needed it, or taken it away.",
                    "Whoever looks for it there may find nothing.");
            case NOT_LISTENING -> List.of(
                    "No report of any sensor is heard. A supply that is lost now is NOT noticed.",
                    "Until this is mended, somebody must look at the lamps.");
            case MAIL_NOT_SENDING -> List.of(
                    "Messages wait and are tried again. Whoever should be told by mail may not know of a lost supply.");
            case BROKER_DROPPING -> List.of(
                    "Reports were thrown away before Lampkeeper could hear them. A short loss may have gone unnoticed.");
            case MESSAGES_STUCK -> List.of(
                    "A message has waited for longer than it should. Whoever it is for may not know of a lost supply.");
            case DATABASE_SLOW -> List.of(
                    "Lampkeeper tells only what is stored, so every alarm comes late by as much as the database takes.");
            case CLOCK_STEPPED -> List.of(
                    "The clock went forward or back at once, or the machine stood still. Silence may have been judged too early or too late,",
                    "and times in the journal around it are not reliable.");
            case DISK_NEARLY_FULL -> List.of(
                    "When it is full, nothing can be stored: no report is taken in, and a supply that is lost then is NOT noticed.");
            case HEARTBEAT_NOT_SENT -> List.of(
                    "What watches Lampkeeper from outside hears nothing and may think that it is dead. If Lampkeeper died now, nobody could tell.");
        };
    }

    private List<String> meaningOfReturn() {
        return switch (facts.kind()) {
            case SUPPLY_LOST, UNSTEADY -> List.of(
                    "It is there again as far as Lampkeeper hears; that says nothing about the cause, and it may go again.",
                    "What the cabinet holds may have become too cold meanwhile: it is fit for use only once somebody has looked at it.");
            case CONTENT_TOO_COLD, CONTENT_TOO_HOT -> List.of(
                    "Somebody has looked at it and says that it is fit for use, though it was too cold or too hot.");
            case HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL -> List.of(
                    "That says nothing about the cause, and it may come again.",
                    "What the cabinet holds may have become too cold or too hot meanwhile: have it looked at.");
            case DOOR_OPEN, LOOKS_EMPTIED -> List.of(
                    "Nobody knows from here if everything is in it.",
                    "What it holds may have become too cold meanwhile: have it looked at.");
            case LOOK_MISSED -> List.of(
                    "That it was missed stays on record.",
                    "Nobody knows what was before; what is kept there may have become too cold meanwhile.");
            case LAMP_OUT, SENSOR_AND_LAMP_DIFFER -> List.of(
                    "That says nothing about the cause, and it may come again.",
                    "What the cabinet holds may have become too cold meanwhile: it is fit for use only once somebody has looked at it.");
            case DAMAGE_SEEN -> List.of(
                    "Somebody looked again and says that all is well.",
                    "If the cabinet stood open, what it holds may have become too cold: it is fit for use only once somebody has looked at it.");
            case PROBABLE_SITE_LOSS, NOT_HEARD -> List.of(
                    "Being heard is not having supply: what the sensors say now is on the page.",
                    "Nobody knows what was while nothing was heard; what is kept there may have become too cold.");
            case NOT_LISTENING -> List.of(
                    "Reports are heard again. A supply that was lost meanwhile has an alarm of its own by now, if the broker kept its report.");
            case MAIL_NOT_SENDING -> List.of("What waited goes out by itself.");
            case BROKER_DROPPING -> List.of("What was thrown away does not come back: a short loss may have gone unnoticed.");
            case MESSAGES_STUCK -> List.of("No message waits for too long any more: what waited has left, or was given up as undelivered.");
            case DATABASE_SLOW -> List.of("What was told meanwhile was told late.");
            case CLOCK_STEPPED -> List.of("Times in the journal before and after it may not fit together.");
            case DISK_NEARLY_FULL -> List.of("There is room again; what filled it may come back.");
            case HEARTBEAT_NOT_SENT -> List.of("What watches from outside hears it again.");
        };
    }

    private List<String> withForecast(String... lines) {
        return Stream.concat(Arrays.stream(lines), forecast().stream()).toList();
    }

    private List<String> forecast() {
        return facts.outlook().map(Outlook::sentences).or(() -> facts.inside().map(inside -> List.of(lastKnown(inside))))
                .orElse(List.of("No forecast: no temperature is known yet."));
    }

    private String lastKnown(Inside inside) {
        return "Inside it was " + String.format(Locale.ROOT, "%.1f", inside.celsius()) + " °C at " + clock(inside.observedAt())
                + ". How long it stays within its limits is not reckoned.";
    }

    /** " Below 0 °C 02:40-04:10." for a lost supply, where something is forecast: it stands before all that can be left out. */
    private String briefForecast() {
        return brief().map(words -> " " + Sentences.capital(words) + ".").orElse("");
    }

    private Optional<String> brief() {
        return facts.outlook().filter(outlook -> facts.kind().leavesUnheated()).flatMap(Outlook::brief);
    }

    private void advice(Advice advice) {
        heading("Where to look first");
        if (!advice.summary().isBlank()) {
            lines.add(advice.summary());
        }
        places(advice.youMayLook(), advice.electricianOnly());
        section("Cautions", advice.cautions().stream().map(caution -> "- " + caution).toList());
    }

    /** Numbered through over both parts, so that "look at 4" on the telephone means one place. */
    private void places(List<String> youMayLook, List<String> electricianOnly) {
        int number = 1;
        lines.add("You may look:");
        for (String place : youMayLook) {
            lines.add(number++ + ". " + place);
        }
        if (!electricianOnly.isEmpty()) {
            lines.add("Electrician only:");
            for (String place : electricianOnly) {
                lines.add(number++ + ". " + place);
            }
        }
    }

    private List<String> placesWithoutAdvice() {
        return switch (facts.kind()) {
            case DAMAGE_SEEN -> List.of(
                    "You may look:",
                    "1. The cabinet, from where you stand: what is broken, open or gone? Is anything wet, or does metal tingle? Then stay clear and keep others away.",
                    "2. What it holds: is it there, whole, and in date? Put it out of reach of weather, and say so to whoever may need it.",
                    "Everything behind a cover is for an electrician only.");
            case CONTENT_TOO_COLD, CONTENT_TOO_HOT -> List.of(
                    "You may look:",
                    "1. The lamp and the door, from where you stand: lit, and closed? If the lamp is out, treat the supply as lost.",
                    "2. Tell those who rely on it where another one is, now.",
                    "3. Move the content only if the responsible person agrees, and leave a sign that says where it is.",
                    "Everything behind a cover is for an electrician only.");
            case HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL -> List.of(
                    "You may look:",
                    "1. The door: is it closed, and its seal whole?",
                    "2. The cabinet, from where you stand: heat, a smell, scorching, water? Then stay clear and keep others away.",
                    "Electrician only:",
                    "3. The heater, its thermostat and its wiring.",
                    "Everything behind a cover is for an electrician only.");
            case DOOR_OPEN, LOOKS_EMPTIED -> List.of(
                    "You may look:",
                    "1. The door: close it, unless something is wet or damaged or metal tingles. Then stay clear and keep others away.",
                    "2. What it holds: is it there, whole, and in date? If it was used, tell the responsible person: it must be made ready again.",
                    "Everything behind a cover is for an electrician only.");
            case SUPPLY_LOST, NOT_HEARD, UNSTEADY, LOOK_MISSED, LAMP_OUT, SENSOR_AND_LAMP_DIFFER -> List.of(
                    "You may look:",
                    "1. The lamp: lit or out? If it is out, treat the supply as lost.",
                    "2. The cabinet and the sensor, from where you stand: damage, water, a smell? Then stay clear and keep others away.",
                    "Everything behind a cover is for an electrician only.");
            case PROBABLE_SITE_LOSS -> List.of(
                    "You may look:",
                    "1. The lamps of the cabinets: lit or out? One that is out means that the supply is lost.",
                    "2. Street lights and windows around: is the power out there too? Then the network operator must know.",
                    "3. The router of the site: do its lights burn?",
                    "Electrician only:",
                    "4. The intake of the site" + intake() + ".");
            case NOT_LISTENING -> List.of(
                    "1. Is the broker running, and does this machine reach it?",
                    "2. /q/health of Lampkeeper: what does it say of the broker and of the database?",
                    "3. Is the disk full?");
            case MAIL_NOT_SENDING -> List.of(
                    "1. Is the mail server running, and does this machine reach it?",
                    "2. The sent messages: what did the mail server answer?",
                    "3. Has the password of the sender changed?");
            case BROKER_DROPPING -> List.of(
                    "1. The broker's queue for Lampkeeper: its limit, and how long Lampkeeper was away.",
                    "2. config/mosquitto.conf: max_queued_messages must be 0.");
            case MESSAGES_STUCK -> List.of(
                    "1. The sent messages: which one waits, by which channel, and what was answered?",
                    "2. The channels of that person: would another one do?",
                    "3. Tell them by telephone if it is about a loss.");
            case DATABASE_SLOW -> List.of(
                    "1. The machine of the database: is its disk or its processor busy?",
                    "2. Does something else use the same disk, such as a backup?",
                    "3. The network between Lampkeeper and PostgreSQL.");
            case CLOCK_STEPPED -> List.of(
                    "1. Is the clock of the machine right now, and does it follow a time server (NTP)?",
                    "2. Did the machine sleep, or was it stopped and moved as a whole?");
            case DISK_NEARLY_FULL -> List.of(
                    "1. What fills the disk of Lampkeeper's data? Logs and backups first.",
                    "2. Never delete what is in data/ itself.");
            case HEARTBEAT_NOT_SENT -> List.of(
                    "1. Is the broker running, and does this machine reach it?",
                    "2. The address that the heartbeat goes to by HTTP: does it answer?",
                    "3. Look at the page Operation yourself meanwhile: nobody else does.");
        };
    }

    private String intake() {
        return facts.about() instanceof OfSite about && !about.site().intake().isBlank() ? " (" + about.site().intake() + ")" : "";
    }

    private List<String> gettingIn() {
        List<String> ways = new ArrayList<>();
        site().filter(site -> !site.access().isBlank()).ifPresent(site -> ways.add(site.name() + ": " + sentence(site.access())));
        cabinets().stream().map(AlarmLetter::boardAccess).flatMap(Optional::stream).distinct().forEach(ways::add);
        return ways;
    }

    private static Optional<String> boardAccess(CabinetSheet cabinet) {
        BoardSheet board = cabinet.board();
        String at = cabinet.isFedFromAnotherSite() ? board.siteName() + ", " + board.place() : board.place();
        return Optional.of(Sentences.capital(named("board", board.name())) + ": "
                + sentence(at + (board.access().isBlank() ? "" : ", " + board.access())));
    }

    private void electrician() {
        site().ifPresent(site -> section("Electrician", List.of(site.electrician().map(AlarmLetter::reached)
                .orElse("None is entered for " + site.name() + "."))));
    }

    private static String reached(Electrician electrician) {
        return electrician.name() + electrician.phone().map(phone -> ", " + phone).orElse(", no number is entered") + ".";
    }

    private Optional<SiteSheet> site() {
        if (facts.about() instanceof OfCabinet about) {
            return Optional.of(about.cabinet().site());
        }
        return facts.about() instanceof OfSite about ? Optional.of(about.site()) : Optional.empty();
    }

    private List<CabinetSheet> cabinets() {
        if (facts.about() instanceof OfCabinet about) {
            return List.of(about.cabinet());
        }
        return facts.about() instanceof OfSite about ? about.cabinets() : List.of();
    }

    private List<String> whoIsTold() {
        List<String> told = new ArrayList<>();
        if (!facts.toldAlready().isEmpty()) {
            told.add("Told before you, and nobody has taken it: " + String.join(", ", facts.toldAlready()) + ".");
        }
        told.add(facts.next()
                .map(next -> (next.reader() ? "You are told again" : next.name() + " is told next,") + " at " + clock(next.at())
                        + " unless somebody takes it.")
                .orElse("Nobody is told after you."));
        return told;
    }

    private String backSentence(Instant returnedAt) {
        String since = clock(returnedAt);
        return switch (facts.kind()) {
            case SUPPLY_LOST -> where() + " has supply again since " + since;
            case PROBABLE_SITE_LOSS, NOT_HEARD -> where() + " is heard again since " + since;
            case UNSTEADY -> where() + " has steady supply again since " + since;
            case LOOK_MISSED -> where() + " was looked at, and is known of again since " + since;
            case LAMP_OUT -> "The lamp of " + where() + " was seen lit again since " + since;
            case DAMAGE_SEEN -> "All is well at " + where() + " again since " + since;
            case SENSOR_AND_LAMP_DIFFER -> "Sensor and lamp of " + where() + " agree again since " + since;
            case CONTENT_TOO_COLD, CONTENT_TOO_HOT -> "The content of " + where() + " is fit for use again since " + since;
            case HEATER_NOT_HEATING -> "The heater of " + where() + " heats again since " + since;
            case HEATER_NEVER_STOPS -> "The heater of " + where() + " stops again since " + since;
            case HEATER_TOO_SMALL -> "The heater of " + where() + " keeps up again since " + since;
            case DOOR_OPEN -> "The door of " + where() + " is closed again since " + since;
            case LOOKS_EMPTIED -> "The content of " + where() + " seems to be there again since " + since;
            case NOT_LISTENING -> "Lampkeeper listens again since " + since;
            case MAIL_NOT_SENDING -> "Mail is sent again since " + since;
            case BROKER_DROPPING -> "The broker takes every message again since " + since;
            case MESSAGES_STUCK -> "Messages leave again since " + since;
            case DATABASE_SLOW -> "The database is fast again since " + since;
            case CLOCK_STEPPED -> "The clock runs evenly again since " + since;
            case DISK_NEARLY_FULL -> "A disk of Lampkeeper has room again since " + since;
            case HEARTBEAT_NOT_SENT -> "Lampkeeper's heartbeat is sent again since " + since;
        };
    }

    private void footer() {
        lines.add("");
        lines.add("-- ");
        lines.add("Lampkeeper is not an emergency service. In an emergency call the local emergency number.");
        lines.add("Times are those of " + zone.getId() + ". Written at " + clock(facts.now()) + ".");
        lines.add("Journal " + facts.journal().number() + " " + facts.journal().hash());
    }

    private void section(String heading, List<String> content) {
        if (!content.isEmpty()) {
            heading(heading);
            lines.addAll(content);
        }
    }

    private void heading(String heading) {
        lines.add("");
        lines.add(heading.toUpperCase(Locale.ROOT));
    }

    /** What was typed into the register may end with a full stop already. */
    private static String sentence(String text) {
        return text.strip().matches("(?s).*[.!?]") ? text.strip() : text.strip() + ".";
    }
}
