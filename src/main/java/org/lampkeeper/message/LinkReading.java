package org.lampkeeper.message;

import java.time.Instant;

/** What a link's token turned out to be. Who holds a token may look; only a form that is sent from there records anything. */
public sealed interface LinkReading permits LinkReading.Valid, LinkReading.Expired, LinkReading.NotOurs {

    /**
     * @param subjectId the alarm, the proof, or the due check
     * @param end       the first moment at which the token is no longer good
     */
    record Valid(long subjectId, long personId, Instant end) implements LinkReading {
    }

    /** Signed by us, but its time is over: the page can say so and where to go instead. */
    record Expired(long subjectId, long personId, Instant end) implements LinkReading {
    }

    /** Altered, cut short, made up, or signed with a key that has been taken away. */
    record NotOurs() implements LinkReading {
    }
}
