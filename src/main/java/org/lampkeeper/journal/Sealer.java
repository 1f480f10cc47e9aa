package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.util.UUID;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

/**
 * Chains what was committed. One loop runs in every instance; the one that holds the lease seals, another takes over when it is gone.
 * Woken by every commit that appended, and by itself now and then for what other instances committed.
 */
@ApplicationScoped
class Sealer {

    private static final Logger LOG = Logger.getLogger(Sealer.class);
    /** Ours: long enough not to fill the log while a database is away, short enough to seal soon after it is back. */
    private static final long PAUSE_AFTER_FAILURE_MS = 1000;
    /** Ours: commits come in bunches, and one pass over a bunch costs hardly more than over one entry. */
    private static final long GATHER_MS = 50;

    private final String me = UUID.randomUUID().toString();
    private final Semaphore wakeUp = new Semaphore(0);
    private final DataSource database;
    private final JournalConfig config;
    private final Clock clock;
    private final Thread loop = new Thread(this::run, "journal-sealer");
    private final CountDownLatch stop = new CountDownLatch(1);

    Sealer(DataSource database, JournalConfig config, Clock clock) {
        this.database = database;
        this.config = config;
        this.clock = clock;
    }

    void start(@Observes StartupEvent started) {
        loop.setDaemon(true);
        loop.start();
    }

    void appended(@Observes(during = TransactionPhase.AFTER_SUCCESS) Journal.Appended appended) {
        wakeUp.release();
    }

    /** Seals what is left and gives the lease up, so that another instance need not wait for it to run out. */
    void stop(@Observes ShutdownEvent stopped) throws InterruptedException {
        stop.countDown();
        wakeUp.release();
        loop.join(config.lease().toMillis());
    }

    private void run() {
        try {
            boolean stopping = false;
            while (!stopping) {
                stopping = stop.await(sealOrRest(), TimeUnit.MILLISECONDS);
            }
        } catch (InterruptedException ended) {
            return;
        }
        try {
            sealAll();
            QuarkusTransaction.requiringNew().run(() -> giveUpLease());
        } catch (RuntimeException failed) {
            LOG.warnf(failed, "journal: the lease could not be given up and runs out by itself");
        }
    }

    /** Seals, waits until there is more, and returns the milliseconds to let pass before that is sealed. */
    private long sealOrRest() throws InterruptedException {
        try {
            sealAll();
        } catch (RuntimeException failed) {
            LOG.errorf(failed, "journal: sealing failed, tried again in %d ms", PAUSE_AFTER_FAILURE_MS);
            return PAUSE_AFTER_FAILURE_MS;
        }
        wakeUp.tryAcquire(config.poll().toMillis(), TimeUnit.MILLISECONDS);
        wakeUp.drainPermits();
        return GATHER_MS;
    }

    private void sealAll() {
        int sealed;
        do {
            sealed = QuarkusTransaction.requiringNew().call(this::sealSome);
        } while (sealed == config.batch());
    }

    private int sealSome() throws SQLException {
        try (Connection connection = database.getConnection()) {
            if (Chain.isLeasedByAnother(connection, me, clock.instant())) {
                return 0;
            }
            return Chain.seal(connection, me, config.lease(), config.batch(), clock.instant());
        }
    }

    private void giveUpLease() {
        try (Connection connection = database.getConnection()) {
            Chain.giveUpLease(connection, me);
        } catch (SQLException failed) {
            throw new IllegalStateException("journal: the lease could not be given up", failed);
        }
    }
}
