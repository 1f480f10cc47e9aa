package org.lampkeeper.bench;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;

import org.lampkeeper.telemetry.BareLoop;
import org.lampkeeper.testing.TestDatabase;

/** The bare loop as a process, with the same heap as the service. */
final class Bare extends Child {

    private final BufferedReader out;
    private final PrintStream in;

    private Bare(Process process) {
        super(process);
        out = new BufferedReader(new InputStreamReader(process.getInputStream(), StandardCharsets.US_ASCII));
        in = new PrintStream(process.getOutputStream(), true, StandardCharsets.US_ASCII);
    }

    static Bare start(Settings settings, Path folder, TestDatabase database, Mosquitto broker) throws IOException {
        Process process = new ProcessBuilder(Child.java(), "-Xmx" + settings.heap(), "-cp", System.getProperty("java.class.path"),
                BareLoop.class.getName(), broker.url(), database.url(), database.user(), database.password())
                .redirectError(folder.resolve("bare.log").toFile()).start();
        Bare bare = new Bare(process);
        bare.line("ready");
        return bare;
    }

    void expect(int messages) {
        in.println("expect " + messages);
    }

    /** Reports a second from its first commit to its last. */
    double rate() throws IOException {
        String[] words = line("done").split(" ");
        return (Double.parseDouble(words[3]) - Double.parseDouble(words[1])) * 1e9
                / (Double.parseDouble(words[4]) - Double.parseDouble(words[2]));
    }

    private String line(String start) throws IOException {
        for (String line = out.readLine(); line != null; line = out.readLine()) {
            if (line.startsWith(start)) {
                return line;
            }
        }
        throw new IOException("the bare loop ended, see bare.log");
    }
}
