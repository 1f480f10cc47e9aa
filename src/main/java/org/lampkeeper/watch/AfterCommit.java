package org.lampkeeper.watch;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Status;
import jakarta.transaction.Synchronization;
import jakarta.transaction.TransactionSynchronizationRegistry;

/** Runs something once the current transaction has committed, and not at all if it has not. */
@ApplicationScoped
class AfterCommit {

    private final TransactionSynchronizationRegistry registry;

    AfterCommit(TransactionSynchronizationRegistry registry) {
        this.registry = registry;
    }

    /** {@code action} must be quick and must not throw: it runs on the thread that committed. */
    void run(Runnable action) {
        registry.registerInterposedSynchronization(new Synchronization() {
            @Override
            public void beforeCompletion() {
                // only the outcome matters
            }

            @Override
            public void afterCompletion(int status) {
                if (status == Status.STATUS_COMMITTED) {
                    action.run();
                }
            }
        });
    }
}
