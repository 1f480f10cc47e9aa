package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;

/** Makes papers for mails, from what is stored. Whoever can make them stands above this room and is asked just before a mail leaves. */
public interface MailPapers {

    /** The report on a month; empty where there is none of this id. It may fail: the mail then goes without. */
    Optional<MailPaper> of(long monthReportId, Instant now);
}
