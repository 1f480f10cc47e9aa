package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;

/** Draws for mails, from what is stored. Whoever can draw stands above this room and is asked just before a mail leaves. */
public interface MailPictures {

    /** What there is to be seen of an alarm at this moment; empty where there is nothing. It may fail: the mail then goes without. */
    Optional<MailPicture> of(long alarmId, Instant now);
}
