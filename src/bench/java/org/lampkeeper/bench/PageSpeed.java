package org.lampkeeper.bench;

import java.io.InputStream;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.net.http.HttpResponse.BodyHandlers;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;

import org.lampkeeper.testing.TestDatabase;

/** How long the supply page of 1,000 cabinets takes while 200 watch it and something changes every second. */
final class PageSpeed {

    private static final int CABINETS = 1_000;
    private static final int WATCHERS = 200;
    private static final int LOST_BEFORE = 300;
    private static final String SESSION = "a session of the speed command";

    private PageSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = Files.createDirectories(folder.resolve("page"));
        TestDatabase database = place.empty("page");
        Fleet.seed(database, CABINETS, Instant.now());
        signIn(database);
        try (Mosquitto broker = new Mosquitto(here);
                Service service = Service.start(settings, here, database, IngestSpeed.at(broker));
                Gateway gateway = new Gateway(broker.port(), "gateway")) {
            HttpClient browser = HttpClient.newBuilder().version(HttpClient.Version.HTTP_1_1).build();
            for (int sensor = 1; sensor <= LOST_BEFORE; sensor++) {
                lose(gateway, sensor);
            }
            List<CompletableFuture<HttpResponse<Void>>> watchers = new ArrayList<>();
            for (int i = 0; i < WATCHERS; i++) {
                watchers.add(browser.sendAsync(get(service, "/supply/live"), BodyHandlers.discarding()));
            }
            int warm = settings.quick() ? 20 : 200;
            int counted = settings.quick() ? 50 : 600;
            measure(browser, service, gateway, "/", warm, LOST_BEFORE);
            List<Double> page = new ArrayList<>();
            List<Double> bare = new ArrayList<>();
            int size = 0;
            for (int round = 0; round < 5; round++) {
                Measured of = measure(browser, service, gateway, "/", counted / 5, LOST_BEFORE + 50 + round * 100);
                page.addAll(of.millis());
                size = Math.max(size, of.bytes());
                bare.addAll(measure(browser, service, gateway, "/static/lampkeeper.css", counted / 5, 0).millis());
            }
            Map<String, Object> figures = new LinkedHashMap<>();
            figures.put("watchers", watchers.stream().filter(watcher -> !watcher.isDone()).count());
            figures.put("bytes", size);
            figures.put("p50_ms", Results.rounded(Results.quantile(page, 0.5)));
            figures.put("p99_ms", Results.rounded(Results.quantile(page, 0.99)));
            figures.put("bare_file_p50_ms", Results.rounded(Results.quantile(bare, 0.5)));
            figures.put("ratio_to_bare_file", Results.rounded(Results.quantile(page, 0.5) / Results.quantile(bare, 0.5)));
            results.keep("page", place.kind().title(), figures, "p99 under 100 ms, under 300,000 bytes, 200 watchers still there");
        }
    }

    private record Measured(List<Double> millis, int bytes) {
    }

    /** One request after the other, ten a second; a cabinet is lost before every tenth. {@code from}: the first of those, 0 for none. */
    private static Measured measure(HttpClient browser, Service service, Gateway gateway, String path, int times, int from) throws Exception {
        List<Double> millis = new ArrayList<>();
        int bytes = 0;
        for (int i = 0; i < times; i++) {
            if (from > 0 && i % 10 == 0) {
                lose(gateway, from + i / 10 + 1);
            }
            Thread.sleep(100);
            long began = System.nanoTime();
            HttpResponse<InputStream> answer = browser.send(get(service, path), BodyHandlers.ofInputStream());
            try (InputStream body = answer.body()) {
                bytes = Math.max(bytes, body.readAllBytes().length);
            }
            millis.add((System.nanoTime() - began) / 1e6);
            if (answer.statusCode() != 200) {
                throw new IllegalStateException(path + " answered " + answer.statusCode());
            }
        }
        return new Measured(millis, bytes);
    }

    private static void lose(Gateway gateway, int sensor) throws Exception {
        gateway.publish(IngestSpeed.TOPICS + Fleet.deviceId(sensor) + "/report", Fleet.report(sensor, false, 1, System.currentTimeMillis()));
        gateway.flush();
    }

    static HttpRequest get(Service service, String path) {
        return get(service, path, "text/html, text/event-stream");
    }

    /** As somebody who is signed in. */
    static HttpRequest get(Service service, String path, String accept) {
        return HttpRequest.newBuilder(service.at(path)).header("Cookie", cookie()).header("Accept", accept).build();
    }

    static String cookie() {
        return "lampkeeper=" + SESSION.replace(' ', '-');
    }

    /** Person 1 of the fleet, as administrator of everything. */
    static void signIn(TestDatabase database) throws Exception {
        String hash = HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(SESSION.replace(' ', '-').getBytes(StandardCharsets.UTF_8)));
        String longAgo = "CAST('2026-01-01 00:00:00Z' AS TIMESTAMP(6) WITH TIME ZONE)";
        String never = "CAST('2100-01-01 00:00:00Z' AS TIMESTAMP(6) WITH TIME ZONE)";
        database.run("INSERT INTO account (person_id, session_version, created_at) VALUES (1, 0, " + longAgo + ")");
        database.run("INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (1, 'ADMINISTRATOR', NULL, " + longAgo + ")");
        database.run("INSERT INTO sign_in (token_hash, id, person_id, session_version, opened_at, seen_at, ends_at, device) VALUES ('" + hash + "', 1, 1, 0, "
                + longAgo + ", " + never + ", " + never + ", 'the speed command')");
        database.close();
    }
}
