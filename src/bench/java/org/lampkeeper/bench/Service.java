package org.lampkeeper.bench;

import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse.BodyHandlers;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;

import org.lampkeeper.testing.TestDatabase;

/** The packaged program, started as an installation starts it. */
final class Service extends Child {

    private static final Duration START_WITHIN = Duration.ofMinutes(3);

    private final HttpClient http = HttpClient.newHttpClient();
    private final URI at;
    private final Path log;
    private Duration readyAfter = Duration.ZERO;

    private Service(Process process, URI at, Path log) {
        super(process);
        this.at = at;
        this.log = log;
    }

    /** Starts it in {@code folder}, which keeps its data and its log, and waits until it says that it is ready. */
    static Service start(Settings settings, Path folder, TestDatabase database, Map<String, String> more)
            throws IOException, InterruptedException {
        return start(settings, folder, database, more, List.of());
    }

    /** The same, with options for the Java machine besides. */
    static Service start(Settings settings, Path folder, TestDatabase database, Map<String, String> more, List<String> java)
            throws IOException, InterruptedException {
        Files.createDirectories(folder);
        int port = Mosquitto.freePort();
        Path log = folder.resolve("service.log");
        List<String> command = new ArrayList<>(List.of(Child.java(), "-Xmx" + settings.heap(), "-Dquarkus.http.port=" + port));
        command.addAll(java);
        database.asQuarkusConfiguration().forEach((name, value) -> command.add("-D" + name + "=" + value));
        more.forEach((name, value) -> command.add("-D" + name + "=" + value));
        command.add("-jar");
        command.add(settings.program().toString());
        long began = System.nanoTime();
        Process process = new ProcessBuilder(command).directory(folder.toFile()).redirectErrorStream(true).redirectOutput(log.toFile())
                .start();
        Service service = new Service(process, URI.create("http://127.0.0.1:" + port), log);
        service.awaitReady(began);
        return service;
    }

    private void awaitReady(long began) throws IOException, InterruptedException {
        while (!isReady()) {
            readyAfter = Duration.ofNanos(System.nanoTime() - began);
            if (!process().isAlive() || readyAfter.compareTo(START_WITHIN) > 0) {
                close();
                throw new IOException("the service did not get ready, see " + log);
            }
            Thread.sleep(20);
        }
        readyAfter = Duration.ofNanos(System.nanoTime() - began);
    }

    private boolean isReady() throws InterruptedException {
        try {
            return http.send(HttpRequest.newBuilder(at.resolve("/q/health/ready")).build(), BodyHandlers.discarding()).statusCode() == 200;
        } catch (IOException notListening) {
            return false;
        }
    }

    /** An address of this service. */
    URI at(String path) {
        return at.resolve(path);
    }

    /** From the start of the process to the first answer that it is ready. */
    Duration readyAfter() {
        return readyAfter;
    }

    /** The sum of a figure over its labels, as {@code /q/metrics} tells it. */
    long figure(String name) throws IOException, InterruptedException {
        String all = http.send(HttpRequest.newBuilder(at.resolve("/q/metrics")).build(), BodyHandlers.ofString()).body();
        double sum = 0;
        for (String line : all.split("\n")) {
            if (line.startsWith(name + " ") || line.startsWith(name + "{")) {
                sum += Double.parseDouble(line.substring(line.lastIndexOf(' ') + 1));
            }
        }
        return (long) sum;
    }
}
