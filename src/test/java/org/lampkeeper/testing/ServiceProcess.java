package org.lampkeeper.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import static org.awaitility.Awaitility.await;

/**
 * The packaged service as a process of its own, in a directory of its own, so that a test can kill it and start it again on what it left
 * behind. It is the very program that an installation runs; only settings tell it that it is under test. Its log is appended to
 * {@code service.log} in the directory, over all starts.
 *
 * <p>Without further settings it uses the defaults of an installation: the H2 file and the embedded broker, both below {@code data/}.
 */
public final class ServiceProcess implements AutoCloseable {

    private static final Path PROGRAM = Path.of("target", "quarkus-app", "quarkus-run.jar").toAbsolutePath();
    // Generous: a start takes 4 s, and other builds may run on the same machine.
    private static final Duration READY_WITHIN = Duration.ofMinutes(3);
    private static final Duration COMMAND_WITHIN = Duration.ofMinutes(2);
    // A service in use for seconds only is ready sooner without the second compiler.
    private static final List<String> QUICK = List.of("-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC", "-Xmx256m");
    private static final Path CLASSES = Path.of("target", "proof", "classes.jsa").toAbsolutePath();
    private static final int SHOWN_LINES = 60;
    // On the page to sign in, while the demo is on: the button of whoever may everything.
    private static final Pattern ADMINISTRATORS_DOOR = Pattern
            .compile("name=\"person\" value=\"(\\d+)\"(?:(?!</form>).)*administrator of every site", Pattern.DOTALL);
    private static final List<ServiceProcess> IN_USE = new CopyOnWriteArrayList<>();

    private final Path directory;
    private final Map<String, String> settings = new LinkedHashMap<>();
    private final int httpPort = freePort();
    private final int brokerPort = freePort();
    private final HttpClient http = HttpClient.newBuilder().connectTimeout(Duration.ofSeconds(20)).build();
    private Optional<Process> process = Optional.empty();
    // Of whoever looks at the pages; a session counts on every instance and outlives a restart.
    private Optional<String> session = Optional.empty();

    /** What one answer of the service was. */
    public record Answer(int status, String body) {
    }

    private ServiceProcess(Path directory) {
        this.directory = directory;
    }

    /** Not started yet. The directory is made where it is missing. */
    public static ServiceProcess in(Path directory) {
        try {
            Files.createDirectories(directory);
        } catch (IOException broken) {
            throw new UncheckedIOException("no directory for a service under test", broken);
        }
        if (!Files.isReadable(PROGRAM)) {
            throw new IllegalStateException(PROGRAM + " is missing; the packaged service is tested, so run mvn verify, or package first");
        }
        ServiceProcess service = new ServiceProcess(directory.toAbsolutePath());
        service.with("quarkus.http.port", service.httpPort);
        service.with("lampkeeper.message.base-url", "http://127.0.0.1:" + service.httpPort);
        service.with("lampkeeper.broker.port", service.brokerPort);
        IN_USE.add(service);
        return service;
    }

    /** An empty directory below {@code target/proof}, which stays when the tests are over. */
    public static Path freshDirectory(String name) {
        Path directory = Path.of("target", "proof", name).toAbsolutePath();
        try {
            if (Files.exists(directory)) {
                try (var old = Files.walk(directory)) {
                    for (Path each : old.sorted(Comparator.reverseOrder()).toList()) {
                        Files.delete(each);
                    }
                }
            }
            return Files.createDirectories(directory);
        } catch (IOException broken) {
            throw new UncheckedIOException("no fresh directory " + directory, broken);
        }
    }

    /** A second instance of the same installation: the same settings and keys, a directory and ports of its own. Not started yet. */
    public ServiceProcess twin(Path itsDirectory) {
        if (isAlive()) {
            signIn();
        }
        with("lampkeeper.webhook.keys", directory.resolve("data").resolve("keys").resolve("webhooks.json"));
        with("lampkeeper.message.link-keys", directory.resolve("data").resolve("keys").resolve("links.json"));
        ServiceProcess twin = in(itsDirectory);
        settings.forEach(twin.settings::putIfAbsent);
        twin.session = session;
        // The register is there, and the file with the sensors' secrets is this one's.
        twin.with("lampkeeper.demo", false);
        return twin;
    }

