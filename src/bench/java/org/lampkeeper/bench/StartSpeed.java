package org.lampkeeper.bench;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

import org.lampkeeper.testing.TestDatabase;

/** How soon the service is ready with the broker of its own, first on an empty database and then again; and what memory a fleet takes. */
final class StartSpeed {

    private StartSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = folder.resolve("start");
        TestDatabase database = place.empty("started");
        List<Double> seconds = new ArrayList<>();
        for (int i = 0; i < (settings.quick() ? 2 : 4); i++) {
            try (Service service = Service.start(settings, here, database, Map.of("lampkeeper.broker.port", "0"))) {
                seconds.add(service.readyAfter().toMillis() / 1e3);
            }
        }
        Map<String, Object> figures = new LinkedHashMap<>();
        figures.put("first_start_s", Results.rounded(seconds.get(0)));
        figures.put("later_start_s", Results.rounded(Results.median(seconds.subList(1, seconds.size()))));
        results.keep("start", place.kind().title(), figures, "ready in under 8 s");
        memory(settings, results, place, folder);
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
