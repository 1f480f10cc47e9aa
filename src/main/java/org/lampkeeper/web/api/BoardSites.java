package org.lampkeeper.web.api;

import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.web.Reads;

/** Where a board stands that a body names: one out of the caller's reach is not registered, as far as they are told. */
@ApplicationScoped
class BoardSites {

    private static final String SITE_OF_BOARD = "SELECT b.site_id FROM board b WHERE b.id = ?";

    private final Reads reads;
    private final CurrentCaller caller;

    BoardSites(Reads reads, CurrentCaller caller) {
        this.reads = reads;
        this.caller = caller;
    }

    void mustBeSeen(long boardId, String field) {
        Optional<Long> siteId = reads.first(SITE_OF_BOARD, row -> row.number("site_id"), boardId);
        if (siteId.filter(caller.get().reach()::sees).isEmpty()) {
            throw Desk.notRegistered(field, "board", boardId);
        }
    }
}
