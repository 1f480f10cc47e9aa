package org.lampkeeper.message;

/** Why a message is sent, which decides whether it may be dropped, and by which channel it goes. */
public enum Purpose {
    /** Asks somebody to take an alarm: not needed any more once its call-out is taken or over. */
    ALARM,
    /** Tells what happened: sent whatever happens next. */
    NOTICE,
    /** Asks whether one channel reaches its person: by any other it would show nothing. */
    PROOF,
    /** Asks somebody to look at a lamp: by their first channel, at a time of day that was planned. */
    LOOK,
    /** Carries the report on a month, as a paper: behind everything else, since making it takes its time. */
    MONTH,
    /** Answers what a person sent back, by the channel by which they did; of no account for who was told. */
    ANSWER
}
