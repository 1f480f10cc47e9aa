package org.lampkeeper.simulator;

import java.io.IOException;
import java.io.PrintWriter;
import java.net.URI;
import java.nio.file.Path;
import java.time.Duration;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.Callable;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;

import org.jspecify.annotations.Nullable;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** The command line of the simulator. Prints one line per event, and a summary at the end; an interrupt (Ctrl-C) ends it cleanly. */
@Command(name = "simulator/run", sortOptions = false, usageHelpAutoWidth = true,
        description = "Plays any number of supply sensors over MQTT, with the faults that you ask for.")
public final class Simulator implements Callable<Integer> {

    private static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("HH:mm:ss.SSS", Locale.ROOT);
    // Ours: without an end, asked-for faults still come soon enough to be watched.
    private static final Duration FAULTS_WITHIN = Duration.ofMinutes(10);
    private static final double HALF = 0.5;

    private final CountDownLatch stop = new CountDownLatch(1);
    private final CountDownLatch finished = new CountDownLatch(1);

    @Spec
    private CommandSpec spec;

    @Option(names = "--broker", required = true, paramLabel = "URL", description = "tcp://host:1883, ssl://host:8883, mqtt://, mqtts://")
    private URI broker;

    @ArgGroup(exclusive = true, multiplicity = "1")
    private Sensors sensors;

    @Option(names = "--prefix", defaultValue = "sim", paramLabel = "WORD",
            description = "with --count: how the sensors are called before -1, -2, … (${DEFAULT-VALUE})")
    private String prefix;

    @Option(names = "--user", defaultValue = "", paramLabel = "NAME", description = "with --count: login of the one connection")
    private String user;

    @Option(names = "--password", defaultValue = "", paramLabel = "WORD", arity = "0..1", interactive = true, echo = false,
            description = "with --count: its password; asked for when it is left out")
    private String password;

    @Option(names = "--interval", defaultValue = "30s", paramLabel = "TIME", description = "between two reports (${DEFAULT-VALUE})")
    private Duration interval;

    @Option(names = "--promise", paramLabel = "TIME", description = "when each report promises the next (the interval)")
    private @Nullable Duration promise;

    @Option(names = "--outside", defaultValue = "-2", paramLabel = "CELSIUS", description = "air outside the cabinets (${DEFAULT-VALUE})")
    private double outside;

    @Option(names = "--time-constant", defaultValue = "2h48m", paramLabel = "TIME",
            description = "with which an unheated cabinet cools (${DEFAULT-VALUE})")
    private Duration timeConstant;

    @Option(names = "--content-lag", paramLabel = "TIME",
            description = "the sensors measure the content too, which is half of the heat capacity and follows the air so slowly (they do not)")
    private @Nullable Duration contentLag;

    @Option(names = "--faults", split = ",", paramLabel = "FAULT=HOW-MANY",
            description = "such as loss=2,dip=1: dealt by chance to sensors and moments. There are: loss, dip, unsteady, silence, offline, "
                    + "backlog, reboot, clock-ahead, clock-ancient, clock-1970, clock-relative, garbage")
    private Map<Fault, Integer> faults = Map.of();

    @Option(names = "--script", paramLabel = "FILE", description = "faults by the line: offset, sensor or *, fault[, duration]")
    private @Nullable Path script;

    @Option(names = "--seed", defaultValue = "1", paramLabel = "NUMBER", description = "of all chance (${DEFAULT-VALUE})")
    private long seed;

    @Option(names = "--duration", paramLabel = "TIME", description = "ends by itself after this time")
    private @Nullable Duration duration;

    @Option(names = "--verbose", description = "prints every report, not only what is out of the ordinary")
    private boolean verbose;

    @Option(names = {"-h", "--help"}, usageHelp = true, description = "shows this")
    private boolean help;

    /** One of the two ways to say which sensors. */
    private static final class Sensors {
        @Option(names = "--sensors", required = true, paramLabel = "FILE",
                description = "lines of deviceId,secret,baseName: each sensor has its own connection and login")
        private @Nullable Path file;

        @Option(names = "--count", required = true, paramLabel = "N",
                description = "invents so many; one connection publishes for all, if the broker lets it")
        private int count;
    }

    public static void main(String... arguments) {
        System.exit(commandLine(new Simulator()).execute(arguments));
    }

