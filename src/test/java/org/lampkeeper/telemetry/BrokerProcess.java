package org.lampkeeper.telemetry;

import java.io.BufferedReader;
import java.io.File;
import java.io.IOException;
import java.io.InputStreamReader;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;

/** The broker of our own in a process of its own, so that a test can kill it. */
final class BrokerProcess implements AutoCloseable {

    private static final String READY = "ready ";

    private final Process process;
    private final URI uri;

    private BrokerProcess(Process process, URI uri) {
        this.process = process;
        this.uri = uri;
    }

    static BrokerProcess start(Path directory) throws IOException {
        Process process = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "-cp",
                System.getProperty("java.class.path"), BrokerProcess.class.getName(), directory.toString())
                .redirectError(ProcessBuilder.Redirect.appendTo(new File(directory.toFile(), "stderr"))).start();
        BufferedReader out = new BufferedReader(new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8));
        for (String line = out.readLine(); line != null; line = out.readLine()) {
            if (line.startsWith(READY)) {
                return new BrokerProcess(process, URI.create(line.substring(READY.length())));
            }
        }
        throw new IllegalStateException("broker process ended before it was ready; see " + directory.resolve("stderr"));
    }

    /** Runs until it is killed. */
    public static void main(String... arguments) throws InterruptedException {
        BrokerFixture fixture = BrokerFixture.started(Path.of(arguments[0], "broker"));
        System.out.println(READY + fixture.uri());
        Thread.currentThread().join();
    }

    URI uri() {
        return uri;
    }

    /** SIGKILL. */
    void kill() throws InterruptedException {
        process.destroyForcibly().waitFor();
    }

    @Override
    public void close() {
        process.destroyForcibly();
    }
}
