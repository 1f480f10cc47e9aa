package org.lampkeeper.bench;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

import org.lampkeeper.testing.TestDatabase;

/** How soon the service is ready with the broker of its own, first on an empty database, then again, then with
 * the archive of classes that docs/operation.md describes; and what memory a fleet takes. */
final class StartSpeed {

    private StartSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = folder.resolve("start");
        TestDatabase database = place.empty("started");
        double first = ready(settings, here, database, List.of());
        double later = median(settings, here, database, List.of());
        Path archive = here.toAbsolutePath().resolve("classes.jsa");
        ready(settings, here, database, List.of("-XX:ArchiveClassesAtExit=" + archive));
        Map<String, Object> figures = new LinkedHashMap<>();
        figures.put("first_start_s", Results.rounded(first));
        figures.put("later_start_s", Results.rounded(later));
        figures.put("with_class_archive_s", Results.rounded(median(settings, here, database, List.of("-XX:SharedArchiveFile=" + archive))));
        results.keep("start", place.kind().title(), figures, "ready in under 8 s");
        memory(settings, results, place, folder);
    }

    private static double median(Settings settings, Path here, TestDatabase database, List<String> java) throws Exception {
        List<Double> seconds = new ArrayList<>();
        for (int i = 0; i < (settings.quick() ? 1 : 3); i++) {
            seconds.add(ready(settings, here, database, java));
        }
        return Results.median(seconds);
    }

    private static double ready(Settings settings, Path here, TestDatabase database, List<String> java) throws Exception {
        try (Service service = Service.start(settings, here, database, Map.of("lampkeeper.broker.port", "0"), java)) {
            return service.readyAfter().toMillis() / 1e3;
        }
    }

    private static void memory(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        int sensors = settings.largestFleet();
        Path here = Files.createDirectories(folder.resolve("memory"));
        TestDatabase database = place.empty("memory");
        Fleet.seed(database, sensors, Instant.now());
        try (Mosquitto broker = new Mosquitto(here);
                Service service = Service.start(settings, here, database, IngestSpeed.at(broker));
                Gateway gateway = new Gateway(broker.port(), "gateway")) {
            long atStart = service.mebibytes("VmRSS");
            Stream stream = new Stream(gateway, IngestSpeed.TOPICS, sensors, false);
            int messages = Math.min(settings.messages(), sensors);
            for (int sent = 0; sent < 3 * sensors; sent += messages) {
                Drain.through(service, stream, messages);
            }
            Map<String, Object> figures = new LinkedHashMap<>();
            figures.put("sensors", sensors);
            figures.put("heap", settings.heap());
            figures.put("resident_mib", service.mebibytes("VmRSS"));
            figures.put("highest_mib", service.mebibytes("VmHWM"));
            figures.put("after_start_mib", atStart);
            results.keep("memory", place.kind().title(), figures, "under 512 MiB at 100,000 sensors on PostgreSQL");
        }
    }
}
