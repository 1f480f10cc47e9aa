package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import io.agroal.api.AgroalDataSource;
import io.agroal.api.configuration.supplier.AgroalDataSourceConfigurationSupplier;
import io.agroal.api.security.NamePrincipal;
import io.agroal.api.security.SimplePassword;

import org.lampkeeper.bench.Database;
import org.lampkeeper.bench.Results;
import org.lampkeeper.register.AnyDatabaseDriver;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.web.Plot.Input;
import org.lampkeeper.web.Plot.Reading;
import org.lampkeeper.web.Plot.Span;

/** How long the server reads and works out the plot and the table of one cabinet for; its forecast and the writing of the page come on top. */
public final class PlotSpeed {

    private static final int TIMES = 60;
    private static final Instant NOW = Instant.parse("2026-12-01T00:00:00Z");
    private static final ZoneId LONDON = ZoneId.of("Europe/London");

    private PlotSpeed() {
    }

    /** {@code database}: with a year of sensors 1 to {@code cabinets}. */
    public static void run(int cabinets, TestDatabase database, Results results, Database.Place place) throws Exception {
        register(cabinets, database);
        try (AgroalDataSource source = AgroalDataSource.from(new AgroalDataSourceConfigurationSupplier()
                .connectionPoolConfiguration(pool -> pool.maxSize(2).connectionFactoryConfiguration(factory -> factory
                        .connectionProviderClass(AnyDatabaseDriver.class).jdbcUrl(database.url())
                        .principal(new NamePrincipal(database.user())).credential(new SimplePassword(database.password())))))) {
            PlotReading reading = new PlotReading(new Reads(source), null, null);
            Map<String, Object> figures = new LinkedHashMap<>();
            for (Span span : Span.values()) {
                List<Double> millis = new ArrayList<>();
                int points = 0;
                for (int i = 0; i < TIMES; i++) {
                    long began = System.nanoTime();
                    List<Reading> readings = reading.readings(1 + i % cabinets, span, NOW.minus(span.length()));
                    Input input = new Input(span, NOW.minus(span.length()), NOW, NOW, LONDON, readings, Optional.of(0.0), Optional.of(50.0), List.of(),
                            Optional.empty());
                    Plotted plotted = new Plotted(Plot.of(input), TemperaturesResource.figures(input, LONDON, NOW));
                    millis.add((System.nanoTime() - began) / 1e6);
                    points = readings.size();
                    if (!plotted.drawing().isContentDrawn() || plotted.figures().isEmpty()) {
                        throw new IllegalStateException("nothing of the content is drawn of a " + span.word() + ": the sample has none");
                    }
                }
                figures.put(span.word() + "_points", points);
                // The first third warms the compiler.
                figures.put(span.word() + "_ms", Results.rounded(Results.median(millis.subList(TIMES / 3, TIMES))));
                figures.put(span.word() + "_first_ms", Results.rounded(millis.get(0)));
            }
            results.keep("plot", place.kind().title(), figures, "a year in under 300 ms");
        }
    }

    private static void register(int cabinets, TestDatabase database) throws SQLException {
        String numbers = database.isPostgresql() ? "generate_series(1, " + cabinets + ") AS s (n)"
                : "(SELECT \"X\" AS n FROM SYSTEM_RANGE(1, " + cabinets + ")) AS s";
        database.run("INSERT INTO site (id, name, address, zone, access, intake, version) VALUES (10, 'Quay', 'a', 'Europe/London', 'x', 'i', 0)");
        database.run("INSERT INTO cabinet (id, site_id, code, name, place, content, lamp_place, version)"
                + " SELECT n, 10, 'C' || n, 'Cabinet ' || n, 'p', 'c', 'l', 0 FROM " + numbers);
        database.run("INSERT INTO sensor (id, cabinet_id, device_id, base_name, secret_hash, version)"
                + " SELECT n, n, 'd' || n, 'urn:d:' || n || ':', 'h', 0 FROM " + numbers);
    }
}
