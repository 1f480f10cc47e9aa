package org.lampkeeper.bench;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

import org.lampkeeper.telemetry.BareLoop;
import org.lampkeeper.testing.TestDatabase;

/** Reports committed a second, as a ratio to the bare loop, pass by pass in turn. */
final class IngestSpeed {

    static final String TOPICS = "lampkeeper/v1/";

    private IngestSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        for (int sensors : settings.fleets()) {
            Path here = Files.createDirectories(folder.resolve("ingest-" + sensors));
            TestDatabase real = place.empty("ingest_" + sensors);
            TestDatabase copy = place.empty("bare_" + sensors);
            Fleet.seed(real, sensors, Instant.now());
            Fleet.seed(copy, sensors, Instant.now());
            try (Mosquitto broker = new Mosquitto(here);
                    Service service = Service.start(settings, here, real, at(broker));
                    Bare bare = Bare.start(settings, here, copy, broker);
                    Gateway gateway = new Gateway(broker.port(), "gateway")) {
                compare(settings, results, place.kind(), sensors, service, new Stream(gateway, TOPICS, sensors, false), bare,
                        new Stream(gateway, BareLoop.TOPICS, sensors, false));
            }
            prove(real, sensors);
        }
    }

    static Map<String, String> at(Mosquitto broker) {
        return Map.of("lampkeeper.broker.url", broker.url(), "lampkeeper.broker.password", "bench");
    }

    private static void compare(Settings settings, Results results, Database database, int sensors, Service service, Stream toService,
            Bare bare, Stream toBare) throws Exception {
        // Each sensor is heard once, and both programs are compiled, before anything counts.
        int warm = Math.max(settings.messages(), sensors);
        for (int sent = 0; sent < warm; sent += settings.messages()) {
            Drain.through(bare, toBare, settings.messages());
            Drain.through(service, toService, settings.messages());
        }
        List<Double> bares = new ArrayList<>();
        List<Double> reals = new ArrayList<>();
        List<Double> ratios = new ArrayList<>();
        long steadyBefore = service.figure("lampkeeper_reports_steady_total");
        for (int round = 0; round < settings.rounds(); round++) {
            boolean bareFirst = round % 2 == 0;
            double one = bareFirst ? Drain.through(bare, toBare, settings.messages()) : Drain.through(service, toService, settings.messages());
            double two = bareFirst ? Drain.through(service, toService, settings.messages()) : Drain.through(bare, toBare, settings.messages());
            bares.add(bareFirst ? one : two);
            reals.add(bareFirst ? two : one);
            ratios.add(reals.get(round) / bares.get(round));
            System.out.printf("  %s, %,d sensors, round %d: bare %,.0f/s, service %,.0f/s, ratio %.2f%n", database.title(), sensors, round + 1,
                    bares.get(round), reals.get(round), ratios.get(round));
        }
        Map<String, Object> figures = new LinkedHashMap<>();
        figures.put("sensors", sensors);
        figures.put("ratio", Results.rounded(Results.median(ratios)));
        figures.put("service_per_second", Results.rounded(Results.median(reals)));
        figures.put("bare_per_second", Results.rounded(Results.median(bares)));
        figures.put("ratios", ratios.stream().map(Results::rounded).toList());
        figures.put("steady", service.figure("lampkeeper_reports_steady_total") - steadyBefore);
        figures.put("refused", service.figure("lampkeeper_reports_refused_total"));
        results.keep("ingest", database.title(), figures, "ratio at least 0.7");
    }

    /** A fast answer that is not in the database would be no answer. */
    private static void prove(TestDatabase database, int sensors) throws Exception {
        long heard = ((Number) database.ask("SELECT COUNT(*) FROM sensor_status WHERE seq > 0 AND reading = 'HEALTHY' AND inside_c > 8"))
                .longValue();
        if (heard != sensors) {
            throw new IllegalStateException(heard + " of " + sensors + " sensors have a report in the database");
        }
    }
}
