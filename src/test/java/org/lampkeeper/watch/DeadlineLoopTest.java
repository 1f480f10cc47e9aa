package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.CountDownLatch;
import java.util.function.Consumer;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import io.smallrye.config.SmallRyeConfigBuilder;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.watch.Deadlines.Deadline;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

class DeadlineLoopTest {

    private static final long SLOW = 1;
    private static final long BROKEN = 2;
    private static final long LAST = 9;

    private final Handler handler = new Handler();
    private final DeadlineLoop loop = new DeadlineLoop(handler, () -> true, new SmallRyeConfigBuilder().withMapping(WatchConfig.class)
            .addDiscoveredConverters().build().getConfigMapping(WatchConfig.class));

    /** Deadlines that are due until they have been handled, as rows are. */
    private static final class Handler extends DeadlineHandler {
        private final Set<Long> due = ConcurrentHashMap.newKeySet();
        private final ConcurrentLinkedQueue<Long> begun = new ConcurrentLinkedQueue<>();
        private final CountDownLatch slowMayEnd = new CountDownLatch(1);

        @SuppressWarnings("NullAway")
        private Handler() {
            super(null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null);
        }

        @Override
        public List<Long> due(int most) {
            return due.stream().sorted().limit(most).toList();
        }

        @Override
        public void handle(long id, Consumer<Deadline> claimed) {
            if (!due.contains(id)) {
                return;
            }
            claimed.accept(new Deadline(id, Instant.EPOCH, DeadlineKind.CALL_OUT, id, 0, 0));
            begun.add(id);
            if (id == BROKEN) {
                throw new IllegalStateException("cannot be handled, as this test wants it");
            }
            if (id == SLOW) {
                try {
                    slowMayEnd.await();
                } catch (InterruptedException interrupted) {
                    Thread.currentThread().interrupt();
                }
            }
            due.remove(id);
        }

        @Override
        public void putOff(Deadline failed) {
            due.remove(failed.id());
        }
    }

    @AfterEach
    void endLoop() {
        handler.slowMayEnd.countDown();
        stop(loop);
    }

    private static void stop(DeadlineLoop loop) {
        try {
            loop.stop(new ShutdownEvent());
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    @Test
    void oneThatTakesItsTimeHoldsUpNoOther() {
        handler.due.addAll(List.of(SLOW, 3L, 4L, 5L, 6L, 7L, 8L, LAST));
        loop.start(new StartupEvent());

        await().untilAsserted(() -> assertThat(handler.due).containsExactly(SLOW));

        assertThat(handler.begun).as("each handed out once, however often it is seen to be due").doesNotHaveDuplicates();
    }

    @Test
    void oneThatCannotBeHandledIsPutOff() {
        handler.due.addAll(List.of(BROKEN, LAST));
        loop.start(new StartupEvent());

        await().untilAsserted(() -> assertThat(handler.due).isEmpty());
        assertThat(handler.begun).containsExactlyInAnyOrder(BROKEN, LAST);
    }

    @Test
    void stopWaitsForWhatIsInHand() {
        handler.due.add(SLOW);
        loop.start(new StartupEvent());
        await().until(() -> handler.begun.contains(SLOW));

        CompletableFuture<Void> stopped = CompletableFuture.runAsync(() -> stop(loop));
        await().during(Duration.ofMillis(300)).until(() -> !stopped.isDone());
        handler.slowMayEnd.countDown();

        assertThat(stopped).succeedsWithin(Duration.ofSeconds(5));
        assertThat(handler.due).isEmpty();
    }
}
