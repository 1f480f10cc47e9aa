package org.lampkeeper.register;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;

/**
 * Takes things into the register. Each verb is one transaction, or part of the caller's; what cannot be registered is refused with
 * {@link NotRegistered}, which names every problem, and nothing of it is stored.
 */
@ApplicationScoped
@Transactional
public class Registration {

    // The next value of the sequence is the last of a block of 50 that nobody else will use.
    private static final String NEXT_PERSON_ID = "SELECT nextval('register_seq')";

    private static final String WATCH_SITE = "INSERT INTO site_watch (site_id, version) VALUES (:siteId, 0)";

    // Never heard: its supply is unknown, and nothing is pending until its first report.
    private static final String WATCH_SENSOR = """
            INSERT INTO sensor_status (sensor_id, site_id, cabinet_id, reading, settled, silent, link_down, clock_odd, dips, version)
            VALUES (:sensorId, :siteId, :cabinetId, 'UNKNOWN', FALSE, FALSE, FALSE, FALSE, 0, 0)
            """;

    private static final String STOP_WATCHING_SENSOR = "DELETE FROM sensor_status WHERE sensor_id = :sensorId";

    private final PersonRepository people;
    private final SiteRepository sites;
    private final BoardRepository boards;
    private final CabinetRepository cabinets;
    private final CircuitRepository circuits;
    private final SensorRepository sensors;
    private final CallOutListRepository lists;

    Registration(PersonRepository people, SiteRepository sites, BoardRepository boards, CabinetRepository cabinets,
            CircuitRepository circuits, SensorRepository sensors, CallOutListRepository lists) {
        this.people = people;
        this.sites = sites;
        this.boards = boards;
        this.cabinets = cabinets;
        this.circuits = circuits;
        this.sensors = sensors;
        this.lists = lists;
    }

    /** Whether anything is registered at all. */
    public boolean isEmpty() {
        return sites.count() == 0 && people.count() == 0;
    }

    public Contact addPerson(NewPerson entered) {
        NotRegistered.unlessEmpty(entered.problems());
        long id = ((Number) people.getEntityManager().createNativeQuery(NEXT_PERSON_ID).getSingleResult()).longValue();
        Person person = new Person(id, entered);
        people.persist(person);
        return person.contact();
    }

    /**
     * Drops name, mail, phone and the salt of the reference: the journal still says that one and the same person did this and that, and
     * nobody can tell who it was. Refused while the person has a turn on a call-out list.
     */
    public void erasePerson(long personId) {
        Person person = existing(people.findByIdOptional(personId), "person " + personId);
        NotRegistered.unlessEmpty(new Problems("person " + personId)
                .must(!lists.names(personId), "is on a call-out list, take them off it before erasing")
                .list());
        person.erase();
    }

    /** Also lays the row under which the site's alarms are decided. */
    public SiteSheet addSite(NewSite entered) {
        NotRegistered.unlessEmpty(entered.problems());
        NotRegistered.unlessEmpty(new Problems("site " + entered.name())
                .must(sites.count("name", entered.name()) == 0, "a site of this name is registered already")
                .list());
        Site site = new Site(entered);
        sites.persistAndFlush(site);
        sites.getEntityManager().createNativeQuery(WATCH_SITE).setParameter("siteId", site.id()).executeUpdate();
        return site.sheet();
    }

    public BoardSheet addBoard(NewBoard entered) {
        NotRegistered.unlessEmpty(entered.problems());
        Site site = existing(sites.findByIdOptional(entered.siteId()), "site " + entered.siteId());
        NotRegistered.unlessEmpty(new Problems("board " + entered.name())
                .must(boards.count("site = ?1 AND name = ?2", site, entered.name()) == 0,
                        "site " + site.name() + " has a board of this name already")
                .list());
        Board board = new Board(site, entered);
        boards.persist(board);
        return board.sheet();
    }

