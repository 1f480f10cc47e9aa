package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeParseException;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.function.Function;
import java.util.stream.Stream;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Sentences;

/** An entry of the journal as a sentence. What this program has no sentence for is still told, by its kind. Looks at no clock. */
final class JournalWords {

    /** The kinds that have a sentence of their own here; others may come, and are told all the same. */
    static final List<String> KINDS = Stream.of(
            "first-report-heard", "loss-suspected", "loss-confirmed", "dip-ended", "supply-unsteady", "supply-returned",
            "sensor-went-silent", "sensor-heard-again", "link-went-down", "link-came-up", "late-report-kept",
            "doubtful-report-kept", "sensor-clock-odd", "sensor-clock-right", "site-loss-suspected", "listening-began",
            "listening-ended", "alarm-raised", "alarm-raised-again", "alarm-returned", "alarm-acknowledged", "alarm-shelved",
            "alarm-suppressed", "alarm-hold-ended", "alarm-joined-call-out", "call-out-opened", "call-out-ended", "nobody-to-tell",
            "person-cannot-come", "person-not-reachable", "suppression-began", "suppression-ended", "work-announced",
            "alarm-ended-with-sensor", "alarm-called-again", "alarm-handed-on", "alarm-taken-over", "alarm-not-taken-over",
            "arrival-promised", "last-resort-told", "nobody-on-duty", "role-granted", "role-taken", "message-sent", "message-not-needed", "message-attempt-failed",
            "message-undelivered", "message-by-next-channel", "message-arrived", "message-not-arrived", "message-answered", "channel-added",
            "channel-removed", "channels-ordered", "channel-proven", "channel-returned", "channel-proof-sent", "channel-proof-planned", "channel-proof-withdrawn",
            "channel-proof-missed", "channel-proof-old", "webhook-registered", "webhook-changed", "webhook-secret-renewed", "webhook-removed",
            "webhook-undelivered", "attendance-written", "attendance-completed", "attendance-corrected", "attendance-not-recorded",
            "journal-verified", "evidence-made", "backup-taken", "signed-in", "signed-out", "sign-in-refused", "invitation-made", "invitation-used",
            "password-changed", "sessions-revoked", "cabinet-taken-out-of-use", "cabinet-brought-back-into-use",
            "handover-opened", "handover-photo-kept", "handover-signed-by-installer", "handover-signed-by-site", "handover-signature-taken-back", "proof-test-began", "proof-test-ended",
            "clock-compared", "clock-not-compared", "dates-told", "dates-not-told", "month-report-told", "month-report-not-told",
            "duty-gap-found", "duty-gap-filled", "duty-gaps-told", "duty-gaps-not-told").sorted().toList();

    private final String kind;
    private final Map<String, Object> facts;
    private final String where;
    private final Function<String, Optional<String>> names;
    private final ZoneId zone;
    private final Instant at;

    private JournalWords(String kind, Map<String, Object> facts, String where, Function<String, Optional<String>> names, ZoneId zone, Instant at) {
        this.kind = kind;
        this.facts = facts;
        this.where = where;
        this.names = names;
        this.zone = zone;
        this.at = at;
    }

    /**
     * @param facts the entry's body
     * @param where the cabinet, else the site; empty for what is about neither
     * @param names the name behind a reference; empty for a person who has been erased
     * @param at    when it was written down: times of the same day are said without it
     */
    static String of(String kind, Map<String, Object> facts, String where, Function<String, Optional<String>> names, ZoneId zone, Instant at) {
        return new JournalWords(kind, facts, where, names, zone, at).sentence();
    }

