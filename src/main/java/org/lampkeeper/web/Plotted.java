package org.lampkeeper.web;

import java.util.List;

/** A drawing with the figures in it, for the table beside it. */
record Plotted(PlotView drawing, List<TemperaturesResource.Figure> figures) {

    Plotted {
        figures = List.copyOf(figures);
    }
}
