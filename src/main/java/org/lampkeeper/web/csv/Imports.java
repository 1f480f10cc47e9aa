package org.lampkeeper.web.csv;

import java.io.IOException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.quarkus.narayana.jta.QuarkusTransaction;
import org.eclipse.microprofile.context.ManagedExecutor;
import org.hibernate.Session;
import org.jboss.logging.Logger;

import org.lampkeeper.access.Caller;
import org.lampkeeper.register.By;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.RegisteredSensor;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.csv.ImportTable.Run;
import org.lampkeeper.web.csv.ImportTable.State;
import org.lampkeeper.web.csv.Plan.Outcome;
import org.lampkeeper.web.csv.Registered.BoardName;
import org.lampkeeper.web.csv.Registered.Cabinet;
import org.lampkeeper.web.csv.Registered.Sensor;

/**
 * Takes files into the register. A file is kept while somebody looks through what it would do, and then taken as a whole or not at all,
 * behind the page that asked for it; what became of it stands in the database, so that any instance can tell.
 */
@ApplicationScoped
public class Imports {

    private static final Logger LOG = Logger.getLogger(Imports.class);

    // Ours: 10,000 cabinets on the slowest machine that we know took a fraction of this.
    private static final int MOST_SECONDS = 1800;
    // Ours: rows between two signs of life, and between two clearings of what the session remembers.
    private static final int ROWS_A_STRIDE = 100;
    /** Without a sign of life for so long, whoever was taking the file is gone, and nothing of it was stored. */
    private static final Duration GONE_AFTER = Duration.ofMinutes(2);
    /** How long a file and what became of it is kept. */
    static final Duration KEPT = Duration.ofHours(24);

    private final Reads reads;
    private final ImportTable table;
    private final Registration registration;
    private final EntityManager entities;
    private final ManagedExecutor executor;
    private final ObjectMapper json;
    private final Clock clock;

    Imports(Reads reads, ImportTable table, Registration registration, EntityManager entities, ManagedExecutor executor, ObjectMapper json,
            Clock clock) {
        this.reads = reads;
        this.table = table;
        this.registration = registration;
        this.entities = entities;
        this.executor = executor;
        this.json = json;
        this.clock = clock;
    }

    /** What is to be told about a file. Counts are of rows. */
    public sealed interface Told {

        CsvKind kind();

        String fileName();

        /** It can be taken. */
        record Ready(CsvKind kind, String fileName, int rows, int added, int changed, int unchanged) implements Told {
        }

        /** It cannot be taken as it is; nothing was stored. */
        record Faulty(CsvKind kind, String fileName, int rows, List<Wrong> wrong) implements Told {
        }

        /** It is being taken. */
        record Taking(CsvKind kind, String fileName, int done, int all) implements Told {
        }

        /** Whoever was taking it is gone; nothing was stored, and it can be taken again. */
        record Stopped(CsvKind kind, String fileName) implements Told {
        }

        /** It was taken. {@code secrets}: how many new sensors wait for somebody to fetch their secrets. */
        record Taken(CsvKind kind, String fileName, int added, int changed, int unchanged, int secrets) implements Told {
        }
    }

    /** What became of a run; written as JSON. */
    record Result(int added, int changed, int unchanged, List<String> newSensors, List<Wrong> wrong) {
    }

    /** Keeps a file to be looked through; returns the number under which it is found. {@code text}: as {@link CsvFile#text} read it. */
    public long send(CsvKind kind, String fileName, String text, Caller caller) {
        Instant now = clock.instant();
        table.forgetBefore(now.minus(KEPT));
        return table.add(caller.personId(), kind, fileName, text, CsvFile.read(kind, text).rows().size(), now);
    }

    /** Empty when this person sent no such file, or too long ago. */
    public Optional<Told> look(long run, Caller caller) {
        return table.find(run, caller.personId()).map(found -> switch (found.state()) {
            case SEEN -> lookedThrough(found, caller);
            case TAKING -> found.seenAt().plus(GONE_AFTER).isBefore(clock.instant()) ? new Told.Stopped(found.kind(), found.fileName())
                    : new Told.Taking(found.kind(), found.fileName(), found.rowsDone(), found.allRows());
            case REFUSED -> new Told.Faulty(found.kind(), found.fileName(), found.allRows(), result(found).wrong());
            case TAKEN -> taken(found);
        });
    }

    private Told lookedThrough(Run run, Caller caller) {
        Outcome outcome = plan(run, caller);
        return outcome.wrong().isEmpty()
                ? new Told.Ready(run.kind(), run.fileName(), outcome.rows(), outcome.added(), outcome.changed(), outcome.unchanged())
                : new Told.Faulty(run.kind(), run.fileName(), outcome.rows(), outcome.wrong());
    }

    private Told taken(Run run) {
        Result result = result(run);
        return new Told.Taken(run.kind(), run.fileName(), result.added(), result.changed(), result.unchanged(),
                run.secretsAt().isPresent() ? 0 : result.newSensors().size());
    }

    /** Begins to take a file and returns at once; pressed twice, it is taken once. False when this person sent no such file. */
    public boolean take(long run, Caller caller) {
        Optional<Run> found = table.find(run, caller.personId());
        if (found.isEmpty()) {
            return false;
        }
        Instant now = clock.instant();
        if (table.claim(run, now, now.minus(GONE_AFTER))) {
            executor.execute(() -> take(found.get(), caller));
        }
        return true;
    }

