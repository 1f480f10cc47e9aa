package org.lampkeeper.bench;

import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpRequest.BodyPublishers;
import java.net.http.HttpResponse;
import java.net.http.HttpResponse.BodyHandlers;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.time.Duration;
import java.time.Instant;
import java.time.YearMonth;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Supplier;

import org.lampkeeper.testing.TestDatabase;

/** How long the month of a site with years behind it takes, and the evidence of one of its cabinets; beside only reading the rows that they are made of. */
final class ReportSpeed {

    private static final DateTimeFormatter TYPED = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm").withZone(ZoneOffset.UTC);
    /** Every entry of the site that says anything of supply, alarms or attendance. */
    private static final String MONTH_ROWS = """
            SELECT e.cabinet_id, e.at, e.kind, e.body FROM journal_entry e
             WHERE e.site_id = 1 AND e.kind IN ('first-report-heard', 'loss-confirmed', 'supply-returned', 'dip-ended', 'alarm-raised', 'alarm-returned', 'attendance-completed')
             ORDER BY e.id""";
    /** What stands in the journal in the time of the evidence, and what was measured. */
    private static final String EVIDENCE_ROWS = """
            SELECT e.at, e.kind, e.body, e.seal_hash FROM journal_entry e WHERE e.seal_number >= (SELECT MIN(f.seal_number) FROM journal_entry f WHERE f.cabinet_id = 1 AND f.at >= ? AND f.at < ?)
               AND e.seal_number <= (SELECT MAX(f.seal_number) FROM journal_entry f WHERE f.cabinet_id = 1 AND f.at >= ? AND f.at < ?) ORDER BY e.seal_number""";

    /** PostgreSQL tells its counts of a session that rests after a second. */
    private static final Duration STATISTICS_WITHIN = Duration.ofSeconds(2);

    private ReportSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = Files.createDirectories(folder.resolve("report"));
        TestDatabase database = place.empty("report");
        int cabinets = settings.cabinetsOfHistory();
        int years = settings.yearsOfHistory();
        Instant now = Instant.now();
        Fleet.seed(database, cabinets, cabinets, settings.quick() ? 10 : 50, now);
        long entries = History.seed(database, cabinets, years, now);
        PageSpeed.signIn(database);
        YearMonth month = YearMonth.from(now.atOffset(ZoneOffset.UTC)).minusMonths(1);
        Instant from = now.minus(Duration.ofDays(62));
        Instant until = from.plus(Duration.ofDays(31));
        // Read before the service has the file.
        List<Double> bareMonth = new ArrayList<>();
        List<Double> bareEvidence = new ArrayList<>();
        int rounds = settings.quick() ? 2 : 5;
        try (Connection connection = database.connect()) {
            for (int i = 0; i < rounds; i++) {
                bareMonth.add(millisToRead(connection, MONTH_ROWS, List.of()));
                bareEvidence.add(millisToRead(connection, EVIDENCE_ROWS, List.of(from, until, from, until)));
            }
        }
        database.close();
        try (Mosquitto broker = new Mosquitto(here); Service service = Service.start(settings, here, database, IngestSpeed.at(broker))) {
            HttpClient browser = HttpClient.newBuilder().version(HttpClient.Version.HTTP_1_1).build();
            String span = "from=" + TYPED.format(from) + "&until=" + TYPED.format(until);
            long before = readByFullScans(database);
            Map<String, Object> figures = new LinkedHashMap<>();
            figures.put("cabinets", cabinets);
            figures.put("years", years);
            figures.put("entries", entries);
            measure(figures, "month_page", bareMonth, rounds, browser, () -> PageSpeed.get(service, "/sites/1/month?month=" + month));
            measure(figures, "month_paper", bareMonth, rounds, browser, () -> PageSpeed.get(service, "/sites/1/month.pdf?month=" + month, "application/pdf"));
            measure(figures, "month_of_all", bareMonth, rounds, browser, () -> PageSpeed.get(service, "/month?month=" + month));
            measure(figures, "evidence_paper", bareEvidence, rounds, browser, () -> PageSpeed.get(service, "/cabinets/1/evidence.pdf?" + span, "application/pdf"));
            measure(figures, "evidence_archive", bareEvidence, rounds, browser, () -> posted(service, "/cabinets/1/evidence.zip", span.replace(":", "%3A")));
            if (database.isPostgresql()) {
                Thread.sleep(STATISTICS_WITHIN.toMillis());
                figures.put("rows_of_history_read_by_full_scans", readByFullScans(database) - before);
            }
            results.keep("report", place.kind().title(), figures, "month of a site of 1,000 cabinets with 5 years under 10 s, evidence of 31 days under 5 s");
        }
    }

    /** Of the tables that grow with time. PostgreSQL counts them; H2 does not. */
    private static long readByFullScans(TestDatabase database) throws Exception {
        return database.isPostgresql() ? ((Number) database.ask("SELECT COALESCE(SUM(seq_tup_read), 0) FROM pg_stat_user_tables WHERE relname IN ('journal_entry',"
                + " 'outgoing_message', 'alarm', 'attendance_entry', 'check_due', 'check_record', 'sensor_quarter', 'sensor_day')")).longValue() : 0;
    }

    private static HttpRequest posted(Service service, String path, String body) {
        URI at = service.at(path);
        return HttpRequest.newBuilder(at).header("Cookie", PageSpeed.cookie()).header("Accept", "application/zip").header("Origin", at.getScheme() + "://" + at.getAuthority())
                .header("Content-Type", "application/x-www-form-urlencoded").POST(BodyPublishers.ofString(body)).build();
    }

    /** The first is of a program that has not made one yet, and is told for itself. */
    private static void measure(Map<String, Object> figures, String what, List<Double> bare, int rounds, HttpClient browser, Supplier<HttpRequest> request) throws Exception {
        double first = millis(browser, request.get());
        List<Double> all = new ArrayList<>();
        for (int i = 0; i < rounds; i++) {
            all.add(millis(browser, request.get()));
        }
        figures.put(what + "_first_ms", Results.rounded(first));
        figures.put(what + "_p50_ms", Results.rounded(Results.median(all)));
        figures.put(what + "_ratio_to_reading", Results.rounded(Results.median(all) / Results.median(bare)));
    }

    private static double millis(HttpClient browser, HttpRequest request) throws Exception {
        long began = System.nanoTime();
        HttpResponse<byte[]> answer = browser.send(request, BodyHandlers.ofByteArray());
        double millis = (System.nanoTime() - began) / 1e6;
        if (answer.statusCode() != 200 || answer.body().length < 1_000) {
            throw new IllegalStateException(request.uri() + " answered " + answer.statusCode() + " with " + answer.body().length + " bytes");
        }
        return millis;
    }

    private static double millisToRead(Connection connection, String sql, List<Instant> times) throws Exception {
        long began = System.nanoTime();
        long read = 0;
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            for (int i = 0; i < times.size(); i++) {
                select.setObject(i + 1, times.get(i).atOffset(ZoneOffset.UTC));
            }
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    read += row.getString("body").length();
                }
            }
        }
        if (read == 0) {
            throw new IllegalStateException("nothing was read by " + sql);
        }
        return (System.nanoTime() - began) / 1e6;
    }
}