    /** Counts from the next start on. */
    public ServiceProcess with(String name, Object value) {
        settings.put(name, value.toString());
        return this;
    }

    public ServiceProcess on(TestDatabase database) {
        database.asQuarkusConfiguration().forEach(this::with);
        return this;
    }

    /** An external broker instead of the embedded one. */
    public ServiceProcess at(URI broker) {
        return with("lampkeeper.broker.url", broker);
    }

    public ServiceProcess mailTo(int smtpPort) {
        return with("quarkus.mailer.host", "127.0.0.1").with("quarkus.mailer.port", smtpPort)
                // GreenMail offers STARTTLS with a certificate that nobody signed.
                .with("quarkus.mailer.start-tls", "DISABLED").with("lampkeeper.message.from", "Lampkeeper <lampkeeper@watch.example>");
    }

    /** Starts it and waits until it is ready, that is: listening to its broker, and what had waited there is taken in. */
    public ServiceProcess start() {
        launch();
        awaitReady();
        return this;
    }

    /** Starts it without waiting for anything. */
    public ServiceProcess launch() {
        if (isAlive()) {
            throw new IllegalStateException("the service in " + directory + " runs already");
        }
        keepClasses();
        note("start");
        process = Optional.of(run(List.of("-XX:SharedArchiveFile=" + CLASSES), List.of()));
        return this;
    }

    /**
     * Has Java keep the classes of one start for all others of this program, as docs/operation.md shows ("A faster start"): a third of each
     * start is the loading of classes. One that does not fit is passed over by Java.
     */
    private static synchronized void keepClasses() {
        try {
            if (Files.exists(CLASSES) && Files.getLastModifiedTime(CLASSES).compareTo(Files.getLastModifiedTime(PROGRAM)) >= 0) {
                return;
            }
            Files.deleteIfExists(CLASSES);
            try (ServiceProcess once = in(freshDirectory("classes"))) {
                once.process = Optional.of(once.run(List.of("-XX:ArchiveClassesAtExit=" + CLASSES), List.of()));
                once.awaitReady();
                once.stop();
            }
        } catch (IOException broken) {
            throw new UncheckedIOException("no archive of classes", broken);
        } catch (InterruptedException stopped) {
            throw new IllegalStateException("stopped while an archive of classes was made", stopped);
        }
        if (!Files.exists(CLASSES)) {
            throw new IllegalStateException("Java has made no archive of classes at " + CLASSES);
        }
    }

    public void awaitReady() {
        awaitStatus("/q/health/ready");
    }

    /** Started, whether or not the broker is there. */
    public void awaitLive() {
        awaitStatus("/q/health/live");
    }

    private void awaitStatus(String path) {
        await(path + " of " + directory.getFileName()).atMost(READY_WITHIN).pollInterval(Duration.ofMillis(100)).until(() -> {
            if (!isAlive()) {
                throw new IllegalStateException("the service ended before it was ready:\n" + logTail());
            }
            return answers(path);
        });
    }

    private boolean answers(String path) {
        try {
            return get(path).status() == 200;
        } catch (UncheckedIOException notYet) {
            return false;
        }
    }

    /** Runs a command of the program to its end, on the same settings, and returns its exit code. */
    public int command(String... arguments) throws InterruptedException {
        note("command " + String.join(" ", arguments));
        Process command = run(List.of(), List.of(arguments));
        if (!command.waitFor(COMMAND_WITHIN.toSeconds(), TimeUnit.SECONDS)) {
            command.destroyForcibly();
            throw new IllegalStateException(String.join(" ", arguments) + " did not end:\n" + logTail());
        }
        return command.exitValue();
    }