    private String sentence() {
        return switch (kind) {
            case "first-report-heard" -> where + " was heard for the first time.";
            case "loss-suspected" -> where + " reported no supply at " + time("since") + "; it has to last before it counts.";
            case "loss-confirmed" -> where + " has no supply since " + time("since") + ": confirmed.";
            case "dip-ended" -> where + " had a dip from " + time("from") + " to " + time("to") + ".";
            case "supply-unsteady" -> where + " had " + text("dips", "several") + " dips since " + time("since") + ".";
            case "supply-returned" -> where + " has supply again at " + time("at") + ", lost since " + time("lost-since") + ".";
            case "sensor-went-silent" -> where + " is not heard; its last report was of " + time("last-report") + ".";
            case "sensor-heard-again" -> where + " is heard again, quiet since " + time("quiet-since") + ".";
            case "link-went-down" -> "The connection of " + where + " broke.";
            case "link-came-up" -> "The connection of " + where + " is back.";
            case "late-report-kept" -> "A report of " + time("at") + " of " + where + " came late: " + supplied() + ". It changes nothing now.";
            case "doubtful-report-kept" -> "A report of " + where + " whose time is in doubt said: " + supplied() + ". It cleared nothing.";
            case "sensor-clock-odd" -> "The clock of the sensor of " + where + " is wrong.";
            case "sensor-clock-right" -> "The clock of the sensor of " + where + " is right again.";
            case "site-loss-suspected" -> "Several sensors of " + where + " are quiet together since " + time("since") + ".";
            case "listening-began" -> "Lampkeeper listens" + optional("last-listened").map(it -> ", after a gap since " + time("last-listened")).orElse("")
                    + ".";
            case "listening-ended" -> "Lampkeeper does not listen; it did until " + time("last-listened") + ".";
            case "alarm-raised" -> alarm() + " was raised, since " + time("since") + ".";
            case "alarm-raised-again" -> alarm() + " was raised again, since " + time("since") + ".";
            case "cooling-learned" -> optional("doubt").map(it -> "How fast " + where + " cools could not be learnt from " + text("cool-downs", "its") + " times without supply.")
                    .orElse("How fast " + where + " cools was learnt from " + text("used", "some") + " of " + text("cool-downs", "its") + " times without supply" + optional("content-used").filter(it -> !it.equals("0"))
                            .map(it -> ", with its content apart from the air from " + it).orElse("") + ".");
            case "content-eased" -> "Measured within its limits again at " + time("at") + ", and it needs somebody who looks: " + alarm() + ".";
            case "alarm-returned" -> alarm() + ": the condition is over at " + time("at") + ".";
            case "alarm-acknowledged" -> person("person") + " takes the alarm" + byReply() + ": " + alarm() + ".";
            case "alarm-shelved" -> by("person") + "shelved until " + time("until") + ": " + alarm() + ". Why: " + text("reason", "not said") + ".";
            case "alarm-suppressed" -> alarm() + " is held back until " + time("until") + " by " + hold() + ".";
            case "alarm-hold-ended" -> alarm() + " is no longer held back.";
            case "alarm-joined-call-out" -> alarm() + " is told of together with what was lost before.";
            case "call-out-opened" -> "People are told: " + alarm() + ".";
            case "call-out-ended" -> "The call-out" + at() + " is over.";
            case "nobody-to-tell" -> "There is nobody who could be told" + at() + ".";
            case "nobody-on-duty" -> "Nobody is on duty as " + duty() + "; the next one is told: " + alarm() + ".";
            case "handover-opened" -> person("person") + " opened the hand-over record of " + where + ".";
            case "handover-photo-kept" -> person("person") + " put a photo into the hand-over record of " + where + ".";
            case "handover-signed-by-installer" -> person("person") + " signed the hand-over record of " + where + " as installer.";
            case "handover-signed-by-site" -> person("person") + " took " + where + " over for the site.";
            case "handover-signature-taken-back" -> person("person") + " took the installer’s signature under the hand-over record of " + where + " back.";
            case "proof-test-began" -> person("person") + " began a proof test of " + where + "; alarms are held back until " + time("until") + ".";
            case "proof-test-ended" -> "The proof test of " + where + " is over: " + (text("proven", "false").equals("true") ? "everything happened." : "not everything happened.");
            case "dates-told" -> person("person") + " was told what comes due at " + where + ".";
            case "dates-not-told" -> person("person") + " could not be told what comes due at " + where + ": no channel.";
            case "month-report-told" -> person("person") + " was sent the report on " + text("month", "a month") + there() + ".";
            case "month-report-not-told" -> "The report on " + text("month", "a month") + there() + " was sent to nobody: no responsible person has a channel.";
            case "clock-compared" -> "Lampkeeper’s clock, compared with that of " + text("server", "another") + ", was " + ClockWords.off(Long.parseLong(text("offset-ms", "0"))) + ".";
            case "clock-not-compared" -> "Lampkeeper’s clock could not be compared with that of " + text("server", "another") + ": " + text("reason", "not said") + ".";
            case "duty-gap-found" -> "Nobody is going to be on duty as " + duty() + there() + " from " + time("from") + " to " + time("until") + ".";
            case "duty-gap-filled" -> "Somebody is on duty as " + duty() + there() + " after all, from " + time("from") + " to " + time("until") + ".";
            case "duty-gaps-told" -> person("person") + " was told where nobody is on duty" + there() + ".";
            case "duty-gaps-not-told" -> "Nobody could be told that nobody is on duty" + there() + ": whoever may change the rota has no channel.";
            case "last-resort-told" -> "Nobody had taken it, and everybody" + at() + " is told: " + alarm() + ".";
            case "alarm-called-again" -> switch (text("why", "")) {
                case "GIVEN_BACK" -> person("person") + " cannot do it after all; others are told again: " + alarm() + ".";
                case "NOT_ARRIVED" -> person("person") + " has not arrived in time; others are told again: " + alarm() + ".";
                case "COLD" -> "The content may soon be too cold or too hot; " + person("person") + " and others are told again: " + alarm() + ".";
                default -> "It is not back to normal in time; " + person("person") + " and others are told again: " + alarm() + ".";
            };
            case "alarm-handed-on" -> person("person") + " asked " + person("to") + " to take over the alarm: " + alarm() + ".";
            case "alarm-taken-over" -> person("person") + " takes over the alarm" + byReply() + ": " + alarm() + ".";
            case "alarm-not-taken-over" -> person("person") + switch (text("why", "")) {
                case "DECLINED" -> " cannot take over the alarm: ";
                case "NOT_REACHED" -> " could not be told of the alarm to take over: ";
                default -> " has not answered whether they take over the alarm: ";
            } + alarm() + ".";
            case "arrival-promised" -> person("person") + " is going to be there at " + time("at") + ": " + alarm() + ".";
            case "person-cannot-come" -> person("person") + " cannot come" + byReply() + "; the next one is told.";
            case "person-not-reachable" -> person("person") + " could not be told: " + text("reason", "no way known") + ".";
            case "suppression-began" -> by("person") + "alarms" + at() + " are held back until " + time("until") + " by " + hold() + ": "
                    + text("reason", "not said") + ".";
            case "suppression-ended" -> by("person") + "alarms" + at() + " are not held back any longer; it was ended early.";
            case "work-announced" -> by("person") + "work" + at() + " was announced from " + time("from") + " to " + time("until") + ": "
                    + text("reason", "not said") + ".";
            case "alarm-ended-out-of-use" -> alarm() + " ended, since the cabinet was taken out of use.";
            case "alarm-ended-with-sensor" -> alarm() + " ended, since its sensor was retired.";
            case "role-granted" -> person("person") + " was given the role " + role() + there() + ".";
            case "role-taken" -> "The role " + role() + there() + " was taken from " + person("person") + ".";
            case "message-sent" -> "A message to " + person("person") + " was handed over.";
            case "message-not-needed" -> "A message to " + person("person") + " was not needed any more.";
            case "message-attempt-failed" -> "A message to " + person("person") + " could not be handed over yet: " + text("reason", "not said") + ".";
            case "message-by-next-channel" -> "The message to " + person("person") + " goes by the next channel: " + text("to", "not said") + ".";
            case "message-arrived" -> "A message to " + person("person") + " arrived.";
            case "message-not-arrived" -> "A message to " + person("person") + " did not arrive: " + text("reason", "not said") + ".";
            case "message-answered" -> person("person") + (text("answer", "").equals("PASS_ON") ? " passed it on" : " took it") + " by answering a message.";
            case "channel-added" -> capital(by("by") + "a channel of " + person("person") + " was added: " + text("channel", "not said") + ".");
            case "channel-removed" -> capital(by("by") + "a channel of " + person("person") + " was removed: " + text("channel", "not said") + ".");
            case "channels-ordered" -> capital(by("by") + "the channels of " + person("person") + " have another order, the first is " + text("channel", "not said") + ".");
            case "channel-proven" -> person("person") + " showed that a channel reaches them: " + text("channel", "not said") + switch (text("answer", "")) {
                case "RANG" -> ", and it rang at night.";
                case "SILENT" -> ", but it did not ring at night.";
                case "SEEN_LATER" -> ", but they saw it only later than the night.";
                default -> ".";
            };
            case "channel-returned" -> "A message to " + person("person") + " came back, so that this channel is not proven any more: "
                    + text("channel", "not said") + ".";
            case "channel-proof-sent" -> capital(by("by") + "a proof is asked of " + person("person") + ": " + text("channel", "not said") + ".");
            case "channel-proof-planned" -> capital(by("by") + "a proof is to be asked of " + person("person") + " at " + time("until") + ": "
                    + text("channel", "not said") + ".");
            case "channel-proof-withdrawn" -> capital(by("by") + "no proof is asked of " + person("person") + " in the night: " + text("channel", "not said") + ".");
            case "channel-proof-missed" -> "The proof for the night was not sent in its hour to " + person("person") + ": " + text("channel", "not said") + ".";
            case "channel-proof-old" -> person("person") + " was reminded that a proof of a channel is old.";
            case "webhook-registered" -> by("person") + "registered webhook " + text("webhook", "") + " to " + text("host", "a host") + ".";
            case "webhook-changed" -> by("person") + "changed webhook " + text("webhook", "") + " to " + text("host", "a host") + ": it is "
                    + (is("on") ? "on." : "off.");
            case "webhook-secret-renewed" -> by("person") + "made a new secret for webhook " + text("webhook", "") + ".";
            case "webhook-removed" -> by("person") + "removed webhook " + text("webhook", "") + " to " + text("host", "a host") + ".";
            case "webhook-undelivered" -> "An event for webhook " + text("webhook", "") + " could not be delivered: " + text("reason", "not said") + ".";
            case "message-undelivered" -> "A message to " + person("person") + " could not be delivered: " + text("reason", "not said") + ".";
            case "attendance-written" -> person("person") + " began to say what was done: " + alarm() + visit() + ".";
            case "attendance-completed" -> person("person") + " said what was done: " + alarm() + visit() + "." + outcome();
            case "attendance-corrected" -> person("person") + " changed what was said to be done: " + alarm() + visit() + "." + outcome();
            case "attendance-not-recorded" -> person("person") + " said why there is no record: " + text("none-because", "not said") + ".";
            case "backup-taken" -> person("person") + " took a backup of everything.";
            case "evidence-made" -> person("person") + " had evidence made of what happened at " + where + " from " + time("from") + " to " + time("until") + ".";
            case "journal-verified" -> person("person") + " had the journal verified: " + (is("intact")
                    ? "intact up to entry " + text("number", "0") + "." : "not intact: " + text("explanation", "not said") + ".");
            case "signed-in" -> person("person") + " signed in.";
            case "signed-out" -> person("person") + " signed out.";
            case "sign-in-refused" -> "A sign-in" + optional("person").map(it -> " as " + person("person")).orElse("") + " was refused.";
            case "invitation-made" -> is("first") ? "The first administrator was invited." : by("by") + "invited " + person("person") + ".";
            case "invitation-used" -> person("person") + " used the invitation.";
            case "password-changed" -> person("person") + " has a new password.";
            case "sessions-revoked" -> by("by") + "signed out " + person("person") + " everywhere.";
            case "phone-invited" -> by("by") + "made a link that enrols a phone of " + person("person") + ".";
            case "phone-enrolled" -> person("person") + " enrolled a phone.";
            case "phone-revoked" -> by("by") + "revoked a phone of " + person("person") + ".";
            case "check-recorded" -> person("person") + " looked" + at() + " at " + time("looked-at") + " and said: " + answer()
                    + (is("corrects") ? "; what they said before was tapped wrong" : "") + (is("counted") ? "." : ", outside the time for it.");
            case "check-photo" -> person("person") + " sent a photo of what they had seen" + at() + ".";
            case "check-by-sensor" -> "The sensor stood in for a look" + at() + ": it says that there is supply.";
            case "check-missed" -> "Nobody is known to have looked" + at() + " by " + time("by") + ".";
            case "check-asked-nobody" -> "There was nobody who could be asked to look" + at() + ".";
            case "cabinet-taken-out-of-use" -> by("person") + where + " was taken out of use" + because() + ".";
            case "cabinet-brought-back-into-use" -> by("person") + where + " was brought back into use.";
            default -> untold();
        };
    }

