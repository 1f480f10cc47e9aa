package org.lampkeeper.watch;

import org.jspecify.annotations.Nullable;

/** Runs one after another, each though one before it failed; what failed is thrown at the end, the later ones with the first. */
final class EachThough {

    private @Nullable RuntimeException failed;

    EachThough run(Runnable step) {
        try {
            step.run();
        } catch (RuntimeException failure) {
            if (failed == null) {
                failed = failure;
            } else {
                failed.addSuppressed(failure);
            }
        }
        return this;
    }

    void end() {
        if (failed != null) {
            throw failed;
        }
    }
}
