package org.lampkeeper.web;

import java.io.IOException;
import java.io.InputStream;
import java.util.Properties;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Named;

/** Where the charting library stands on our own server; its version is in its address, so that no browser keeps an old one. */
@Named("plot")
@ApplicationScoped
class PlotAssets {

    private static final String ABOUT = "/META-INF/maven/org.webjars.npm/uplot/pom.properties";

    private final String folder;

    PlotAssets() {
        Properties about = new Properties();
        try (InputStream content = PlotAssets.class.getResourceAsStream(ABOUT)) {
            if (content == null) {
                throw new IllegalStateException(ABOUT + " is missing from the program: the charting library is not there");
            }
            about.load(content);
        } catch (IOException e) {
            throw new IllegalStateException(ABOUT + " cannot be read from the program", e);
        }
        this.folder = "/webjars/uplot/" + about.getProperty("version") + "/dist/";
    }

    public String script() {
        return folder + "uPlot.esm.js";
    }

    public String style() {
        return folder + "uPlot.min.css";
    }
}