    private Process run(List<String> java, List<String> arguments) {
        List<String> line = new ArrayList<>();
        line.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        line.addAll(QUICK);
        line.addAll(java);
        settings.forEach((name, value) -> line.add("-D" + name + "=" + value));
        line.add("-jar");
        line.add(PROGRAM.toString());
        line.addAll(arguments);
        try {
            return new ProcessBuilder(line).directory(directory.toFile()).redirectErrorStream(true)
                    .redirectOutput(ProcessBuilder.Redirect.appendTo(log().toFile())).start();
        } catch (IOException broken) {
            throw new UncheckedIOException("the service could not be started", broken);
        }
    }

    public boolean isAlive() {
        return process.filter(Process::isAlive).isPresent();
    }

    /** SIGKILL; returns when the process is gone. May be called from any thread, also for one that is gone already. */
    public void killHard() {
        Process running = process.orElseThrow(() -> new IllegalStateException("the service in " + directory + " was never started"));
        running.destroyForcibly().onExit().join();
        note("killed");
    }

    /** SIGSTOP: it does nothing more, and nobody is told, until {@link #thaw()}. */
    public void freeze() throws IOException, InterruptedException {
        signal("STOP");
    }

    /** SIGCONT. */
    public void thaw() throws IOException, InterruptedException {
        signal("CONT");
    }

    private void signal(String name) throws IOException, InterruptedException {
        long pid = process.orElseThrow(() -> new IllegalStateException("the service in " + directory + " was never started")).pid();
        int exit = new ProcessBuilder("kill", "-" + name, Long.toString(pid)).start().waitFor();
        if (exit != 0) {
            throw new IllegalStateException("SIG" + name + " could not be sent to " + pid);
        }
        note(name);
    }

    /** SIGTERM; returns when it has drained and ended. */
    public void stop() throws InterruptedException {
        Process running = process.orElseThrow(() -> new IllegalStateException("the service in " + directory + " was never started"));
        running.destroy();
        if (!running.waitFor(READY_WITHIN.toSeconds(), TimeUnit.SECONDS)) {
            running.destroyForcibly();
            throw new IllegalStateException("the service did not stop in order:\n" + logTail());
        }
        note("stopped");
    }

    /** Where sensors connect when it runs its own broker. */
    public URI embeddedBroker() {
        return URI.create("tcp://127.0.0.1:" + brokerPort);
    }

    public URI uri(String path) {
        return URI.create("http://127.0.0.1:" + httpPort + path);
    }

    /** A page that somebody reads who has signed in is read as the installation's administrator. */
    public Answer get(String path) {
        if (!path.startsWith("/q/") && !path.startsWith("/a/")) {
            signIn();
        }
        return ask(HttpRequest.newBuilder(uri(path)).GET());
    }

    /** What is answered there, byte by byte, into a file. */
    public Path download(String path, Path to) {
        signIn();
        try {
            HttpResponse<Path> answer = http.send(HttpRequest.newBuilder(uri(path)).timeout(Duration.ofSeconds(60)).header("Cookie", session.orElseThrow())
                    .header("Sec-Fetch-Site", "same-origin").GET().build(), HttpResponse.BodyHandlers.ofFile(to));
            if (answer.statusCode() != 200) {
                throw new IllegalStateException(path + " was answered with " + answer.statusCode());
            }
            return answer.body();
        } catch (IOException failed) {
            throw new UncheckedIOException(failed);
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
            throw new IllegalStateException(interrupted);
        }
    }

    public Answer head(String path) {
        return ask(HttpRequest.newBuilder(uri(path)).method("HEAD", HttpRequest.BodyPublishers.noBody()));
    }

    public Answer post(String path) {
        return ask(HttpRequest.newBuilder(uri(path)).POST(HttpRequest.BodyPublishers.noBody()));
    }