    static CommandLine commandLine(Simulator simulator) {
        return new CommandLine(simulator).registerConverter(Duration.class, Span::parse).registerConverter(Fault.class, Fault::of);
    }

    @Override
    public Integer call() throws IOException, InterruptedException {
        List<SensorLogin> logins;
        List<PlannedFault> plan;
        FleetSettings settings;
        try {
            logins = logins();
            settings = settings();
            plan = plan(logins.stream().map(SensorLogin::deviceId).toList());
            SensorLink.pahoAddress(broker);
        } catch (IllegalArgumentException wrong) {
            throw new ParameterException(spec.commandLine(), wrong.getMessage(), wrong);
        }
        Thread hook = new Thread(this::stopAndWait, "simulator-stop");
        Runtime.getRuntime().addShutdownHook(hook);
        try (Fleet fleet = fleet(logins, settings)) {
            say(introduction(logins.size(), plan));
            fleet.schedule(plan);
            waitForTheEnd();
            fleet.close();
            say(summary(fleet.counts()));
        } finally {
            finished.countDown();
        }
        return CommandLine.ExitCode.OK;
    }

    private List<SensorLogin> logins() throws IOException {
        if (sensors.file != null) {
            List<SensorLogin> read = SensorLogin.readAll(sensors.file);
            if (read.isEmpty()) {
                throw new IllegalArgumentException(sensors.file + ": no sensor in it");
            }
            return read;
        }
        if (sensors.count < 1) {
            throw new IllegalArgumentException("--count " + sensors.count + ": must be at least 1");
        }
        return SensorLogin.invent(sensors.count, prefix);
    }

    private FleetSettings settings() {
        FleetSettings settings = FleetSettings.usual().reportingEvery(interval).outside(outside).coolingWith(timeConstant).seeded(seed);
        if (contentLag != null) {
            settings = settings.measuring(new HeatedCabinet.Content(contentLag, HALF));
        }
        return promise == null ? settings : settings.promising(promise);
    }

    private List<PlannedFault> plan(List<String> deviceIds) throws IOException {
        if (script != null && !faults.isEmpty()) {
            throw new IllegalArgumentException("--script and --faults exclude each other");
        }
        if (script != null) {
            return FaultPlan.read(script, deviceIds);
        }
        return FaultPlan.dealt(faults, deviceIds, Optional.ofNullable(duration).orElse(FAULTS_WITHIN), seed);
    }

    private Fleet fleet(List<SensorLogin> logins, FleetSettings settings) {
        if (sensors.file != null) {
            return Fleet.connect(broker, logins, settings, this::print);
        }
        return Fleet.connectGateway(broker, prefix + "-gateway", user, password, logins, settings, this::print);
    }

    private void waitForTheEnd() throws InterruptedException {
        if (duration == null) {
            stop.await();
        } else if (stop.await(duration.toMillis(), TimeUnit.MILLISECONDS)) {
            say("interrupted");
        }
    }

    /** Holds the end of the process back until the good-byes are said. */
    private void stopAndWait() {
        stop.countDown();
        try {
            finished.await();
        } catch (InterruptedException hurried) {
            Thread.currentThread().interrupt();
        }
    }

    private String introduction(int count, List<PlannedFault> plan) {
        StringBuilder text = new StringBuilder(count + " sensors on " + broker + ", seed " + seed);
        plan.forEach(planned -> text.append(System.lineSeparator()).append("  planned: after ").append(Span.words(planned.offset()))
                .append(", ").append(planned.deviceId()).append(", ").append(planned.fault().word()).append(" for ")
                .append(Span.words(planned.duration())));
        return text.toString();
    }

    private static String summary(FleetCounts counts) {
        return counts.sensors() + " sensors, " + counts.connections() + " connections, " + counts.published() + " messages: "
                + counts.acknowledged() + " acknowledged, " + counts.refused() + " refused, " + counts.givenBack()
                + " undelivered when a connection ended";
    }

    private void print(FleetEvent event) {
        if (verbose || !event.steady()) {
            say(TIME.format(event.at().atZone(ZoneId.systemDefault())) + "  " + event.deviceId() + "  " + event.text());
        }
    }

    private void say(String line) {
        PrintWriter out = spec.commandLine().getOut();
        synchronized (out) {
            out.println(line);
            out.flush();
        }
    }
}
