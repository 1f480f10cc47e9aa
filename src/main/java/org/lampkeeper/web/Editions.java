package org.lampkeeper.web;

import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.Function;
import java.util.function.Supplier;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.web.SupplyPage.Wish;
import org.lampkeeper.web.SupplyReading.Snapshot;

/**
 * The live part of the supply page, composed once for all who see the same and not once for each of them: 200 watchers of 1,000 cabinets
 * would else have 200 pages composed a second. What is the same as a second ago keeps its number, so that a watcher compares numbers only.
 */
final class Editions {

    /** Whose view: the sites that they see, empty for every one, and what they asked for. */
    record Key(Optional<Set<Long>> sites, Wish wish) {
    }

    /** @param number grows with every edition of this instance; equal numbers show the same */
    record Edition(long number, Frame frame, Supplier<String> html) {
    }

    private record Slot(Snapshot snapshot, List<Object> shown, Edition edition) {
    }

    private final AtomicLong numbers = new AtomicLong();
    private final Map<Key, Slot> slots = new ConcurrentHashMap<>();
    private @Nullable Snapshot newest;

    /** A new second has begun. What nobody asked for in the last one is forgotten. Called by one thread. */
    void begin(Snapshot snapshot) {
        slots.values().removeIf(slot -> slot.snapshot() != newest);
        newest = snapshot;
    }

    /** The edition of {@code key} at {@code snapshot}; {@code compose} and {@code render} are called at most once for all who ask. */
    Edition at(Snapshot snapshot, Key key, Supplier<SupplyView> compose, Function<SupplyView, String> render) {
        return slots.compute(key, (same, before) -> before != null && before.snapshot() == snapshot ? before : next(snapshot, before, compose.get(), render))
                .edition();
    }

    private Slot next(Snapshot snapshot, @Nullable Slot before, SupplyView view, Function<SupplyView, String> render) {
        List<Object> shown = List.of(view.headline(), view.remarks(), view.action(), view.sites());
        if (before != null && before.shown().equals(shown)) {
            return new Slot(snapshot, shown, new Edition(before.edition().number(), view.frame(), before.edition().html()));
        }
        return new Slot(snapshot, shown, new Edition(numbers.incrementAndGet(), view.frame(), new Once(() -> render.apply(view))));
    }

    /** Renders when first asked, and keeps it. */
    private static final class Once implements Supplier<String> {

        private final Supplier<String> render;
        private @Nullable String rendered;

        private Once(Supplier<String> render) {
            this.render = render;
        }

        @Override
        public synchronized String get() {
            @Nullable String done = rendered;
            if (done == null) {
                done = render.get();
                rendered = done;
            }
            return done;
        }
    }
}