    private void signIn() {
        if (session.isPresent()) {
            return;
        }
        Answer doors = ask(HttpRequest.newBuilder(uri("/sign-in")).GET());
        Matcher administrator = ADMINISTRATORS_DOOR.matcher(doors.body());
        if (!administrator.find()) {
            throw new IllegalStateException("nobody can enter the service in " + directory + ": " + doors);
        }
        HttpResponse<String> entered = send(HttpRequest.newBuilder(uri("/sign-in/demo")).header("Content-Type", "application/x-www-form-urlencoded")
                .POST(HttpRequest.BodyPublishers.ofString("person=" + administrator.group(1))));
        session = entered.headers().firstValue("Set-Cookie").map(cookie -> cookie.substring(0, cookie.indexOf(';')));
        if (session.isEmpty()) {
            throw new IllegalStateException("entering gave no session: " + entered.statusCode() + " " + entered.body());
        }
    }

    /** Redirections are not followed: what was answered is what counts. */
    private Answer ask(HttpRequest.Builder request) {
        session.ifPresent(cookie -> request.header("Cookie", cookie).header("Sec-Fetch-Site", "same-origin"));
        HttpResponse<String> answer = send(request);
        return new Answer(answer.statusCode(), answer.body());
    }

    private HttpResponse<String> send(HttpRequest.Builder request) {
        try {
            return http.send(request.timeout(Duration.ofSeconds(60)).build(), HttpResponse.BodyHandlers.ofString());
        } catch (IOException notThere) {
            throw new UncheckedIOException(notThere);
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
            throw new IllegalStateException(interrupted);
        }
    }

    /** The sum of all samples that begin with {@code name} (with its labels, or a part of them); 0 where there is none. */
    public double metric(String name) {
        return get("/q/metrics").body().lines().filter(line -> line.startsWith(name))
                .mapToDouble(line -> Double.parseDouble(line.substring(line.lastIndexOf(' ') + 1))).sum();
    }

    /** The secrets that the demo's fill has left for whoever plays its sensors. */
    public List<SensorLogin> sensors() {
        try {
            return Files.readAllLines(directory.resolve("data").resolve("demo-sensors.csv")).stream().skip(1)
                    .map(line -> line.split(",")).map(cells -> new SensorLogin(cells[0], cells[1], cells[2])).toList();
        } catch (IOException broken) {
            throw new UncheckedIOException("the service has not filled its register", broken);
        }
    }

    /** As whom a sensor logs in, and what it calls itself in its reports. */
    public record SensorLogin(String deviceId, String secret, String baseName) {
    }

    /** The H2 file of this service, for when it is stopped. */
    public TestDatabase h2File() {
        return new TestDatabase("jdbc:h2:file:" + directory.resolve("data").resolve("lampkeeper")
                + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH;IFEXISTS=TRUE", "lampkeeper", "lampkeeper");
    }

    /** Those that were made and not closed yet. */
    public static List<ServiceProcess> inUse() {
        return List.copyOf(IN_USE);
    }

    public Path directory() {
        return directory;
    }

    /** What it has logged as an error since its last start. */
    public List<String> errors() throws IOException {
        List<String> lines = Files.readAllLines(log());
        return lines.subList(lines.lastIndexOf("---- start"), lines.size()).stream().filter(line -> line.contains(" ERROR ")).toList();
    }

    private Path log() {
        return directory.resolve("service.log");
    }

    private void note(String what) {
        try {
            Files.writeString(log(), "---- " + what + "\n", StandardOpenOption.CREATE, StandardOpenOption.APPEND);
        } catch (IOException broken) {
            throw new UncheckedIOException("the log of a service under test cannot be written", broken);
        }
    }

    /** The last lines that it wrote; for a failure's message. */
    public String logTail() {
        try {
            List<String> lines = new String(Files.readAllBytes(log()), StandardCharsets.UTF_8).lines().toList();
            return String.join("\n", lines.subList(Math.max(0, lines.size() - SHOWN_LINES), lines.size()));
        } catch (IOException unreadable) {
            return "(" + log() + " cannot be read: " + unreadable.getMessage() + ")";
        }
    }

    /** A port that nobody uses at this moment. */
    public static int freePort() {
        try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return socket.getLocalPort();
        } catch (IOException broken) {
            throw new UncheckedIOException("no free port", broken);
        }
    }

    @Override
    public void close() {
        IN_USE.remove(this);
        process.ifPresent(running -> running.destroyForcibly().onExit().join());
    }
}
