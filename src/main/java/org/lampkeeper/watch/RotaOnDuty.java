package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Map;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.register.DutyBook;

/** Who is on duty by the rota that the register keeps, else by its fallback. */
@ApplicationScoped
class RotaOnDuty implements OnDuty {

    private final DutyBook book;

    RotaOnDuty(DutyBook book) {
        this.book = book;
    }

    @Override
    public List<Long> at(long siteId, DutyRole role, Instant moment) {
        return book.on(siteId, role, moment);
    }

    @Override
    public Map<Long, List<Long>> at(Collection<Long> siteIds, DutyRole role, Instant moment) {
        return book.on(siteIds, role, moment);
    }
}
