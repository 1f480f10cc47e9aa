package org.lampkeeper.callout;

import java.util.List;

/** What is to be done, in this order, once a fact has been taken in. */
public sealed interface Decision {

    /** Tell these of what is open, in the order of the list, each once. */
    record Tell(List<Whom> whom) implements Decision {
        public Tell {
            whom = List.copyOf(whom);
        }
    }

    /** The last resort: tell everybody of the site. */
    record TellEverybody() implements Decision {
    }

    /** Tell everybody who was told before that the condition is there again. */
    record TellAgain() implements Decision {
    }

    /** Tell everybody who was told before of what has joined since. */
    record TellMore() implements Decision {
    }

    /** Tell the one who had it of what has joined since, which nobody has; others are told if they do not take that too. */
    record TellMoreFirst(long personId) implements Decision {
    }

    /** There is nobody on the list: that must be seen by somebody, it is not the same as done. */
    record NobodyToTell() implements Decision {
    }

    /** Tell those who were told that this person has it now. */
    record TellTaken(long personId) implements Decision {
    }

    /** Ask this person to take it over from the one who has it. */
    record Ask(long holderId, long personId) implements Decision {
    }

    /** Tell the one who has it that the other does not take it over, and why. */
    record TellStillYours(long holderId, long askedId, NotTakenOver why) implements Decision {
    }

    /** Nobody has it any more; its alarms are unacknowledged again. Who had it is told first, unless they gave it back themselves. */
    record CallAgain(long personId, Reason reason) implements Decision {
    }

    /** Why a person to whom it was handed on does not have it. */
    enum NotTakenOver {
        DECLINED, DID_NOT_ANSWER, NOT_REACHED
    }

    /** Why people are called again for what somebody had taken. */
    enum Reason {
        /** They promised to be there by now, and no arrival is recorded. */
        NOT_ARRIVED,
        /** The content may soon be too cold, or too hot, or is. */
        COLD,
        /** It has taken too long. */
        NOT_BACK_TO_NORMAL,
        /** They cannot do it after all. */
        GIVEN_BACK
    }
}
