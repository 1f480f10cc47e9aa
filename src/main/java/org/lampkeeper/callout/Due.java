package org.lampkeeper.callout;

import java.time.Duration;
import java.util.List;

/** What a call-out does at its next step. */
public sealed interface Due {

    /**
     * Tell these people now.
     *
     * @param personIds in the order of the list, each once
     * @param told      the count of turns given once this is done
     * @param next      from now until the next turn, unless somebody takes it
     */
    record Tell(List<Long> personIds, int told, Duration next) implements Due {
        public Tell {
            personIds = List.copyOf(personIds);
        }
    }

    /** The list is empty: that must be seen by somebody, it is not the same as done. */
    record NobodyToTell() implements Due {
    }
}
