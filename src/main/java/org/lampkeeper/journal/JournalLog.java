package org.lampkeeper.journal;

import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import org.jboss.logging.Logger;

/** Says in the log what was written down, once it is committed: a log that tells of something rolled back would mislead at night. */
@ApplicationScoped
class JournalLog {

    private static final Logger LOG = Logger.getLogger(JournalLog.class);

    void committed(@Observes(during = TransactionPhase.AFTER_SUCCESS) Journal.Appended appended) {
        Entry entry = appended.entry();
        LOG.infof("%s%s%s%s %s", entry.kind(), id(" site=", entry.site()), id(" cabinet=", entry.cabinet()), id(" alarm=", entry.alarm()),
                entry.body());
    }

    private static String id(String name, OptionalLong value) {
        return value.isPresent() ? name + value.getAsLong() : "";
    }
}
