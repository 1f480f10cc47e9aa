package org.lampkeeper.message;

import java.time.Instant;
import java.time.ZoneId;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetSheet;

/** The words of the message that a proof test sends: first of all, that it is a test. Pure. */
public final class TestLetter {

    private TestLetter() {
    }

    /** @param link of this reader and this test @param endsAt from then on nobody waits for an answer */
    public static Letter of(CabinetSheet cabinet, String name, String link, Instant endsAt, Instant now) {
        ZoneId zone = cabinet.site().zone();
        String until = Sentences.clock(endsAt, zone, now);
        return new Letter("TEST, no alarm: " + cabinet.name() + ". Press that you have it, by " + until + ".", name + ",\n\nthis is a TEST. The installer of "
                + cabinet.name() + " (label " + cabinet.code() + ") at " + cabinet.site().name() + " has just taken the supply away on purpose, at "
                + cabinet.board().name() + ", way " + cabinet.circuit().way() + ". You get this because you are on duty: a real loss would reach you like this.\n\n"
                + "Nobody need go anywhere. Please open this link and press the button, by " + until + " (" + zone.getId() + "):\n\n" + link
                + "\n\nOpening it records nothing; only its button does.\n\nLampkeeper is not an emergency service. In an emergency call the local emergency number.\n");
    }

    /** The same for a channel that carries few words. */
    public static String briefly(CabinetSheet cabinet, String link) {
        return "TEST, no alarm: " + cabinet.name() + ". Nobody need go. Press that you have it: " + link;
    }
}