    /** "site-changed" becomes "Site changed": true of every kind, since a kind is a past-tense phrase. */
    private String untold() {
        String words = kind.replace('-', ' ');
        String who = optional("by").or(() -> optional("person")).flatMap(names).map(name -> " by " + name).orElse("");
        return capital(words) + (where.isEmpty() ? "" : ", " + where) + who + changed() + ".";
    }

    private static String capital(String sentence) {
        return sentence.substring(0, 1).toUpperCase(Locale.ROOT) + sentence.substring(1);
    }

    /** The names of what is otherwise than before; nothing where the entry does not say both. */
    private String changed() {
        if (!(facts.get("before") instanceof Map<?, ?> before) || !(facts.get("after") instanceof Map<?, ?> after) || before.isEmpty()) {
            return "";
        }
        List<String> names = after.keySet().stream().filter(name -> !Objects.equals(before.get(name), after.get(name))).map(String::valueOf).sorted()
                .toList();
        return names.isEmpty() ? "" : ": " + String.join(", ", names);
    }

    private String role() {
        return optional("role").map(word -> word.toLowerCase(Locale.ROOT).replace('_', ' ')).orElse("not said");
    }

    private String alarm() {
        String about = where.isEmpty() ? "Lampkeeper" : where;
        Optional<AlarmKind> known = optional("alarm-kind").flatMap(JournalWords::alarmKind);
        return known.map(it -> alarm(it, about)).orElse("an alarm" + at());
    }

