package org.lampkeeper.register;

import java.lang.reflect.Field;
import java.sql.Connection;
import java.sql.SQLException;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.WeakHashMap;
import java.util.concurrent.atomic.AtomicLong;

import org.h2.engine.SessionLocal;
import org.h2.jdbc.JdbcConnection;
import org.h2.mvstore.MVStore;
import org.h2.mvstore.MVStoreException;

/**
 * Writes what H2 has in memory to its file while nothing changes it. Left to itself H2 writes at each commit, one table or index after the
 * other, while other threads go on: a kill just then leaves rows without their index entries, or half a transaction and no undo log for it.
 * Here the file is written by one thread while no change begins and none is under way, once for all transactions that had committed by then.
 */
final class WholeFile {

    /**
     * Bytes in memory at which H2 would write in the middle of a statement; usually 16 to 19 MB. Far above what one transaction changes, and
     * below what H2's own arithmetic on it, in {@code int}, can bear.
     */
    private static final int NEVER_BY_SIZE = 400 * 1024 * 1024;
    private static final int NEVER_BY_ITSELF = -1;
    /** A millisecond lies between two: whoever has just begun to wait may find out first that two wait for each other, and end the other's wait. */
    private static final int ENOUGH = 2;
    private static final Map<MVStore, WholeFile> OPEN = new WeakHashMap<>();

    private final MVStore store;
    private final AtomicLong committed = new AtomicLong();
    /** Guarded by this: who changes something just now. */
    private final List<SessionLocal> changing = new ArrayList<>();
    /** Guarded by this: told to stop while they waited here; they hear of it when their change or their commit is through. */
    private final Set<Thread> interrupted = new HashSet<>();
    /** Guarded by this: no change begins. */
    private boolean isWriting;
    /** Guarded by this: all commits up to this one are in the file. */
    private long written;

    private WholeFile(MVStore store) {
        this.store = store;
    }

    /**
     * The file that {@code connection}, one of H2's own, writes to; from now on it is written here only. None where the database is in memory
     * or read only.
     */
    static Optional<WholeFile> of(Connection connection) throws SQLException {
        MVStore store = session(connection).getDatabase().getStore().getMvStore();
        if (!store.isPersistent() || store.isReadOnly()) {
            return Optional.empty();
        }
        synchronized (OPEN) {
            WholeFile file = OPEN.get(store);
            if (file == null) {
                neverWriteBySize(store);
                file = new WholeFile(store);
                OPEN.put(store, file);
            }
            store.setAutoCommitDelay(NEVER_BY_ITSELF);
            return Optional.of(file);
        }
    }

    /** H2 reads this figure only when it opens a file, and has no setting for it in its URL. */
    private static void neverWriteBySize(MVStore store) throws SQLException {
        try {
            Field limit = MVStore.class.getDeclaredField("autoCommitMemory");
            limit.setAccessible(true);
            limit.setInt(store, NEVER_BY_SIZE);
        } catch (ReflectiveOperationException e) {
            throw new SQLException("this version of H2 cannot be kept from writing its file in the middle of a change; use the one that Lampkeeper was built with", e);
        }
    }

    /** H2's side of {@code connection}, which is one of its own. */
    static SessionLocal session(Connection connection) throws SQLException {
        return (SessionLocal) connection.unwrap(JdbcConnection.class).getSession();
    }

    /** Changes what is in memory: a statement, a commit or a rollback of {@code session}. */
    <T> T change(SessionLocal session, SqlStep<T> step) throws Throwable {
        begin(session);
        try {
            return step.run();
        } finally {
            end(session);
        }
    }

    private synchronized void begin(SessionLocal session) {
        while (isWriting) {
            pause();
        }
        changing.add(session);
    }

    private synchronized void end(SessionLocal session) {
        changing.remove(session);
        notifyAll();
        passOnInterrupt();
    }

    /**
     * Returns once all that this thread committed is in the file.
     *
     * @throws SQLException if it could not be written; H2 has closed the database then
     */
    void write() throws SQLException {
        long mine = committed.incrementAndGet();
        if (isWrittenOrMine(mine)) {
            return;
        }
        long upTo = 0;
        try {
            awaitStillness();
            long all = committed.get();
            store.commit();
            upTo = all;
        } catch (MVStoreException e) {
            throw new SQLException("what was committed could not be written to the file of the database: " + e.getMessage(), e);
        } finally {
            endWriting(upTo);
        }
    }

    /** Whether another thread has written it; if not, it is for this thread to do. */
    private synchronized boolean isWrittenOrMine(long commit) {
        while (isWriting && written < commit) {
            pause();
        }
        if (written >= commit) {
            passOnInterrupt();
            return true;
        }
        isWriting = true;
        return false;
    }

    private synchronized void endWriting(long upTo) {
        written = Math.max(written, upTo);
        isWriting = false;
        notifyAll();
        passOnInterrupt();
    }

    /**
     * Waits until no change is under way but for those that wait for a row of a transaction that cannot go on meanwhile. Such a change is
     * still, too, and all that it did is in the undo log; to wait for it would be to wait for each other.
     */
    private synchronized void awaitStillness() {
        List<SessionLocal> seen = List.copyOf(changing);
        Map<SessionLocal, Integer> timesSeenWaiting = new HashMap<>();
        while (!changing.isEmpty()) {
            for (SessionLocal session : changing) {
                if (session.getBlockingSessionId() != 0) {
                    timesSeenWaiting.merge(session, 1, Integer::sum);
                }
            }
            if (changing.stream().allMatch(session -> timesSeenWaiting.getOrDefault(session, 0) >= ENOUGH)) {
                return;
            }
            pause();
            if (!changing.equals(seen)) {
                seen = List.copyOf(changing);
                timesSeenWaiting.clear();
            }
        }
    }

    /** Until something ends, or a millisecond is over. */
    private void pause() {
        try {
            wait(1);
        } catch (InterruptedException e) {
            interrupted.add(Thread.currentThread());
        }
    }

    private void passOnInterrupt() {
        if (interrupted.remove(Thread.currentThread())) {
            Thread.currentThread().interrupt();
        }
    }

    /** One call of JDBC. */
    @FunctionalInterface
    interface SqlStep<T> {
        T run() throws Throwable;
    }
}
