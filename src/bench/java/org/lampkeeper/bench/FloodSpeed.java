package org.lampkeeper.bench;

import java.io.ByteArrayInputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.IntStream;

import jakarta.mail.MessagingException;
import jakarta.mail.internet.MimeMessage;

import org.lampkeeper.testing.MailParts;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.WrittenCodes;

/** All cabinets of an intake lost within ten seconds: when the one person hears of it first, how often, and when they have heard of every one. */
final class FloodSpeed {

    private static final int ON_A_BOARD = 50;
    private static final int SECONDS = 10;
    private static final long SECOND = 1_000_000_000L;
    private static final long LONGEST = 900 * SECOND;

    private FloodSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = Files.createDirectories(folder.resolve("flood"));
        TestDatabase database = place.empty("flood");
        int floods = settings.rounds();
        Fleet.seed(database, (floods + 1) * settings.flood(), settings.flood(), ON_A_BOARD, Instant.now());
        try (Mosquitto broker = new Mosquitto(here); SmtpSink mail = new SmtpSink()) {
            Map<String, String> more = new HashMap<>(IngestSpeed.at(broker));
            more.put("lampkeeper.watch.confirm", "0s");
            more.put("lampkeeper.message.from", "lampkeeper@hallow-water.example");
            more.put("quarkus.mailer.host", "127.0.0.1");
            more.put("quarkus.mailer.port", Integer.toString(mail.port()));
            more.put("quarkus.mailer.start-tls", "DISABLED");
            try (Service service = Service.start(settings, here, database, more); Gateway losing = new Gateway(broker.port(), "losing")) {
                List<Double> first = new ArrayList<>();
                List<Double> messages = new ArrayList<>();
                List<Double> named = new ArrayList<>();
                for (int flood = 0; flood <= floods; flood++) {
                    Told told = lose(flood * settings.flood(), settings.flood(), losing, mail);
                    // The first does not count: a service runs for months, and what it does most is compiled by then.
                    if (flood > 0) {
                        first.add(told.firstMillis());
                        messages.add((double) told.inFirstMinute());
                        named.add(told.allNamedSeconds());
                    }
                }
                Map<String, Object> figures = new LinkedHashMap<>();
                figures.put("cabinets", settings.flood());
                figures.put("floods", floods);
                figures.put("first_p50_ms", Results.rounded(Results.median(first)));
                figures.put("first_p99_ms", Results.rounded(Results.quantile(first, 0.99)));
                figures.put("messages_in_first_minute", (int) Results.quantile(messages, 1));
                figures.put("all_named_median_s", Results.rounded(Results.median(named)));
                results.keep("flood", place.kind().title(), figures, "first message p99 under 2 s, at most 3 in the first minute");
            }
        }
    }

    private record Told(double firstMillis, int inFirstMinute, double allNamedSeconds) {
    }

    /** Sensors from {@code before + 1} on, in no order that a board has. */
    private static Told lose(int before, int cabinets, Gateway losing, SmtpSink mail) throws Exception {
        int mailsBefore = mail.accepted().size();
        List<Integer> sensors = new ArrayList<>(IntStream.rangeClosed(before + 1, before + cabinets).boxed().toList());
        Collections.shuffle(sensors, new Random(before));
        long began = System.nanoTime();
        for (int i = 0; i < cabinets; i++) {
            sleepUntil(began + i * SECONDS * SECOND / cabinets);
            losing.publish(IngestSpeed.TOPICS + Fleet.deviceId(sensors.get(i)) + "/report", Fleet.report(sensors.get(i), false, 1, System.currentTimeMillis()));
            losing.flush();
        }
        Set<String> named = new TreeSet<>();
        List<SmtpSink.Accepted> told = new ArrayList<>();
        while (named.size() < cabinets) {
            List<SmtpSink.Accepted> all = mail.accepted();
            for (SmtpSink.Accepted each : all.subList(mailsBefore + told.size(), all.size())) {
                told.add(each);
                named.addAll(WrittenCodes.inLetter(text(each.mail())));
            }
            if (System.nanoTime() - began > LONGEST) {
                throw new IllegalStateException(cabinets - named.size() + " of " + cabinets + " cabinets were named in none of " + told.size() + " messages");
            }
            Thread.sleep(20);
        }
        long first = told.get(0).at();
        int inFirstMinute = (int) told.stream().filter(each -> each.at() <= first + 60 * SECOND).count();
        return new Told((first - began) / 1e6, inFirstMinute, (told.get(told.size() - 1).at() - began) / 1e9);
    }

    private static String text(String mail) throws MessagingException {
        return MailParts.text(new MimeMessage(null, new ByteArrayInputStream(mail.getBytes(StandardCharsets.ISO_8859_1))));
    }

    private static void sleepUntil(long nanos) throws InterruptedException {
        long left = nanos - System.nanoTime();
        if (left > 0) {
            Thread.sleep(left / 1_000_000, (int) (left % 1_000_000));
        }
    }
}
