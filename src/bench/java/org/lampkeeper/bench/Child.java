package org.lampkeeper.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.concurrent.TimeUnit;

/** A measured process: can be held still while its work is laid out, and its memory can be read. */
class Child implements AutoCloseable {

    private final Process process;

    Child(Process process) {
        this.process = process;
        // A bench that is broken off must not leave it running.
        Runtime.getRuntime().addShutdownHook(new Thread(process::destroyForcibly));
    }

    static String java() {
        return Path.of(System.getProperty("java.home"), "bin", "java").toString();
    }

    Process process() {
        return process;
    }

    /** Stops it in its tracks; what is sent to it meanwhile waits. */
    void hold() throws IOException, InterruptedException {
        signal("STOP");
    }

    void release() throws IOException, InterruptedException {
        signal("CONT");
    }

    private void signal(String name) throws IOException, InterruptedException {
        int answer = new ProcessBuilder("kill", "-" + name, Long.toString(process.pid())).inheritIO().start().waitFor();
        if (answer != 0) {
            throw new IOException("process " + process.pid() + " is gone");
        }
    }

    /** A line of its memory in MiB, {@code VmRSS} (now) or {@code VmHWM} (highest so far). */
    long mebibytes(String line) throws IOException {
        for (String each : Files.readAllLines(Path.of("/proc", Long.toString(process.pid()), "status"))) {
            if (each.startsWith(line + ":")) {
                return Long.parseLong(each.replaceAll("\\D", "")) / 1_024;
            }
        }
        throw new IOException("no line " + line);
    }

    @Override
    public void close() throws IOException, InterruptedException {
        process.destroy();
        if (!process.waitFor(30, TimeUnit.SECONDS)) {
            process.destroyForcibly().waitFor();
        }
    }
}
