package org.lampkeeper.watch;

/** What comes due, and whose version a deadline carries. */
enum DeadlineKind {
    /** A suspected loss of a sensor's cabinet has lasted long enough. Subject: the sensor; the state itself says whether it still holds. */
    LOSS_CONFIRM,
    /** The next is told, who was asked has not answered, or who has it is overdue. Subject: the call-out; its phase says which. */
    CALL_OUT,
    /** Those who were told hear of what has joined. Subject: the call-out; its version is the count of such messages. */
    MERGE,
    /** A shelf or a suppression of an alarm ends. Subject: the alarm. */
    HOLD_END,
    /** Several sensors of a site have been quiet long enough. Subject: the site. */
    SITE_LOSS,
    /** Announced work begins. Subject: the work. */
    WORK_BEGIN,
    /** Announced work is over. Subject: the work. The alarms that it held back have deadlines of their own. */
    WORK_END,
    /** What has been kept long enough is removed. There is one such row for the whole installation, which comes again; its subject is 0. */
    RETENTION,
    /** The night of a proof has come. Subject: the proof; one that was taken back is not there any more. */
    PROOF_DUE,
    /** A channel's proof is old. Subject: the channel; its version is when that proof was given, in milliseconds. */
    PROOF_OLD,
    /** The rota of a site is looked through for shifts without anybody: each day, and after each change. Subject: the site. */
    DUTY_GAPS,
    /** A look opens, somebody is asked again, or it was missed. Subject: the due check; its state and its times say which. */
    CHECK,
    /** The time of a proof test is over: what has not happened by then did not happen. Subject: the test. */
    PROOF_TEST_END,
    /** It is looked what comes due at a cabinet that was handed over: each morning. Subject: the cabinet. */
    DATES,
    /** A time without supply is over, and what it says of how fast the cabinet cools is learnt. Subject: the cabinet. */
    LEARN_COOLING,
    /** The day has come on which the report on the month before is sent. Subject: the site. */
    MONTH_REPORT
}
