package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import org.lampkeeper.alarm.SupplyOverview.Lost;
import org.lampkeeper.alarm.SupplyOverview.NotKnown;
import org.lampkeeper.supply.Reading;

/** The headlines: the same sentence as page title, in a mail and in an SMS, so plain letters only. */
public final class Sentences {

    // English, so that a month reads the same whatever the server's own language is.
    private static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("HH:mm", Locale.ENGLISH);
    private static final DateTimeFormatter DAY_AND_TIME = DateTimeFormatter.ofPattern("d MMM HH:mm", Locale.ENGLISH);
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMM", Locale.ENGLISH);
    private static final DateTimeFormatter DAY_AND_YEAR = DateTimeFormatter.ofPattern("d MMM uuuu", Locale.ENGLISH);
    private static final DateTimeFormatter YEAR_TOO = DateTimeFormatter.ofPattern("d MMM uuuu HH:mm", Locale.ENGLISH);

    private Sentences() {
    }

    /**
     * What an alarm says in one sentence.
     *
     * @param where the cabinet or the site; not used for what is about Lampkeeper itself
     * @param live  whether the condition is still there; how long ago is said only then
     */
    public static String alarmHeadline(AlarmKind kind, String where, Instant since, Instant now, ZoneId zone, boolean live) {
        return alarmHeadline(kind, where, since, Optional.empty(), now, zone, live);
    }

    /** The same. {@code eased}: when what was measured was right again, though the condition stays until somebody has looked. */
    public static String alarmHeadline(AlarmKind kind, String where, Instant since, Optional<Instant> eased, Instant now, ZoneId zone, boolean live) {
        String from = clock(since, zone, now);
        String sinceThen = "since " + from + " (" + ago(Duration.between(since, now)) + ")";
        return switch (kind) {
            case SUPPLY_LOST -> live
                    ? where + " has no supply " + sinceThen + "."
                    : where + " lost its supply at " + from + " and has it again.";
            case PROBABLE_SITE_LOSS -> live
                    ? where + " has probably lost its supply: sensors are silent " + sinceThen + "."
                    : where + " was silent from " + from + " and is heard again.";
            case NOT_HEARD -> live
                    ? where + " is not heard " + sinceThen + ": nobody knows if it has supply."
                    : where + " was not heard from " + from + " and is heard again.";
            case UNSTEADY -> live
                    ? where + " has unsteady supply " + sinceThen + "."
                    : where + " had unsteady supply from " + from + " and it is steady again.";
            case LOOK_MISSED -> live
                    ? where + " was not looked at: a look was due by " + from + "."
                    : where + " was not looked at by " + from + ", and has been since.";
            case LAMP_OUT -> live
                    ? "The lamp of " + where + " was seen out at " + from + ": treat its supply as lost."
                    : "The lamp of " + where + " was seen out at " + from + " and lit again since.";
            case DAMAGE_SEEN -> live
                    ? "Something at " + where + " is damaged or missing, seen at " + from + "."
                    : "Something at " + where + " was damaged or missing at " + from + ", and all was well at a look since.";
            case SENSOR_AND_LAMP_DIFFER -> live
                    ? "Sensor and lamp of " + where + " differ " + sinceThen + ": nobody knows if it has supply."
                    : "Sensor and lamp of " + where + " differed from " + from + " and agree again.";
            case CONTENT_TOO_COLD -> pastItsLimit(where, "too cold", from, sinceThen, eased.map(at -> clock(at, zone, now)), live);
            case CONTENT_TOO_HOT -> pastItsLimit(where, "too hot", from, sinceThen, eased.map(at -> clock(at, zone, now)), live);
            case HEATER_NOT_HEATING -> live
                    ? "The heater of " + where + " does not heat " + sinceThen + ", though the supply is there."
                    : "The heater of " + where + " did not heat from " + from + " and heats again.";
            case HEATER_NEVER_STOPS -> live
                    ? "The heater of " + where + " does not stop " + sinceThen + "."
                    : "The heater of " + where + " did not stop from " + from + " and stops again.";
            case HEATER_TOO_SMALL -> live
                    ? "The heater of " + where + " is too small for the winter there, seen at " + from + "."
                    : "The heater of " + where + " was found too small at " + from + " and is not found so again.";
            case DOOR_OPEN -> live
                    ? "The door of " + where + " is open " + sinceThen + "."
                    : "The door of " + where + " was open from " + from + " and is closed again.";
            case LOOKS_EMPTIED -> live
                    ? "The content of " + where + " looks taken out " + sinceThen + ": nobody knows if it is there."
                    : "The content of " + where + " looked taken out from " + from + " and is there again.";
            case NOT_LISTENING -> live
                    ? "Lampkeeper is not listening " + sinceThen + ": nobody knows."
                    : "Lampkeeper was not listening from " + from + " and listens again.";
            case MAIL_NOT_SENDING -> live
                    ? "Mail is not being sent " + sinceThen + "."
                    : "Mail was not sent from " + from + " and is sent again.";
            case BROKER_DROPPING -> live
                    ? "The broker is dropping messages " + sinceThen + ": reports may be missing."
                    : "The broker dropped messages from " + from + " and takes them again: reports may be missing.";
            case MESSAGES_STUCK -> live
                    ? "Messages have not left " + sinceThen + ": somebody may not know of a loss."
                    : "Messages did not leave from " + from + " and leave again.";
            case DATABASE_SLOW -> live
                    ? "The database is slow " + sinceThen + ": what Lampkeeper tells comes late."
                    : "The database was slow from " + from + " and is fast again.";
            case CLOCK_STEPPED -> live
                    ? "The clock of a machine jumped at " + from + ": times may be wrong."
                    : "The clock of a machine jumped at " + from + " and runs evenly again: look at the times before.";
            case DISK_NEARLY_FULL -> live
                    ? "A disk of Lampkeeper is nearly full " + sinceThen + ": soon nothing can be stored."
                    : "A disk of Lampkeeper was nearly full from " + from + " and has room again.";
            case HEARTBEAT_NOT_SENT -> live
                    ? "Lampkeeper's heartbeat is not sent " + sinceThen + ": what watches it does not know if it is well."
                    : "Lampkeeper's heartbeat was not sent from " + from + " and is sent again.";
        };
    }

