package org.lampkeeper.message;

import java.util.List;
import java.util.Optional;

/** The words of what asks for a proof. Pure. */
final class ProofLetter {

    private ProofLetter() {
    }

    /**
     * Asks whether it arrived, or whether it rang. The subject is all that a call says.
     *
     * @param asker who asked for it; empty where the reader did
     * @param code  six digits
     */
    static Letter asking(String name, Optional<String> asker, boolean isAtNight, String link, String code) {
        String who = asker.map(it -> it + " asks").orElse("You asked");
        String spelled = String.join(" ", code.split(""));
        String subject = isAtNight ? "A proof, no alarm: did this ring? The code is " + spelled + "." : "A proof, no alarm. The code is " + spelled + ".";
        String what = isAtNight ? " whether Lampkeeper's messages ring at night. Open this link and say, now or in the morning:\n\n"
                : " whether Lampkeeper's messages reach you here. Open this link and press “It arrived”:\n\n";
        return new Letter(subject, name + ",\n\nthis is no alarm, and nothing is wrong. " + who + what + link + "\n\nOr type the code " + spelled
                + " in on the page of your channels. " + (isAtNight ? "" : "Until you do either, this way to reach you counts as unproven. ")
                + "Both are good for 7 days.\n");
    }

    /** The same for a channel that carries few words. */
    static String askingBriefly(boolean isAtNight, String link) {
        return isAtNight ? "Lampkeeper: a proof, no alarm. Did this ring? Say so: " + link
                : "Lampkeeper: a proof, no alarm. Open and press It arrived: " + link;
    }

    /** @param channels what those are called whose proof is old, at least one */
    static Letter reminder(String name, List<String> channels, String link) {
        String which = String.join(" and ", channels.stream().distinct().toList());
        return new Letter("Please prove again that alarms reach you.", name + ",\n\nit is a long time since you showed that " + which
                + " reaches you, so no alarm relies on it alone any more. Open this page and send yourself a proof:\n\n" + link
                + "\n\nThis comes once a month until you do.\n");
    }

    /** The same for a channel that carries few words. */
    static String reminderBriefly(String link) {
        return "Lampkeeper: please prove again that alarms reach you: " + link;
    }
}
