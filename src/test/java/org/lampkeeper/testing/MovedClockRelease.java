package org.lampkeeper.testing;

import io.quarkus.arc.Arc;
import io.quarkus.test.junit.callback.QuarkusTestAfterEachCallback;
import io.quarkus.test.junit.callback.QuarkusTestMethodContext;

/** Lets the shared clock run again after each test, so that no test depends on the one before. Found as a service. */
public class MovedClockRelease implements QuarkusTestAfterEachCallback {

    @Override
    public void afterEach(QuarkusTestMethodContext context) {
        Arc.container().instance(MovedClock.class).get().release();
    }
}
