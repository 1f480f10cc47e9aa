package org.lampkeeper.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicReference;

import org.lampkeeper.testing.TestDatabase;

/** From the publishing of a loss to the mail server's acceptance of the first mail, while half of what the service can take is coming in. */
final class LossSpeed {

    private static final int SENSORS = 10_000;
    private static final int SITES = SENSORS / Fleet.PER_SITE;
    private static final int LOSSES_A_SECOND = 20;
    private static final long SECOND = 1_000_000_000L;

    private LossSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = Files.createDirectories(folder.resolve("loss"));
        TestDatabase database = place.empty("loss");
        Fleet.seed(database, SENSORS, Instant.now());
        try (Mosquitto broker = new Mosquitto(here); SmtpSink mail = new SmtpSink()) {
            Map<String, String> more = new HashMap<>(IngestSpeed.at(broker));
            more.put("lampkeeper.watch.confirm", "0s");
            more.put("lampkeeper.message.from", "lampkeeper@hallow-water.example");
            more.put("quarkus.mailer.host", "127.0.0.1");
            more.put("quarkus.mailer.port", Integer.toString(mail.port()));
            more.put("quarkus.mailer.start-tls", "DISABLED");
            try (Service service = Service.start(settings, here, database, more);
                    Gateway gateway = new Gateway(broker.port(), "gateway");
                    Gateway losing = new Gateway(broker.port(), "losing")) {
                Stream steady = new Stream(gateway, IngestSpeed.TOPICS, SENSORS, true);
                double rate = 0;
                for (int pass = 0; pass < 3; pass++) {
                    rate = Drain.through(service, steady, settings.messages());
                }
                // Twice, and only the second time counts: a service runs for months, and what it does most is compiled by then.
                int counted = settings.secondsOfLosses() * LOSSES_A_SECOND;
                int before = Math.min(counted, SITES - counted);
                measure(new Load(steady, losing, mail, rate / 2, 0, before));
                results.keep("loss", place.kind().title(), measure(new Load(steady, losing, mail, rate / 2, before, counted)),
                        "p99 under 1 s");
            }
        }
    }

    private static void publishLoss(Gateway gateway, int sensor) throws IOException, InterruptedException {
        gateway.publish(IngestSpeed.TOPICS + Fleet.deviceId(sensor) + "/report",
                Fleet.report(sensor, false, 1, System.currentTimeMillis()));
        gateway.flush();
    }

    /** @param lostBefore none is lost twice, and no two at one site */
    private record Load(Stream steady, Gateway losing, SmtpSink mail, double rate, int lostBefore, int losses) {
        double seconds() {
            return (double) losses / LOSSES_A_SECOND;
        }
    }

    private static Map<String, Object> measure(Load load) throws Exception {
        int losses = load.losses();
        long began = System.nanoTime();
        long ends = began + (long) (load.seconds() * SECOND);
        AtomicReference<Throwable> trouble = new AtomicReference<>();
        long[] sent = new long[1];
        Thread background = new Thread(() -> sent[0] = keepUp(load.steady(), load.rate(), ends, trouble), "steady");
        background.start();
        Map<String, Long> publishedAt = new LinkedHashMap<>();
        for (int i = 0; i < losses; i++) {
            sleepUntil(began + i * SECOND / LOSSES_A_SECOND);
            int sensor = (load.lostBefore() + i) * Fleet.PER_SITE + 1;
            publishedAt.put(Fleet.cabinet(sensor), System.nanoTime());
            publishLoss(load.losing(), sensor);
        }
        background.join();
        if (trouble.get() != null) {
            throw new IllegalStateException("the steady reports could not be sent", trouble.get());
        }
        Map<String, Long> accepted = awaitAll(publishedAt, load.mail());
        List<Double> millis = new ArrayList<>();
        publishedAt.forEach((cabinet, at) -> millis.add((accepted.get(cabinet) - at) / 1e6));
        Map<String, Object> figures = new LinkedHashMap<>();
        figures.put("losses", losses);
        figures.put("p50_ms", Results.rounded(Results.quantile(millis, 0.5)));
        figures.put("p99_ms", Results.rounded(Results.quantile(millis, 0.99)));
        figures.put("longest_ms", Results.rounded(Results.quantile(millis, 1)));
        figures.put("steady_per_second", Results.rounded(sent[0] / load.seconds()));
        figures.put("steady_per_second_wanted", Results.rounded(load.rate()));
        return figures;
    }

    /** Sends at an even rate; returns how many. */
    private static long keepUp(Stream steady, double rate, long ends, AtomicReference<Throwable> trouble) {
        long began = System.nanoTime();
        long sent = 0;
        try {
            for (long now = began; now < ends; now = System.nanoTime()) {
                long due = (long) ((now - began) / 1e9 * rate);
                for (; sent < due; sent++) {
                    steady.next();
                }
                steady.flush();
                Thread.sleep(5);
            }
        } catch (IOException | InterruptedException failure) {
            trouble.set(failure);
        }
        return sent;
    }

    /** Every loss must have been told: a lost one is no slow one. */
    private static Map<String, Long> awaitAll(Map<String, Long> publishedAt, SmtpSink mail) throws InterruptedException {
        long until = System.nanoTime() + 60 * SECOND;
        while (!mail.acceptedAt().keySet().containsAll(publishedAt.keySet())) {
            if (System.nanoTime() > until) {
                List<String> missing = publishedAt.keySet().stream().filter(each -> !mail.acceptedAt().containsKey(each)).toList();
                throw new IllegalStateException("no mail about " + missing.size() + " losses, the first " + missing.get(0));
            }
            Thread.sleep(20);
        }
        return mail.acceptedAt();
    }

    private static void sleepUntil(long nanos) throws InterruptedException {
        long left = nanos - System.nanoTime();
        if (left > 0) {
            Thread.sleep(left / 1_000_000, (int) (left % 1_000_000));
        }
    }
}
