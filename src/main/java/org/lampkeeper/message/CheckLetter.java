package org.lampkeeper.message;

import java.time.Instant;
import java.time.ZoneId;
import java.util.Optional;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetSheet;

/** The words that ask somebody to look. Pure. */
public final class CheckLetter {

    private CheckLetter() {
    }

    /**
     * @param task     what to do, as "look at the lamp"
     * @param isAgain  whether they were asked before
     * @param isSilent whether it is asked because the sensor says nothing any more
     * @param link     of this reader and this look
     */
    public static Letter asking(CabinetSheet cabinet, String task, String name, Instant closes, boolean isAgain, boolean isSilent, String link,
            Instant now) {
        ZoneId zone = cabinet.site().zone();
        String until = Sentences.clock(closes, zone, now);
        String subject = Sentences.capital(task) + ": " + cabinet.name() + ", by " + until + (isAgain ? ". Nobody has said yet." : ".");
        String body = name + ",\n\nplease " + task + " of " + cabinet.name() + ", label " + cabinet.code() + ", by " + until + " (" + zone.getId() + ").\n"
                + (isSilent ? "Its sensor says nothing any more, so only the lamp can tell if it has supply.\n" : "") + where(cabinet)
                + "\nThen open this link and say what you saw:\n\n" + link + "\n\nOpening it records nothing; only its buttons do. If you cannot get"
                + " there or cannot see it, say that: it is a good answer, too.\n\nLampkeeper is not an emergency service. In an emergency call the local"
                + " emergency number.\n";
        return new Letter(subject, body);
    }

    /** The same in one sentence, for a channel that carries few words; its link comes after it. */
    public static String briefly(CabinetSheet cabinet, String task, Instant closes, Instant now) {
        return Sentences.capital(task) + " of " + cabinet.name() + " by " + Sentences.clock(closes, cabinet.site().zone(), now) + " and say what you saw:";
    }

    private static String where(CabinetSheet cabinet) {
        return Optional.of(cabinet.place()).filter(place -> !place.isBlank()).map(place -> "It is here: " + place + ". ").orElse("")
                + Optional.of(cabinet.lampPlace()).filter(place -> !place.isBlank()).map(place -> "The lamp: " + place + ".").orElse("") + "\n";
    }
}