    private void take(Run run, Caller caller) {
        try {
            Outcome outcome = plan(run, caller);
            if (outcome.wrong().isEmpty()) {
                QuarkusTransaction.requiringNew().timeout(MOST_SECONDS).run(() -> carryOut(run, outcome, caller));
            } else {
                table.end(run.id(), State.REFUSED, write(new Result(0, 0, 0, List.of(), outcome.wrong())), clock.instant());
            }
        } catch (RowRefused refused) {
            table.end(run.id(), State.REFUSED, write(new Result(0, 0, 0, List.of(), refused.wrong)), clock.instant());
        } catch (RuntimeException failed) {
            LOG.errorf(failed, "import %d could not be taken; nothing of it was stored", run.id());
            table.end(run.id(), State.REFUSED, write(new Result(0, 0, 0, List.of(), List.of(new Wrong(0, "",
                    "Lampkeeper could not take this file, and nothing of it was stored. Try again; if it stays, tell the operator")))),
                            clock.instant());
        }
    }

    private void carryOut(Run run, Outcome outcome, Caller caller) {
        By by = By.person(caller.personId(), clock.instant());
        Map<BoardName, Long> made = new HashMap<>();
        List<String> newSensors = new ArrayList<>();
        int sinceSign = 0;
        for (Step step : outcome.steps()) {
            take(run, step, made, by);
            if (step instanceof Step.AddSensor sensor) {
                newSensors.add(sensor.entered().deviceId());
            }
            if (++sinceSign == ROWS_A_STRIDE) {
                sinceSign = 0;
                // The session looks at everything that it remembers before each query.
                entities.flush();
                entities.unwrap(Session.class).clear();
                // On its own: it is to be seen while this goes on.
                QuarkusTransaction.requiringNew().run(() -> table.goesOn(run.id(), step.row(), clock.instant()));
            }
        }
        table.end(run.id(), State.TAKEN, write(new Result(outcome.added(), outcome.changed(), outcome.unchanged(), newSensors, List.of())),
                clock.instant());
    }

    private void take(Run run, Step step, Map<BoardName, Long> made, By by) {
        try {
            step.take(registration, made, by);
        } catch (NotRegistered refused) {
            throw new RowRefused(refused.problems().stream()
                    .map(problem -> new Wrong(step.row(), Plan.column(run.kind(), problem.field()), problem.text())).toList());
        } catch (ChangedMeanwhile changed) {
            throw new RowRefused(List.of(new Wrong(step.row(), "", "was changed by somebody else meanwhile; look through the file again")));
        }
    }

    /** Rolls everything back. */
    private static final class RowRefused extends RuntimeException {

        private static final long serialVersionUID = 1L;

        private final transient List<Wrong> wrong;

        private RowRefused(List<Wrong> wrong) {
            super("a row was refused");
            this.wrong = wrong;
        }
    }

    /**
     * Makes the secrets of the sensors that a file has newly registered, and returns them as a file. Only once, and only for those whose
     * secret nobody has made anew since: none is stored in between, and none is taken from a sensor that is in use already. Empty when
     * there is nothing to fetch (any more).
     */
    public Optional<String> fetchSecrets(long run, Caller caller, char separator) {
        return QuarkusTransaction.requiringNew().timeout(MOST_SECONDS).call(() -> {
            Optional<Run> found = table.find(run, caller.personId()).filter(it -> it.state() == State.TAKEN
                    && it.kind() == CsvKind.SENSORS);
            if (found.isEmpty() || !table.claimSecrets(run, clock.instant())) {
                return Optional.empty();
            }
            Registered register = Registered.read(reads, caller.reach());
            By by = By.person(caller.personId(), clock.instant());
            List<List<String>> rows = new ArrayList<>();
            for (String deviceId : result(found.get()).newSensors()) {
                Optional<Sensor> sensor = Optional.ofNullable(register.sensors().get(deviceId)).filter(it -> it.version() == 0)
                        .filter(it -> mayEdit(register.cabinets().get(it.cabinetCode()), caller));
                sensor.ifPresent(it -> {
                    RegisteredSensor renewed = registration.renewSecret(deviceId, by);
                    rows.add(List.of(Cells.harmless(deviceId), renewed.secret(), Cells.harmless(it.baseName()),
                            Cells.harmless(it.cabinetCode())));
                });
                if (rows.size() % ROWS_A_STRIDE == ROWS_A_STRIDE - 1) {
                    entities.flush();
                    entities.unwrap(Session.class).clear();
                }
            }
            return Optional.of(CsvFile.write(List.of("deviceId", "secret", "baseName", "cabinet"), rows, separator));
        });
    }

    private static boolean mayEdit(Cabinet cabinet, Caller caller) {
        return cabinet != null && caller.reach().may(CsvKind.SENSORS.right(), cabinet.siteId());
    }

    private Outcome plan(Run run, Caller caller) {
        return Plan.of(run.kind(), CsvFile.read(run.kind(), run.content()), Registered.read(reads, caller.reach()), caller.reach());
    }

    private Result result(Run run) {
        try {
            return json.readValue(run.result().orElseThrow(), Result.class);
        } catch (IOException e) {
            throw new IllegalStateException("import " + run.id() + ": what became of it cannot be read", e);
        }
    }

    private String write(Result result) {
        try {
            return json.writeValueAsString(result);
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("what became of an import cannot be written", e);
        }
    }
}
