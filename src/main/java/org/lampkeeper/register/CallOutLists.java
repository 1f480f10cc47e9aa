package org.lampkeeper.register;

import java.time.Duration;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.callout.CallOutList;

/** Who is told and when. Reads as {@link Register} does. */
@ApplicationScoped
@Transactional
public class CallOutLists {

    /** Stands for the installation itself, whose list is the operator's. */
    public static final long OPERATOR = 0;

    /** The version of a list that nobody has made yet. */
    public static final int NONE_STORED = -1;

    // Ours: with nobody on any list there is nothing to repeat; looked at again so that a list made meanwhile takes over.
    private static final CallOutList NOBODY = new CallOutList(List.of(), Duration.ofMinutes(5));

    private final CallOutListRepository lists;

    CallOutLists(CallOutListRepository lists) {
        this.lists = lists;
    }

    /**
     * The list of a site; the operator's for site {@link #OPERATOR} and for a site that has none or an empty one, so that its alarms
     * reach somebody. Without turns when the operator has none either: then everybody of the site is told at once.
     */
    public CallOutList ofSite(long siteId) {
        Optional<CallOutList> own = siteId == OPERATOR ? Optional.empty() : lists.ofSite(siteId).map(CallOutListEntry::list);
        return own.filter(list -> !list.turns().isEmpty())
                .or(() -> lists.ofOperator().map(CallOutListEntry::list))
                .orElse(NOBODY);
    }

    /** The list of this site itself, or the operator's for site {@link #OPERATOR}: what a form shows, not who is told. */
    public CallOutSheet sheet(long siteId) {
        Optional<CallOutListEntry> stored = siteId == OPERATOR ? lists.ofOperator() : lists.ofSite(siteId);
        return stored.map(entry -> new CallOutSheet(siteId, entry.list(), entry.version()))
                .orElse(new CallOutSheet(siteId, NOBODY, NONE_STORED));
    }
}