    private static String pastItsLimit(String where, String how, String from, String sinceThen, Optional<String> eased, boolean live) {
        if (!live) {
            return "The content of " + where + " was " + how + " from " + from + eased.map(at -> " to " + at).orElse("") + ", and somebody has looked at it since.";
        }
        return eased.map(at -> "The content of " + where + " was " + how + " from " + from + " to " + at + ": have it inspected before use.")
                .orElse("The content of " + where + " is " + how + " " + sinceThen + ": do not rely on it.");
    }

    /** Whether everything has supply, and if not, what was lost; where nothing was lost, of what nobody knows. */
    public static String supplyHeadline(SupplyOverview overview, Instant now, ZoneId zone) {
        if (overview.notListeningSince().isPresent()) {
            return "Lampkeeper is not listening since " + clock(overview.notListeningSince().get(), zone, now) + ": nobody knows."
                    + lost(overview.lost(), "its supply", "their supply", now, zone);
        }
        if (overview.cabinets() == 0) {
            return "No cabinet is registered yet.";
        }
        if (overview.notKnown().size() == overview.cabinets()) {
            return overview.notKnown().stream().allMatch(each -> each.quietSince().isEmpty())
                    ? "Nothing has been heard yet: nobody knows if " + theCabinets(overview.cabinets()) + " supply."
                    : notKnown(overview.notKnown(), now, zone).orElseThrow();
        }
        String lost = lost(overview.lost(), "it", "it", now, zone);
        String rest = lost.isEmpty() ? notKnown(overview.notKnown(), now, zone).map(line -> " " + line).orElse("") : lost;
        return count(overview) + rest;
    }

    /** The line below the headline of a loss: of what else nobody knows. Empty where the headline says it, or where all is known. */
    public static Optional<String> supplySubline(SupplyOverview overview, Instant now, ZoneId zone) {
        if (overview.lost().isEmpty() || overview.notListeningSince().isPresent()) {
            return Optional.empty();
        }
        return notKnown(overview.notKnown(), now, zone);
    }

