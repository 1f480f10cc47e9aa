package org.lampkeeper.journal;

/** Whether the journal is as it was written. */
public sealed interface Verdict permits Verdict.Intact, Verdict.Broken {

    /** What is wrong at the first broken place. */
    enum Fault {
        /** The row's content does not give the hash that the chain has for it. */
        EDITED,
        /** A number is missing between two entries. */
        MISSING,
        /** Entries at the end are gone: the journal's own head, or one that somebody kept, is ahead of the last entry. */
        TAIL_CUT,
        /** The chain fits together, but is not the one whose head somebody kept. */
        REBUILT,
        /** The journal's own head is not the last entry: it was set back, or another hash was written into it. */
        HEAD_MOVED,
        /** An entry has stood without a seal for longer than it may. */
        UNSEALED
    }

    /**
     * Every entry fits, and so does every kept head.
     *
     * @param head where the chain ended when it was read; worth keeping
     */
    record Intact(Head head) implements Verdict {
    }

    /**
     * The first broken place; what follows it has not been judged.
     *
     * @param number      place in the chain; for {@link Fault#UNSEALED} the id of the first such entry
     * @param explanation one sentence for the person who has to look into it
     */
    record Broken(Fault fault, long number, String explanation) implements Verdict {
    }
}