    /** "Low Quay without supply". {@code about} is not used for what is about Lampkeeper itself. */
    static String alarm(AlarmKind kind, String about) {
        return switch (kind) {
            case SUPPLY_LOST -> about + " without supply";
            case PROBABLE_SITE_LOSS -> about + " probably without supply";
            case NOT_HEARD -> about + " not heard";
            case UNSTEADY -> about + " with unsteady supply";
            case LOOK_MISSED -> about + " not looked at";
            case LAMP_OUT -> about + " with its lamp out";
            case DAMAGE_SEEN -> about + " with something damaged or missing";
            case SENSOR_AND_LAMP_DIFFER -> about + " with sensor and lamp that differ";
            case CONTENT_TOO_COLD -> about + " with its content too cold";
            case CONTENT_TOO_HOT -> about + " with its content too hot";
            case HEATER_NOT_HEATING -> about + " with a heater that does not heat";
            case HEATER_NEVER_STOPS -> about + " with a heater that does not stop";
            case HEATER_TOO_SMALL -> about + " with a heater that is too small";
            case DOOR_OPEN -> about + " with its door open";
            case LOOKS_EMPTIED -> about + " with its content taken out, as it looks";
            case NOT_LISTENING -> "Lampkeeper not listening";
            case MAIL_NOT_SENDING -> "mail not being sent";
            case BROKER_DROPPING -> "the broker dropping messages";
            case MESSAGES_STUCK -> "messages not leaving";
            case DATABASE_SLOW -> "the database slow";
            case CLOCK_STEPPED -> "the clock jumping";
            case DISK_NEARLY_FULL -> "a disk nearly full";
            case HEARTBEAT_NOT_SENT -> "the heartbeat not being sent";
        };
    }

