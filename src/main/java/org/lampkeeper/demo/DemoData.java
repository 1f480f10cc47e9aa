package org.lampkeeper.demo;

import java.nio.file.Files;
import java.time.Clock;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Stream;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;

import io.quarkus.logging.Log;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.runtime.StartupEvent;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Grant;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.demo.DemoInstallation.DemoCabinet;
import org.lampkeeper.demo.DemoInstallation.DemoCallOut;
import org.lampkeeper.demo.DemoInstallation.DemoCircuit;
import org.lampkeeper.demo.DemoInstallation.DemoLook;
import org.lampkeeper.demo.DemoInstallation.DemoPerson;
import org.lampkeeper.demo.DemoInstallation.DemoSite;
import org.lampkeeper.demo.DemoInstallation.DemoWarmth;
import org.lampkeeper.demo.DemoSensors.Line;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NewShift;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.RegisteredSensor;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;

/**
 * Fills an empty database with the demo's installation, as a whole or not at all. A database that holds anything is left as it is, but
 * for the secrets of the demo's own sensors, which are made anew when the file that keeps them is gone.
 */
@ApplicationScoped
public class DemoData {

    /** At start, before anything that listens or sends: a sensor of the demo must find its login. */
    public static final int AT_START = 100;

    // Two instances that start on the same empty database: the second waits here and then finds it filled.
    private static final String HOLD_INSTALLATION = "SELECT site_id FROM site_watch WHERE site_id = 0 FOR UPDATE";

    private final DemoConfig config;
    private final Registration registration;
    private final Sensors sensors;
    private final Accounts accounts;
    private final PersonChannels channels;
    private final DutyBook duty;
    private final CheckPlans looks;
    private final EntityManager database;
    private final Clock clock;

    DemoData(DemoConfig config, Registration registration, Sensors sensors, Accounts accounts, PersonChannels channels, DutyBook duty, CheckPlans looks,
            EntityManager database, Clock clock) {
        this.config = config;
        this.registration = registration;
        this.sensors = sensors;
        this.accounts = accounts;
        this.channels = channels;
        this.duty = duty;
        this.looks = looks;
        this.database = database;
        this.clock = clock;
    }

    void onStart(@Observes @Priority(AT_START) StartupEvent started) {
        if (config.enabled()) {
            fillIfEmpty();
        }
    }

    /** Whether the database was empty and is filled now. */
    boolean fillIfEmpty() {
        DemoInstallation installation = DemoInstallation.read(config.installation());
        return QuarkusTransaction.requiringNew().call(() -> {
            database.createNativeQuery(HOLD_INSTALLATION).getSingleResult();
            if (registration.isEmpty()) {
                fill(installation);
                return true;
            }
            renewLostSecrets(installation);
            return false;
        });
    }

    private void fill(DemoInstallation installation) {
        By by = By.nobody(clock.instant());
        Map<String, Long> people = new HashMap<>();
        installation.people().forEach(person -> people.put(person.name(), registration.addPerson(
                new NewPerson(person.name(), Optional.of(person.mail()), person.phone()), by).personId()));
        // Whoever runs the demo reads its mails, which is what the demo's people would show.
        people.values().forEach(person -> channels.of(person).forEach(channel -> channels.proven(channel, ProofAnswer.ARRIVED, by)));
        registration.setCallOutList(CallOutLists.OPERATOR, callOutList(installation.operator(), people), by);

        // All sites and boards first: a cabinet may be fed from a neighbour's board.
        Map<String, Long> sites = new HashMap<>();
        Map<String, Long> boards = new HashMap<>();
        for (DemoSite site : installation.sites()) {
            long siteId = registration.addSite(new NewSite(site.name(), site.address(), site.zone(), site.access(), site.intake(),
                    Optional.of(site.electrician())), by).id();
            sites.put(site.name(), siteId);
            registration.setCallOutList(siteId, callOutList(site.callOut(), people), by);
            site.boards().forEach(board -> boards.put(DemoInstallation.boardKey(site.name(), board.name()),
                    registration.addBoard(new NewBoard(siteId, board.name(), board.place(), board.access()), by).id()));
        }

        List<Line> lines = new ArrayList<>();
        for (DemoSite site : installation.sites()) {
            Map<String, Long> cabinets = new HashMap<>();
            for (DemoCabinet cabinet : site.cabinets()) {
                long cabinetId = registration.addCabinet(newCabinet(cabinet, site.name(), sites, boards), by).cabinetId();
                cabinets.put(cabinet.code(), cabinetId);
                installation.warmth().orElse(List.of()).stream().filter(warmth -> warmth.content().equals(cabinet.content())).findFirst()
                        .ifPresent(warmth -> keepWarm(cabinetId, warmth, by));
                lines.add(line(registration.addSensor(
                        new NewSensor(cabinetId, cabinet.sensor().deviceId(), cabinet.sensor().baseName()), by)));
                // Each statement looks through all that is loaded for what has changed: with hundreds of cabinets that would be most of the time.
                database.flush();
                database.clear();
            }
            LocalDate yesterday = LocalDate.ofInstant(by.at(), site.zone()).minusDays(1);
            site.shifts().orElse(List.of()).forEach(shift -> duty.addShift(new NewShift(sites.get(site.name()), shift.role(),
                    OptionalLong.of(people.get(shift.person())), shift.days(), shift.from(), shift.to(), 1, yesterday, Optional.empty()), by));
            planLooks(site, cabinets, yesterday, by);
        }
        installation.people().forEach(person -> accounts.setUp(people.get(person.name()), grants(person, sites)));
        // Before the commit: a file without its rows is overwritten by the next fill, rows without their file could not log in.
        DemoSensors.write(config.sensors(), lines);
        Log.infof("The demo's installation is in: %s, %d sites, %d cabinets.", installation.authority(), sites.size(), lines.size());
    }

