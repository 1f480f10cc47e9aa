package org.lampkeeper.web;

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

    /**
     * @param number grows with every edition of this instance; equal numbers show the same
     * @param before the number of the edition that this one followed; 0 for none
     * @param html   all of it
     * @param change what turns the edition before into this one: sites that stayed as they were are only named
     */
    record Edition(long number, long before, Frame frame, Supplier<String> html, Supplier<String> change) {
    }

    private record Slot(Snapshot snapshot, SupplyView view, Edition edition) {

        private boolean shows(SupplyView other) {
            return view.headline().equals(other.headline()) && view.remarks().equals(other.remarks()) && view.action().equals(other.action())
                    && view.sites().equals(other.sites());
        }
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
        if (before == null) {
            Once all = new Once(() -> render.apply(view));
            return new Slot(snapshot, view, new Edition(numbers.incrementAndGet(), 0, view.frame(), all, all));
        }
        Edition last = before.edition();
        if (before.shows(view)) {
            return new Slot(snapshot, view, new Edition(last.number(), last.before(), view.frame(), last.html(), last.change()));
        }
        SupplyView change = view.after(before.view().sites());
        return new Slot(snapshot, view, new Edition(numbers.incrementAndGet(), last.number(), view.frame(), new Once(() -> render.apply(view)),
                new Once(() -> render.apply(change))));
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