    private String answer() {
        return switch (text("answer", "")) {
            case "LIT" -> "the lamp is lit, or all is well";
            case "OUT" -> "the lamp is out";
            case "NOT_SEEN" -> "could not see it";
            case "DAMAGED" -> "something is damaged or missing";
            default -> "not known what";
        };
    }

    private static Optional<AlarmKind> alarmKind(String word) {
        for (AlarmKind each : AlarmKind.values()) {
            if (each.name().equals(word)) {
                return Optional.of(each);
            }
        }
        return Optional.empty();
    }

    /** Told from the second visit on; entries from before there were several say none. */
    private String visit() {
        return optional("visit").filter(it -> !it.equals("1")).map(it -> ", visit " + it).orElse("");
    }

    private String outcome() {
        return optional("fit").map(fit -> switch (fit) {
            case "YES" -> " Fit for use.";
            case "NO" -> " Not fit for use.";
            default -> "";
        }).orElse("");
    }

    private String duty() {
        return optional("duty").map(word -> word.toLowerCase(Locale.ROOT).replace('_', ' ')).orElse("asked for");
    }

    private String hold() {
        return optional("by").map(word -> word.toLowerCase(Locale.ROOT).replace('_', ' ')).orElse("a hold");
    }

    /** Since V15 a reason is asked for; entries from before have none. */
    private String because() {
        return facts.get("after") instanceof Map<?, ?> after && after.get("reason") != null ? ": " + after.get("reason").toString()
                .replaceFirst("\\.$", "") : "";
    }

