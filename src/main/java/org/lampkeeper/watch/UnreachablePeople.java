package org.lampkeeper.watch;

import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.message.MessageUndelivered;

/** A person whom no message reaches is as good as one who cannot come: the next is told now, in the same transaction. */
@ApplicationScoped
class UnreachablePeople {

    private final CallOutBook book;
    private final CallOutKeeper callOuts;
    private final SiteWatches sites;

    UnreachablePeople(CallOutBook book, CallOutKeeper callOuts, SiteWatches sites) {
        this.book = book;
        this.callOuts = callOuts;
        this.sites = sites;
    }

    void undelivered(@Observes MessageUndelivered event) {
        if (event.callOutId().isEmpty()) {
            return;
        }
        long callOutId = event.callOutId().getAsLong();
        book.find("select c.siteId from CallOut c where c.id = ?1", callOutId).project(Long.class).firstResultOptional()
                .ifPresent(sites::lock);
        book.findByIdOptional(callOutId).ifPresent(callOut -> callOuts.notReached(callOut, OptionalLong.of(event.personId()), event.at()));
    }
}