    /** The same plan for all that have it: each plan by itself would be planned by itself. */
    private void planLooks(DemoSite site, Map<String, Long> cabinets, LocalDate first, By by) {
        Map<NewCheckPlan, List<Long>> planned = new LinkedHashMap<>();
        for (DemoLook look : site.looks().orElse(List.of())) {
            NewCheckPlan plan = new NewCheckPlan(CheckKind.LAMP, look.rule(), first, look.opens(), look.closes(), look.graceMinutes(), WhenClosed.SKIP,
                    new Whom.OnDutyFor(look.asked()), Optional.empty(), false);
            planned.computeIfAbsent(plan, it -> new ArrayList<>()).add(cabinets.get(look.cabinet()));
        }
        planned.forEach((plan, of) -> looks.add(of, plan, by));
    }

    private void keepWarm(long cabinetId, DemoWarmth warmth, By by) {
        if (warmth.lowestCelsius().isPresent() || warmth.highestCelsius().isPresent()) {
            registration.changeContent(cabinetId, 0, new NewContent(warmth.content(), true, warmth.lowestCelsius().map(Celsius::new),
                    warmth.highestCelsius().map(Celsius::new), List.of()), by);
        }
        registration.changeWarmth(cabinetId, Register.NOTHING_SAID, new NewWarmth(warmth.setPointCelsius().map(Celsius::new), warmth.heaterWatt(),
                warmth.wattPerKelvin(), warmth.joulePerKelvin(), warmth.coldestCelsius().map(Celsius::new), warmth.needsSupply(), false), by);
    }

    private void renewLostSecrets(DemoInstallation installation) {
        Set<String> demoDevices = new HashSet<>();
        installation.sites().forEach(site -> site.cabinets().forEach(cabinet -> demoDevices.add(cabinet.sensor().deviceId())));
        List<String> here = sensors.keys().stream().map(SensorKey::deviceId).filter(demoDevices::contains).toList();
        List<Line> known = Files.exists(config.sensors()) ? DemoSensors.read(config.sensors()) : List.of();
        boolean allLogIn = here.stream().allMatch(device -> known.stream()
                .anyMatch(line -> line.deviceId().equals(device) && sensors.accepts(device, line.secret())));
        if (!allLogIn) {
            By by = By.nobody(clock.instant());
            DemoSensors.write(config.sensors(), here.stream().map(device -> line(registration.renewSecret(device, by))).toList());
            Log.infof("Secrets of the demo's %d sensors were made anew: %s did not fit the database.", here.size(), config.sensors());
        }
    }

    private static List<Grant> grants(DemoPerson person, Map<String, Long> sites) {
        return person.roles().orElse(List.of()).stream().flatMap(role -> role.sites().isEmpty() ? Stream.of(Grant.everywhere(role.role()))
                : role.sites().get().stream().map(site -> Grant.at(role.role(), sites.get(site)))).toList();
    }

    private static Line line(RegisteredSensor sensor) {
        return new Line(sensor.key().deviceId(), sensor.secret(), sensor.key().baseName());
    }

    private static CallOutList callOutList(DemoCallOut list, Map<String, Long> people) {
        return new CallOutList(list.turns().stream().map(turn -> new Turn(people.get(turn.person()), turn.after())).toList(),
                list.repeatAfter());
    }

    private static NewCabinet newCabinet(DemoCabinet cabinet, String site, Map<String, Long> sites, Map<String, Long> boards) {
        DemoCircuit circuit = cabinet.circuit();
        long boardId = boards.get(DemoInstallation.boardKey(circuit.boardAt().orElse(site), circuit.board()));
        return new NewCabinet(sites.get(site), cabinet.code(), cabinet.name(), cabinet.place(), cabinet.content(), cabinet.lampPlace(),
                new NewCircuit(boardId, circuit.way(), circuit.device(), circuit.curve(), circuit.ratingAmpere(),
                        circuit.residualMilliampere(), circuit.cable(), circuit.fuseAmpere(), circuit.fusedUnitPlace()));
    }
}
