package org.lampkeeper.web;

import java.util.List;

/**
 * A plot of temperatures with every line decided; see {@link Plot}.
 *
 * @param spoken what is in it, for whoever does not see it
 * @param levels of the temperature axis
 * @param ticks  of the axis of time
 * @param areas  times without supply, and with the door open
 * @param limits storage temperatures of the content
 * @param looks  what people said when they looked
 * @param now    where it is now, where the axis goes on beyond it; empty or one
 */
record PlotView(int width, int height, int left, int right, int top, int bottom, String spoken, List<Level> levels, List<Tick> ticks, List<Shape> areas,
        List<Shape> bands, List<Shape> lines, List<Level> limits, List<Tick> looks, List<String> now) {

    /** Whether the content itself was measured. */
    public boolean isContentDrawn() {
        return lines.stream().anyMatch(each -> each.look().equals("plot-content"));
    }

    public boolean isForecastDrawn() {
        return bands.stream().anyMatch(each -> each.look().equals("plot-forecast"));
    }

    /** Whether more was measured than the lines show. */
    public boolean isRangeDrawn() {
        return bands.stream().anyMatch(each -> each.look().endsWith("-range"));
    }

    /** {@code points}: as SVG takes them. */
    record Shape(String look, String points) {
    }

    record Level(double y, String label) {
        public String at() {
            return Plot.round(y);
        }

        public String textAt() {
            return Plot.round(y + 4);
        }

        public String above() {
            return Plot.round(y - 3);
        }
    }

    record Tick(double x, String label) {
        public String at() {
            return Plot.round(x);
        }
    }
}
