package org.lampkeeper.bench;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.Comparator;
import java.util.List;

import org.lampkeeper.bench.Settings.Part;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.watch.OverdueSpeed;
import org.lampkeeper.watch.YearSpeed;
import org.lampkeeper.web.PlotSpeed;

/** The speed command; see docs/speed.md for how it is called and what it says. */
public final class Bench {

    private Bench() {
    }

    public static void main(String... arguments) throws Exception {
        Settings settings = Settings.read();
        if (!Files.isRegularFile(settings.program())) {
            throw new IllegalStateException("no packaged program at " + settings.program() + ", package it first");
        }
        Results results = new Results(settings.folder());
        Path run = Files.createDirectories(settings.folder().resolve("run-" + Instant.now().getEpochSecond()));
        for (Database database : settings.databases()) {
            Path folder = Files.createDirectories(run.resolve(database.name().toLowerCase()));
            try (Database.Place place = database.open(folder)) {
                for (Part part : settings.parts()) {
                    System.out.println("--- " + part + " on " + database.title());
                    switch (part) {
                        case INGEST -> IngestSpeed.run(settings, results, place, folder);
                        case LOSS -> LossSpeed.run(settings, results, place, folder);
                        case FLOOD -> FloodSpeed.run(settings, results, place, folder);
                        case LOOKS -> LooksSpeed.run(settings, results, place, folder);
                        case OVERDUE -> OverdueSpeed.run(settings.idleRows(), results, place);
                        case PAGE -> PageSpeed.run(settings, results, place, folder);
                        case YEAR -> {
                            TestDatabase year = YearSpeed.run(settings.sampleOfAYear(), results, place);
                            PlotSpeed.run(settings.sampleOfAYear(), year, results, place);
                            year.close();
                        }
                        case REPORT -> ReportSpeed.run(settings, results, place, folder);
                        case START -> StartSpeed.run(settings, results, place, folder);
                    }
                }
            }
        }
        delete(run);
        System.exit(0);
    }

    /** Gigabytes of databases that nobody needs; after a failure they stay, with the logs. */
    private static void delete(Path folder) throws Exception {
        List<Path> all;
        try (var walk = Files.walk(folder)) {
            all = walk.sorted(Comparator.reverseOrder()).toList();
        }
        for (Path each : all) {
            Files.deleteIfExists(each);
        }
    }
}
