package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.arc.DefaultBean;

import org.lampkeeper.callout.DutyRole;

/** Where no rota is kept, nobody is on duty: a turn that names a role reaches nobody, and the next turn is told at once. */
@ApplicationScoped
@DefaultBean
class NobodyOnDuty implements OnDuty {

    @Override
    public List<Long> at(long siteId, DutyRole role, Instant moment) {
        return List.of();
    }
}