    private String supplied() {
        return is("supplied") ? "supply there" : "no supply";
    }

    private String at() {
        return where.isEmpty() ? "" : " of " + where;
    }

    private String there() {
        return where.isEmpty() ? "" : " at " + where;
    }

    private String person(String name) {
        return optional(name).map(reference -> names.apply(reference).orElse("Somebody who has been erased")).orElse("Somebody");
    }

    /** Who answered a message did not press a button. */
    private String byReply() {
        return optional("channel").map(it -> ", by " + it + " reply").orElse("");
    }

    /** "M. Teal: " before what they did; nothing where nobody is named. */
    private String by(String name) {
        return optional(name).map(it -> person(name) + ": ").orElse("");
    }

    private boolean is(String name) {
        return Boolean.TRUE.equals(facts.get(name));
    }

    private String text(String name, String otherwise) {
        return optional(name).map(it -> it.endsWith(".") ? it.substring(0, it.length() - 1) : it).orElse(otherwise);
    }

    private Optional<String> optional(String name) {
        return Optional.ofNullable(facts.get(name)).map(Object::toString).filter(it -> !it.isBlank());
    }

    private String time(String name) {
        Optional<String> value = optional(name);
        try {
            return value.map(Instant::parse).map(moment -> Sentences.clock(moment, zone, at)).orElse("a time not known");
        } catch (DateTimeParseException e) {
            // An entry is as it was written; a body that was tampered with is for the verification to find.
            return value.orElseThrow();
        }
    }
}