    /** Whether Lampkeeper itself is well, and if not, everything that is not. */
    public static String operationHeadline(OwnHealth health, Instant now, ZoneId zone) {
        List<String> faults = new ArrayList<>();
        if (!health.isBrokerThere()) {
            faults.add("the broker is not there");
        }
        if (!health.isListening()) {
            faults.add(health.lastListened().map(at -> "it does not listen since " + clock(at, zone, now)).orElse("it has not listened yet"));
        }
        health.mailFailingSince().ifPresent(since -> faults.add("no mail could be handed over since " + clock(since, zone, now)));
        health.unsentSince().ifPresent(since -> faults.add("a message has waited since " + clock(since, zone, now)));
        for (AlarmKind each : health.standing()) {
            ownFault(each).ifPresent(faults::add);
        }
        if (health.deadlinesOverdue() > 0) {
            faults.add(health.deadlinesOverdue() == 1 ? "one deadline is overdue" : health.deadlinesOverdue() + " deadlines are overdue");
        }
        if (!health.isJournalIntact()) {
            faults.add("its journal is not intact");
        }
        if (health.unsealed() > 0) {
            faults.add("the journal is not being sealed");
        }
        return faults.isEmpty() ? "Lampkeeper is well." : "Lampkeeper is not well: " + Words.all(faults) + ".";
    }

    /** Empty for what the health itself says. */
    private static Optional<String> ownFault(AlarmKind kind) {
        return switch (kind) {
            case DATABASE_SLOW -> Optional.of("the database is slow");
            case CLOCK_STEPPED -> Optional.of("the clock of a machine jumped");
            case DISK_NEARLY_FULL -> Optional.of("a disk is nearly full");
            case HEARTBEAT_NOT_SENT -> Optional.of("its heartbeat is not sent");
            case BROKER_DROPPING -> Optional.of("the broker is dropping messages");
            case NOT_LISTENING, MAIL_NOT_SENDING, MESSAGES_STUCK, SUPPLY_LOST, PROBABLE_SITE_LOSS, NOT_HEARD, UNSTEADY, LOOK_MISSED,
                LAMP_OUT, DAMAGE_SEEN, SENSOR_AND_LAMP_DIFFER, CONTENT_TOO_COLD, CONTENT_TOO_HOT, HEATER_NOT_HEATING, HEATER_NEVER_STOPS,
                HEATER_TOO_SMALL, DOOR_OPEN, LOOKS_EMPTIED -> Optional.empty();
        };
    }

    /**
     * What one cabinet is fed with now, and since when.
     *
     * @param reading what is known of its supply; {@code UNKNOWN} is never told as supply
     * @param since   since when; empty for never heard
     * @param carried who has the alarm; empty where none is open
     */
    public static String cabinetHeadline(String cabinet, Reading reading, Optional<Instant> since, String carried, Instant now, ZoneId zone) {
        String from = since.map(at -> " since " + clock(at, zone, now)).orElse("");
        String state = switch (reading) {
            case HEALTHY -> cabinet + " has supply";
            case LOST -> cabinet + " has no supply" + from;
            case UNKNOWN -> since.isEmpty() ? cabinet + " has not been heard yet, so nobody knows if it has supply"
                    : cabinet + " is not heard" + from + ", so nobody knows if it has supply";
        };
        return state + (carried.isEmpty() ? "." : "; " + carried + ".");
    }

    /** "40 s", "4 min", "3 h 5 min", "2 d", cut off, not rounded. What lies ahead (clocks differ) is "0 s". */
    public static String ago(Duration duration) {
        if (duration.compareTo(Duration.ofMinutes(1)) < 0) {
            return Math.max(0, duration.toSeconds()) + " s";
        }
        if (duration.compareTo(Duration.ofHours(1)) < 0) {
            return duration.toMinutes() + " min";
        }
        if (duration.compareTo(Duration.ofDays(1)) < 0) {
            return duration.toHours() + " h" + more(duration.toMinutesPart(), "min");
        }
        return duration.toDays() + " d" + more(duration.toHoursPart(), "h");
    }

