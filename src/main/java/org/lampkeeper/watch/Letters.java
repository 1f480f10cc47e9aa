package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

@ApplicationScoped
class Letters {
    void tell(List<AlarmRecord> alarms, CallOutRecord callOut, long personId, Optional<Long> next, Instant nextAt, Instant now) {
    }
    void tellAgain(AlarmRecord alarm, CallOutRecord callOut, Instant now) {
    }
    void tellTaken(AlarmRecord alarm, CallOutRecord callOut, long personId, Instant now) {
    }
    void tellReturned(AlarmRecord alarm, CallOutRecord callOut, Instant now) {
    }
}
