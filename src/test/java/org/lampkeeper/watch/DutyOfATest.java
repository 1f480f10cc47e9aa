package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.annotation.Priority;
import jakarta.decorator.Decorator;
import jakarta.decorator.Delegate;
import jakarta.enterprise.inject.Any;
import jakarta.inject.Inject;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.callout.DutyRole;

/** Lets a test say who is on duty; every other test has whatever the application has. */
@Decorator
@Priority(1)
class DutyOfATest implements OnDuty {

    /** Who is on duty as long as this is set. */
    static final AtomicReference<@Nullable OnDuty> SAID = new AtomicReference<>();

    @Inject
    @Any
    @Delegate
    OnDuty rota;

    @Override
    public List<Long> at(long siteId, DutyRole role, Instant moment) {
        OnDuty said = SAID.get();
        return said == null ? rota.at(siteId, role, moment) : said.at(siteId, role, moment);
    }
}