    /** "02:41" in that zone; "24 Nov 02:41" on another day than {@code now}, with the year in another year. */
    public static String clock(Instant at, ZoneId zone, Instant now) {
        ZonedDateTime local = at.atZone(zone);
        ZonedDateTime today = now.atZone(zone);
        if (local.toLocalDate().equals(today.toLocalDate())) {
            return TIME.format(local);
        }
        return (local.getYear() == today.getYear() ? DAY_AND_TIME : YEAR_TOO).format(local);
    }

    /** "24 Nov" in that zone, with the year in another year than {@code now}. */
    public static String day(Instant at, ZoneId zone, Instant now) {
        return (at.atZone(zone).getYear() == now.atZone(zone).getYear() ? DAY : DAY_AND_YEAR).format(at.atZone(zone));
    }

    private static String count(SupplyOverview overview) {
        int all = overview.cabinets();
        int lit = overview.withSupply();
        if (lit == all) {
            return all == 1 ? "The only cabinet has supply." : "All " + all + " cabinets have supply.";
        }
        if (lit > 0) {
            return lit + " of " + all + " cabinets " + (lit == 1 ? "has" : "have") + " supply.";
        }
        // None is claimed to be without supply while nobody knows of some.
        String verb = overview.notKnown().isEmpty() ? "has" : "is known to have";
        return all == 1 ? "The only cabinet has no supply." : "None of the " + all + " cabinets " + verb + " supply.";
    }

    private static String lost(List<Lost> lost, String itsOne, String itsMany, Instant now, ZoneId zone) {
        if (lost.isEmpty()) {
            return "";
        }
        List<Lost> oldestFirst = lost.stream().sorted(Comparator.comparing(Lost::since)).toList();
        Lost first = oldestFirst.get(0);
        if (lost.size() == 1) {
            return " " + first.cabinet() + " lost " + itsOne + " at " + clock(first.since(), zone, now) + " and " + whoHasIt(lost) + ".";
        }
        String names = lost.size() == 2 ? first.cabinet() + " and " + oldestFirst.get(1).cabinet()
                : first.cabinet() + " and " + (lost.size() - 1) + " more";
        String from = clock(first.since(), zone, now);
        String to = clock(oldestFirst.get(lost.size() - 1).since(), zone, now);
        String when = from.equals(to) ? " at " + from : " from " + from + " on";
        return " " + names + " lost " + itsMany + when + " and " + whoHasIt(lost) + ".";
    }

    private static String whoHasIt(List<Lost> lost) {
        List<String> takers = lost.stream().flatMap(each -> each.takenBy().stream()).distinct().sorted().toList();
        long open = lost.stream().filter(each -> each.takenBy().isEmpty()).count();
        if (open == lost.size()) {
            return "nobody has taken " + (lost.size() == 1 ? "it" : "them") + " yet";
        }
        if (open > 0) {
            return "nobody has taken " + open + " of them yet";
        }
        return Words.list(takers) + (takers.size() == 1 ? " has " : " have ") + (lost.size() == 1 ? "it" : "them");
    }

    private static Optional<String> notKnown(List<NotKnown> cabinets, Instant now, ZoneId zone) {
        if (cabinets.isEmpty()) {
            return Optional.empty();
        }
        NotKnown first = cabinets.get(0);
        if (cabinets.size() > 1) {
            return Optional.of(Words.list(cabinets.stream().map(NotKnown::cabinet).toList()) + " are not heard, so nobody knows.");
        }
        return Optional.of(first.quietSince()
                .map(since -> first.cabinet() + " has been silent since " + clock(since, zone, now) + ", so nobody knows.")
                .orElse(first.cabinet() + " has not been heard yet, so nobody knows."));
    }

    private static String theCabinets(int count) {
        return count == 1 ? "the only cabinet has" : "the " + count + " cabinets have";
    }

    private static String more(int part, String unit) {
        return part == 0 ? "" : " " + part + " " + unit;
    }

    /** With its first letter as a capital. */
    public static String capital(String sentence) {
        return Words.capital(sentence);
    }
}
