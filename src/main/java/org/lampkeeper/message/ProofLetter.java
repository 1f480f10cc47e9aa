package org.lampkeeper.message;

import java.util.List;
import java.util.Optional;

/** The words of what asks for a proof. Pure. */
final class ProofLetter {

    private ProofLetter() {
    }

    /**
     * Asks whether it arrived, or whether it rang.
     *
     * @param asker who asked for it; empty where the reader did
     */
    static Letter asking(String name, Optional<String> asker, boolean isAtNight, String link) {
        String who = asker.map(it -> it + " asks").orElse("You asked");
        if (isAtNight) {
            return new Letter("A proof, no alarm: did this ring?", name + ",\n\nthis is no alarm, and nothing is wrong. " + who
                    + " whether Lampkeeper's messages ring at night. Open this link and say, now or in the morning:\n\n" + link
                    + "\n\nThe link is good for 7 days.\n", Optional.of("Lampkeeper: a proof, no alarm. Did this ring? Say so: " + link));
        }
        return new Letter("A proof, no alarm: press once that this arrived.", name + ",\n\nthis is no alarm, and nothing is wrong. " + who
                + " whether Lampkeeper's messages reach you here. Open this link and press “It arrived”:\n\n" + link
                + "\n\nUntil you do, this way to reach you counts as unproven. The link is good for 7 days.\n",
                Optional.of("Lampkeeper: a proof, no alarm. Open and press It arrived: " + link));
    }

    /** @param channels what those are called whose proof is old, at least one */
    static Letter reminder(String name, List<String> channels, String link) {
        String which = String.join(" and ", channels.stream().distinct().toList());
        return new Letter("Please prove again that alarms reach you.", name + ",\n\nit is a long time since you showed that " + which
                + " reaches you, so no alarm relies on it alone any more. Open this page and send yourself a proof:\n\n" + link
                + "\n\nThis comes once a month until you do.\n", Optional.of("Lampkeeper: please prove again that " + which + " reaches you: " + link));
    }
}