    /** A cabinet and the circuit that feeds it. */
    public CabinetSheet addCabinet(NewCabinet entered) {
        NotRegistered.unlessEmpty(entered.problems());
        Site site = existing(sites.findByIdOptional(entered.siteId()), "site " + entered.siteId());
        NewCircuit fed = entered.circuit();
        Board board = existing(boards.findByIdOptional(fed.boardId()), "board " + fed.boardId());
        List<String> taken = new ArrayList<>(new Problems("cabinet " + entered.code())
                .must(cabinets.count("code", entered.code()) == 0, "a cabinet of this code is registered already")
                .must(cabinets.count("site = ?1 AND name = ?2", site, entered.name()) == 0,
                        "site " + site.name() + " has a cabinet named " + entered.name() + " already")
                .list());
        taken.addAll(new Problems("circuit of cabinet " + entered.code())
                .must(circuits.count("board = ?1 AND way = ?2", board, fed.way()) == 0,
                        "way " + fed.way() + " of " + board.name() + " feeds another cabinet already")
                .list());
        NotRegistered.unlessEmpty(taken);
        Cabinet cabinet = new Cabinet(site, entered);
        cabinets.persist(cabinet);
        Circuit circuit = new Circuit(cabinet, board, fed);
        circuits.persist(circuit);
        return circuit.sheet();
    }

    /** Makes its secret and lays its status row: supply unknown, never heard. */
    public RegisteredSensor addSensor(NewSensor entered) {
        NotRegistered.unlessEmpty(entered.problems());
        Cabinet cabinet = existing(cabinets.findByIdOptional(entered.cabinetId()), "cabinet " + entered.cabinetId());
        NotRegistered.unlessEmpty(new Problems("sensor " + entered.deviceId())
                .must(sensors.count("deviceId", entered.deviceId()) == 0, "a sensor of this device id is or was registered already")
                .must(sensors.count("baseName", entered.baseName()) == 0, "a sensor of base name " + entered.baseName()
                        + " is or was registered already")
                .must(sensors.count("cabinet = ?1 AND retiredAt IS NULL", cabinet) == 0,
                        "cabinet " + cabinet.code() + " has a sensor in use already, retire that one first")
                .list());
        String secret = SensorSecrets.make();
        Sensor sensor = new Sensor(cabinet, entered, SensorSecrets.hash(secret));
        sensors.persistAndFlush(sensor);
        SensorKey key = sensor.key();
        sensors.getEntityManager().createNativeQuery(WATCH_SENSOR)
                .setParameter("sensorId", key.sensorId())
                .setParameter("siteId", key.siteId())
                .setParameter("cabinetId", key.cabinetId())
                .executeUpdate();
        return new RegisteredSensor(key, secret);
    }

    /** The old secret is refused from the sensor's next connect on. */
    public RegisteredSensor renewSecret(String deviceId) {
        Sensor sensor = existing(sensors.inUse(deviceId), "sensor " + deviceId);
        String secret = SensorSecrets.make();
        sensor.renewSecret(SensorSecrets.hash(secret));
        return new RegisteredSensor(sensor.key(), secret);
    }

    /** Takes a sensor out of use, and what is remembered of its supply with it. The cabinet may then get another. */
    public void retireSensor(String deviceId, Instant now) {
        Sensor sensor = existing(sensors.inUse(deviceId), "sensor " + deviceId);
        sensor.retire(now);
        sensors.flush();
        sensors.getEntityManager().createNativeQuery(STOP_WATCHING_SENSOR).setParameter("sensorId", sensor.id()).executeUpdate();
    }

    /** Replaces the list of a site, or the operator's for site {@link CallOutLists#OPERATOR}. */
    public void setCallOutList(long siteId, CallOutList list) {
        boolean ofOperator = siteId == CallOutLists.OPERATOR;
        Problems problems = new Problems("call-out list of " + (ofOperator ? "the operator" : "site " + siteId))
                .must(list.repeatAfter().compareTo(Duration.ofSeconds(1)) >= 0, "repeats after " + list.repeatAfter()
                        + ", must be 1 s or more");
        for (Turn turn : list.turns()) {
            problems.must(!turn.after().isNegative(), "a turn comes after " + turn.after() + ", must be 0 s or more");
            problems.must(people.findByIdOptional(turn.personId()).isPresent(), "person " + turn.personId() + " is not registered");
        }
        NotRegistered.unlessEmpty(problems.list());
        Optional<CallOutListEntry> stored = ofOperator ? lists.ofOperator() : lists.ofSite(siteId);
        if (stored.isPresent()) {
            stored.get().replaceBy(list);
        } else {
            Optional<Site> site = ofOperator ? Optional.empty()
                    : Optional.of(existing(sites.findByIdOptional(siteId), "site " + siteId));
            lists.persist(new CallOutListEntry(site, list));
        }
    }

    private static <T> T existing(Optional<T> found, String thing) {
        return found.orElseThrow(() -> new NotRegistered(List.of(thing + ": not registered")));
    }
}
