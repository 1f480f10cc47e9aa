package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneId;
import java.util.Optional;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.Channels;
import org.lampkeeper.web.Reads.Row;

/** What became of a message, in words that claim no more than is known: a mail server that accepts does not mean that it arrived. */
final class MessageWords {

    private MessageWords() {
    }

    /** What is stored of a message's way. */
    record Fate(String state, String channel, int attempts, Optional<Instant> nextAttempt, Optional<Instant> ended, Optional<String> reason,
            Optional<String> arrival, Optional<Instant> arrivalAt) {

        static Fate read(Row row) throws SQLException {
            return new Fate(row.text("state"), row.text("channel"), (int) row.number("attempts"), row.optionalInstant("next_attempt_at"),
                    row.optionalInstant("ended_at"), row.optionalText("last_error"), row.optionalText("arrival"), row.optionalInstant("arrival_at"));
        }
    }

    static String of(Fate fate, ZoneId zone, Instant now) {
        String reason = fate.reason().map(why -> ": " + why).orElse("");
        return switch (fate.state()) {
            case "WAITING" -> fate.attempts() == 0 ? "waiting to be sent" : "tried " + times(fate.attempts()) + reason
                    + fate.nextAttempt().map(at -> "; next try " + Sentences.clock(at, zone, now)).orElse("");
            case "SENT" -> isFile(fate) ? "written to the outgoing folder: no mail server is set" : fate.arrival().isPresent()
                    ? "arrived" + fate.arrivalAt().map(at -> " " + Sentences.clock(at, zone, now)).orElse("")
                    : isMail(fate) ? "accepted by the mail server, arrival not known" : "handed to the network, arrival not known";
            case "NOT_NEEDED" -> "not needed: somebody took it before this was sent";
            case "UNDELIVERED" -> fate.arrival().isPresent() ? "did not arrive" + reason : "could not be delivered" + reason;
            default -> throw new IllegalStateException("message state '" + fate.state() + "' is not one of the four in the table");
        };
    }

    /** {@code lost} where a person may not have been told, {@code unknown} while it is under way, {@code plain} otherwise. */
    static String look(Fate fate) {
        return switch (fate.state()) {
            case "UNDELIVERED" -> "lost";
            case "WAITING" -> fate.attempts() == 0 ? "plain" : "unknown";
            default -> "plain";
        };
    }

    static String channel(Fate fate, Channels kinds) {
        return isFile(fate) ? "mail, as a file" : kinds.label(fate.channel());
    }

    private static boolean isMail(Fate fate) {
        return fate.channel().equals("MAIL");
    }

    private static boolean isFile(Fate fate) {
        return fate.channel().equals("FILE");
    }

    private static String times(int attempts) {
        return attempts == 1 ? "once" : attempts == 2 ? "twice" : attempts + " times";
    }
}
