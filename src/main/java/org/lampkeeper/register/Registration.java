package org.lampkeeper.register;

import java.time.Duration;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.SortedMap;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.hibernate.exception.ConstraintViolationException;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.register.Facts.Change;
import org.lampkeeper.register.Locks.OptionalVersion;

/**
 * Takes things into the register, changes them and takes them out. Each verb is one transaction, or part of the caller's; what cannot be
 * registered is refused with {@link NotRegistered}, which names every problem, and nothing of it is stored. A verb with a version is
 * refused with {@link ChangedMeanwhile} when what is stored is another. After each, {@link Edited} is fired inside the transaction.
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

    // Ours: with before and after it fits into one journal entry.
    private static final int MOST_TURNS = 30;
    // Ours: whoever wants more wants no last resort.
    private static final int MOST_ROUNDS = 100;
    // The width of out_of_use_because.
    private static final int LONGEST_REASON = 200;
    private static final Duration LONGEST_TURN = Duration.ofHours(24);

    /** Of two who take the same name at once, the database refuses the second: said as if it had been seen before. */
    private static final Map<String, Problem> TAKEN = Map.of(
            "site_name_is_unique", new Problem("name", "a site of this name is registered already"),
            "board_name_is_unique_at_its_site", new Problem("name", "this site has a board of this name already"),
            "cabinet_code_is_unique", new Problem("code", "a cabinet of this code is registered already"),
            "cabinet_name_is_unique_at_its_site", new Problem("name", "this site has a cabinet of this name already"),
            "way_is_unique_on_its_board", new Problem("way", "this way of the board feeds another cabinet already"),
            "sensor_device_id_is_unique", new Problem("deviceId", "a sensor of this device id is or was registered already"),
            "sensor_base_name_is_unique", new Problem("baseName", "a sensor of this base name is or was registered already"),
            "cabinet_has_one_sensor_in_use", new Problem("cabinetId", "this cabinet has a sensor in use already, retire that one first"),
            "site_has_one_call_out_list", new Problem("", "somebody has made this list meanwhile, look at it first"));

    private final EntityManager entities;
    private final Locks locks;
    private final PersonRepository people;
    private final SiteRepository sites;
    private final BoardRepository boards;
    private final CabinetRepository cabinets;
    private final CircuitRepository circuits;
    private final ContentRepository contents;
    private final WarmthRepository warmths;
    private final SensorRepository sensors;
    private final CallOutListRepository lists;
    private final Event<Edited> edited;
    private final Event<SensorRetired> retired;
    private final Event<LoginEnded> loginEnded;
    private final Event<ErasingPerson> erasing;
    private final Event<CabinetLeavesUse> leavesUse;

    Registration(EntityManager entities, Locks locks, PersonRepository people, SiteRepository sites, BoardRepository boards,
            CabinetRepository cabinets, CircuitRepository circuits, ContentRepository contents, WarmthRepository warmths, SensorRepository sensors,
            CallOutListRepository lists, Event<Edited> edited, Event<SensorRetired> retired, Event<LoginEnded> loginEnded,
            Event<ErasingPerson> erasing, Event<CabinetLeavesUse> leavesUse) {
        this.entities = entities;
        this.locks = locks;
        this.people = people;
        this.sites = sites;
        this.boards = boards;
        this.cabinets = cabinets;
        this.circuits = circuits;
        this.contents = contents;
        this.warmths = warmths;
        this.sensors = sensors;
        this.lists = lists;
        this.edited = edited;
        this.retired = retired;
        this.loginEnded = loginEnded;
        this.erasing = erasing;
        this.leavesUse = leavesUse;
    }

    /** Whether anything is registered at all. */
    public boolean isEmpty() {
        return sites.count() == 0 && people.count() == 0;
    }

    public Contact addPerson(NewPerson entered, By by) {
        String thing = "person " + entered.name();
        NotRegistered.unlessEmpty(thing, entered.problems());
        long id = ((Number) entities.createNativeQuery(NEXT_PERSON_ID).getSingleResult()).longValue();
        Person person = new Person(id, entered, by);
        people.persist(person);
        flush(thing, "");
        registered("person", id, OptionalLong.empty(), Facts.of(person.contact()), by);
        return person.contact();
    }

    /** The reference in the journal stays the same. */
    public Contact changePerson(long personId, int version, NewPerson entered, By by) {
        String thing = "person " + personId;
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.person(personId, OptionalVersion.of(version));
        Person person = existing(people.findByIdOptional(personId), thing, "");
        entities.refresh(person);
        NotRegistered.unlessEmpty(thing, new Problems().must("", !person.isErased(), "is erased; register them anew instead").list());
        SortedMap<String, Object> before = Facts.of(person.contact());
        person.take(entered, by);
        flush(thing, "");
        changed("person", personId, OptionalLong.empty(), before, Facts.of(person.contact()), by);
        return person.contact();
    }

    /**
     * Drops name, mail, phone and the salt of the reference: the journal still says that one and the same person did this and that, and
     * nobody can tell who it was. Refused while the person has a turn on a call-out list, and by whoever hears {@link ErasingPerson} and
     * still needs them.
     */
    public void erasePerson(long personId, By by) {
        String thing = "person " + personId;
        locks.person(personId, OptionalVersion.ANY);
        Person person = existing(people.findByIdOptional(personId), thing, "");
        entities.refresh(person);
        ErasingPerson event = new ErasingPerson(person.contact(), by);
        if (lists.names(personId)) {
            event.refuse("is on a call-out list, take them off it before erasing");
        }
        if (person.isErased()) {
            event.refuse("is erased already");
        } else {
            erasing.fire(event);
        }
        NotRegistered.unlessEmpty(thing, event.problems());
        person.erase(by);
        flush(thing, "");
        fire("person", personId, OptionalLong.empty(), "erased", Facts.between(Facts.none(), Facts.none()), by);
    }

    /** Also lays the row under which the site's alarms are decided. */
    public SiteSheet addSite(NewSite entered, By by) {
        String thing = "site " + entered.name();
        NotRegistered.unlessEmpty(thing, entered.problems());
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("name", sites.count("name", entered.name()) == 0, "a site of this name is registered already")
                .list());
        Site site = new Site(entered, by);
        sites.persist(site);
        flush(thing, "");
        entities.createNativeQuery(WATCH_SITE).setParameter("siteId", site.id()).executeUpdate();
        registered("site", site.id(), OptionalLong.of(site.id()), Facts.of(site.sheet()), by);
        return site.sheet();
    }

    public SiteSheet changeSite(long siteId, int version, NewSite entered, By by) {
        String thing = "site " + entered.name();
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.site(siteId, OptionalVersion.of(version));
        Site site = existing(sites.findByIdOptional(siteId), "site " + siteId, "");
        entities.refresh(site);
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("name", sites.count("name = ?1 AND id <> ?2", entered.name(), siteId) == 0, "another site has this name already")
                .list());
        SortedMap<String, Object> before = Facts.of(site.sheet());
        site.take(entered, by);
        flush(thing, "");
        changed("site", siteId, OptionalLong.of(siteId), before, Facts.of(site.sheet()), by);
        return site.sheet();
    }

    public BoardSheet addBoard(NewBoard entered, By by) {
        String thing = "board " + entered.name();
        NotRegistered.unlessEmpty(thing, entered.problems());
        Site site = existing(sites.findByIdOptional(entered.siteId()), "site " + entered.siteId(), "siteId");
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("name", boards.count("site = ?1 AND name = ?2", site, entered.name()) == 0,
                        "site " + site.name() + " has a board of this name already")
                .list());
        Board board = new Board(site, entered, by);
        boards.persist(board);
        flush(thing, "");
        registered("board", board.id(), OptionalLong.of(site.id()), Facts.of(board.sheet()), by);
        return board.sheet();
    }

    /** A board stays at its site. */
    public BoardSheet changeBoard(long boardId, int version, NewBoard entered, By by) {
        String thing = "board " + entered.name();
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.board(boardId, OptionalVersion.of(version));
        Board board = existing(boards.findByIdOptional(boardId), "board " + boardId, "");
        entities.refresh(board);
        Site site = board.site();
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("siteId", entered.siteId() == site.id(), "stands at site " + site.name() + "; register another board there instead")
                .must("name", boards.count("site = ?1 AND name = ?2 AND id <> ?3", site, entered.name(), boardId) == 0,
                        "site " + site.name() + " has another board of this name already")
                .list());
        SortedMap<String, Object> before = Facts.of(board.sheet());
        board.take(entered, by);
        flush(thing, "");
        changed("board", boardId, OptionalLong.of(site.id()), before, Facts.of(board.sheet()), by);
        return board.sheet();
    }

    /** Only a board that feeds nothing. */
    public void removeBoard(long boardId, int version, By by) {
        String thing = "board " + boardId;
        locks.board(boardId, OptionalVersion.of(version));
        Board board = existing(boards.findByIdOptional(boardId), thing, "");
        long feeds = circuits.count("board", board);
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("", feeds == 0, "feeds " + feeds + (feeds == 1 ? " cabinet" : " cabinets") + ", change their circuits first")
                .list());
        BoardSheet was = board.sheet();
        boards.delete(board);
        flush(thing, "");
        removed("board", boardId, OptionalLong.of(was.siteId()), "removed", Facts.of(was), by);
    }

    /** A cabinet, what it holds, and the circuit that feeds it. */
    public CabinetSheet addCabinet(NewCabinet entered, By by) {
        String thing = "cabinet " + entered.code();
        NotRegistered.unlessEmpty(thing, entered.problems());
        Site site = existing(sites.findByIdOptional(entered.siteId()), "site " + entered.siteId(), "siteId");
        NewCircuit fed = entered.circuit();
        // Held, so that nobody takes the board away meanwhile.
        locks.board(fed.boardId(), OptionalVersion.ANY);
        Board board = existing(boards.findByIdOptional(fed.boardId()), "board " + fed.boardId(), "circuit.boardId");
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("code", cabinets.count("code", entered.code()) == 0, "a cabinet of this code is or was registered already")
                .must("name", cabinets.count("site = ?1 AND name = ?2", site, entered.name()) == 0,
                        "site " + site.name() + " has or had a cabinet named " + entered.name() + " already")
                .must("circuit.way", circuits.count("board = ?1 AND way = ?2", board, fed.way()) == 0,
                        "way " + fed.way() + " of " + board.name() + " feeds another cabinet already")
                .list());
        Cabinet cabinet = new Cabinet(site, entered, by);
        cabinets.persist(cabinet);
        flush(thing, "");
        Content content = new Content(cabinet.id(), entered.content(), by);
        contents.persist(content);
        Circuit circuit = new Circuit(cabinet, board, fed, by);
        circuits.persist(circuit);
        flush(thing, "circuit");
        SortedMap<String, Object> facts = Facts.of(entered.facts());
        facts.put("content", Facts.of(content.sheet(cabinet.content())));
        facts.put("circuit", Facts.of(circuit.circuit(), board.id()));
        registered("cabinet", cabinet.id(), OptionalLong.of(site.id()), facts, by);
        return circuit.sheet();
    }

    public CabinetSheet changeCabinet(long cabinetId, int version, CabinetFacts entered, By by) {
        String thing = "cabinet " + entered.code();
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.cabinet(cabinetId, OptionalVersion.of(version));
        Circuit circuit = existing(circuits.ofCabinet(cabinetId), "cabinet " + cabinetId, "");
        Cabinet cabinet = inUse(cabinetId);
        Site site = cabinet.site();
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("code", cabinets.count("code = ?1 AND id <> ?2", entered.code(), cabinetId) == 0,
                        "another cabinet has or had this code already")
                .must("name", cabinets.count("site = ?1 AND name = ?2 AND id <> ?3", site, entered.name(), cabinetId) == 0,
                        "site " + site.name() + " has or had another cabinet of this name already")
                .list());
        SortedMap<String, Object> before = Facts.of(cabinet.facts());
        cabinet.take(entered, by);
        flush(thing, "");
        changed("cabinet", cabinetId, OptionalLong.of(site.id()), before, Facts.of(cabinet.facts()), by);
        return circuit.sheet();
    }

    /** Of the cabinet with this id. */
    public CabinetSheet changeCircuit(long cabinetId, int version, NewCircuit entered, By by) {
        String thing = "circuit of cabinet " + cabinetId;
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.board(entered.boardId(), OptionalVersion.ANY);
        locks.circuit(cabinetId, OptionalVersion.of(version));
        Circuit circuit = existing(circuits.ofCabinet(cabinetId), "cabinet " + cabinetId, "");
        entities.refresh(circuit);
        Board board = existing(boards.findByIdOptional(entered.boardId()), "board " + entered.boardId(), "boardId");
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("way", circuits.count("board = ?1 AND way = ?2 AND id <> ?3", board, entered.way(), circuit.id()) == 0,
                        "way " + entered.way() + " of " + board.name() + " feeds another cabinet already")
                .list());
        SortedMap<String, Object> before = Facts.of(circuit.circuit(), circuit.sheet().board().id());
        circuit.take(board, entered, by);
        flush(thing, "");
        CabinetSheet now = circuit.sheet();
        changed("circuit", cabinetId, OptionalLong.of(now.site().id()), before, Facts.of(circuit.circuit(), board.id()), by);
        return now;
    }

    /** Of the cabinet with this id. */
    public ContentSheet changeContent(long cabinetId, int version, NewContent entered, By by) {
        String thing = "content of cabinet " + cabinetId;
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.content(cabinetId, OptionalVersion.of(version));
        Cabinet cabinet = inUse(cabinetId);
        Content content = existing(contents.findByIdOptional(cabinetId), thing, "");
        entities.refresh(content);
        SortedMap<String, Object> before = Facts.of(content.sheet(cabinet.content()));
        content.take(entered, by);
        cabinet.holds(entered.kind());
        flush(thing, "");
        ContentSheet now = content.sheet(entered.kind());
        changed("content", cabinetId, OptionalLong.of(cabinet.site().id()), before, Facts.of(now), by);
        return now;
    }

    /** Of the cabinet with this id. {@code version}: {@link Register#NOTHING_SAID} where nothing was said before. */
    public WarmthSheet changeWarmth(long cabinetId, int version, NewWarmth entered, By by) {
        String thing = "warmth of cabinet " + cabinetId;
        NotRegistered.unlessEmpty(thing, entered.problems());
        // The cabinet's row: of two who are the first to say something, the second waits here.
        locks.cabinet(cabinetId, OptionalVersion.ANY);
        Cabinet cabinet = inUse(cabinetId);
        locks.warmth(cabinetId, OptionalVersion.of(version));
        Optional<Warmth> stored = warmths.findByIdOptional(cabinetId);
        stored.ifPresent(entities::refresh);
        SortedMap<String, Object> before = stored.map(it -> Facts.of(it.sheet().said())).orElseGet(Facts::none);
        stored.ifPresent(it -> it.take(entered, by));
        Warmth now = stored.orElseGet(() -> new Warmth(cabinetId, entered, by));
        if (stored.isEmpty()) {
            warmths.persist(now);
        }
        flush(thing, "");
        changed("warmth", cabinetId, OptionalLong.of(cabinet.site().id()), before, Facts.of(entered), by);
        return now.sheet();
    }

    /**
     * Its sensor is retired and its circuit given up, so that the way is free. The cabinet itself, its code, its name and its history
     * stay; no other gets that code. {@code because}: why, 1 to 200 characters, for whoever finds it so.
     */
    public void takeOutOfUse(long cabinetId, int version, String because, By by) {
        String thing = "cabinet " + cabinetId;
        NotRegistered.unlessEmpty(thing, Problem.ofText("reason", "Reason", because, LONGEST_REASON));
        locks.cabinet(cabinetId, OptionalVersion.of(version));
        Cabinet cabinet = inUse(cabinetId);
        sensors.watching(cabinetId).ifPresent(sensor -> retire(sensor, by));
        leavesUse.fire(new CabinetLeavesUse(cabinet.site().id(), cabinetId, by));
        Optional<Circuit> circuit = circuits.ofCabinet(cabinetId);
        SortedMap<String, Object> facts = Facts.of(cabinet.facts());
        SortedMap<String, Object> reason = Facts.none();
        reason.put("reason", because);
        circuit.ifPresent(fed -> {
            facts.put("circuit", Facts.of(fed.circuit(), fed.sheet().board().id()));
            circuits.delete(fed);
        });
        cabinet.takeOutOfUse(because, by);
        flush(thing, "");
        fire("cabinet", cabinetId, OptionalLong.of(cabinet.site().id()), "taken-out-of-use", Facts.between(facts, reason), by);
    }

    /**
     * Into use again under its old code and name, with what it held, fed by a circuit that is entered anew: its old way may feed another
     * by now. No sensor watches it until one is registered.
     */
    public CabinetSheet bringBackIntoUse(long cabinetId, int version, NewCircuit fed, By by) {
        String thing = "cabinet " + cabinetId;
        NotRegistered.unlessEmpty(thing, fed.problems());
        locks.board(fed.boardId(), OptionalVersion.ANY);
        locks.cabinet(cabinetId, OptionalVersion.of(version));
        Cabinet cabinet = existing(cabinets.findByIdOptional(cabinetId), thing, "");
        entities.refresh(cabinet);
        Board board = existing(boards.findByIdOptional(fed.boardId()), "board " + fed.boardId(), "boardId");
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("", !cabinet.isInUse(), "is in use already")
                .must("way", circuits.count("board = ?1 AND way = ?2", board, fed.way()) == 0,
                        "way " + fed.way() + " of " + board.name() + " feeds another cabinet already")
                .list());
        cabinet.bringBack(by);
        Circuit circuit = new Circuit(cabinet, board, fed, by);
        circuits.persist(circuit);
        flush(thing, "");
        SortedMap<String, Object> facts = Facts.of(cabinet.facts());
        facts.put("circuit", Facts.of(circuit.circuit(), board.id()));
        fire("cabinet", cabinetId, OptionalLong.of(cabinet.site().id()), "brought-back-into-use", Facts.between(Facts.none(), facts), by);
        return circuit.sheet();
    }

    /** Makes its secret and lays its status row: supply unknown, never heard. */
    public RegisteredSensor addSensor(NewSensor entered, By by) {
        String thing = "sensor " + entered.deviceId();
        NotRegistered.unlessEmpty(thing, entered.problems());
        locks.cabinet(entered.cabinetId(), OptionalVersion.ANY);
        Cabinet cabinet = existing(cabinets.findByIdOptional(entered.cabinetId()).filter(Cabinet::isInUse),
                "cabinet " + entered.cabinetId(), "cabinetId");
        NotRegistered.unlessEmpty(thing, new Problems()
                .must("deviceId", sensors.count("deviceId", entered.deviceId()) == 0, "a sensor of this device id is or was registered already")
                .must("baseName", sensors.count("baseName", entered.baseName()) == 0, "a sensor of base name " + entered.baseName()
                        + " is or was registered already")
                .must("cabinetId", sensors.watching(entered.cabinetId()).isEmpty(),
                        "cabinet " + cabinet.code() + " has a sensor in use already, retire that one first")
                .list());
        String secret = SensorSecrets.make();
        Sensor sensor = new Sensor(cabinet, entered, SensorSecrets.hash(secret), by);
        sensors.persist(sensor);
        flush(thing, "");
        SensorKey key = sensor.key();
        entities.createNativeQuery(WATCH_SENSOR)
                .setParameter("sensorId", key.sensorId())
                .setParameter("siteId", key.siteId())
                .setParameter("cabinetId", key.cabinetId())
                .executeUpdate();
        registered("sensor", key.sensorId(), OptionalLong.of(key.siteId()), Facts.of(key), by);
        return new RegisteredSensor(key, secret);
    }

    /** The old secret is refused at once: whoever is connected with it is cut off after the commit. */
    public RegisteredSensor renewSecret(String deviceId, By by) {
        Sensor sensor = existing(sensors.inUse(deviceId), "sensor " + deviceId, "");
        locks.sensor(sensor.id());
        entities.refresh(sensor);
        String secret = SensorSecrets.make();
        sensor.renewSecret(SensorSecrets.hash(secret), by);
        flush("sensor " + deviceId, "");
        SensorKey key = sensor.key();
        fire("sensor", key.sensorId(), OptionalLong.of(key.siteId()), "secret-renewed", new Change(Facts.none(), Facts.of(key)), by);
        loginEnded.fire(new LoginEnded(deviceId));
        return new RegisteredSensor(key, secret);
    }

    /**
     * Takes a sensor out of use, and what is remembered of its supply with it: its cabinet's alarms that came from it end. The cabinet
     * may then get another.
     */
    public void retireSensor(String deviceId, By by) {
        retire(existing(sensors.inUse(deviceId), "sensor " + deviceId, ""), by);
    }

    /** Replaces the list of a site, or the operator's for site {@link CallOutLists#OPERATOR}, whatever is stored. */
    public void setCallOutList(long siteId, CallOutList list, By by) {
        replace(siteId, OptionalVersion.ANY, list, by);
    }

    /** The same, when {@code version} is still the stored one; {@link CallOutLists#NONE_STORED} for a list that nobody has made yet. */
    public CallOutSheet changeCallOutList(long siteId, int version, CallOutList list, By by) {
        return replace(siteId, OptionalVersion.of(version), list, by);
    }

    private CallOutSheet replace(long siteId, OptionalVersion version, CallOutList list, By by) {
        boolean ofOperator = siteId == CallOutLists.OPERATOR;
        String thing = "call-out list of " + (ofOperator ? "the operator" : "site " + siteId);
        NotRegistered.unlessEmpty(thing, problems(list));
        locks.callOutList(siteId, version);
        Optional<CallOutListEntry> stored = ofOperator ? lists.ofOperator() : lists.ofSite(siteId);
        SortedMap<String, Object> before = stored.map(entry -> Facts.of(entry.list(), references(entry.list()))).orElse(Facts.none());
        CallOutListEntry entry;
        if (stored.isPresent()) {
            entry = stored.get();
            entry.replaceBy(list, by);
        } else {
            Optional<Site> site = ofOperator ? Optional.empty()
                    : Optional.of(existing(sites.findByIdOptional(siteId), "site " + siteId, ""));
            entry = new CallOutListEntry(site, list, by);
            lists.persist(entry);
        }
        flush(thing, "");
        changed("call-out-list", siteId, Facts.at(siteId), before, Facts.of(list, references(list)), by);
        return new CallOutSheet(siteId, list, entry.version());
    }

    private List<Problem> problems(CallOutList list) {
        Problems problems = new Problems()
                .must("turns", list.turns().size() <= MOST_TURNS, list.turns().size() + " turns, must be at most " + MOST_TURNS)
                .must("repeatAfter", list.repeatAfter().compareTo(Duration.ofSeconds(1)) >= 0, "repeats after " + list.repeatAfter()
                        + ", must be 1 s or more")
                .must("repeatAfter", list.repeatAfter().compareTo(LONGEST_TURN) <= 0, "repeats after " + list.repeatAfter().toMinutes()
                        + " min, must be 24 h or less")
                .must("rounds", list.rounds() <= MOST_ROUNDS, list.rounds() + " rounds, must be at most " + MOST_ROUNDS);
        for (int i = 0; i < list.turns().size(); i++) {
            Turn turn = list.turns().get(i);
            int number = i;
            problems.must("turns." + i + ".after", turn.after().compareTo(LONGEST_TURN) <= 0, "a turn comes after "
                    + turn.after().toMinutes() + " min, must be 24 h or less");
            turn.personId().ifPresent(id -> problems.must("turns." + number + ".personId",
                    people.findByIdOptional(id).filter(person -> !person.isErased()).isPresent(), "person " + id + " is not registered"));
        }
        return problems.list();
    }

    private Map<Long, String> references(CallOutList list) {
        Map<Long, String> references = new HashMap<>();
        list.turns().forEach(turn -> turn.personId().ifPresent(id -> people.findByIdOptional(id)
                .ifPresent(person -> references.put(id, person.contact().reference()))));
        return references;
    }

    private void retire(Sensor sensor, By by) {
        locks.sensor(sensor.id());
        entities.refresh(sensor);
        SensorKey key = sensor.key();
        sensor.retire(by);
        flush("sensor " + key.deviceId(), "");
        entities.createNativeQuery(STOP_WATCHING_SENSOR).setParameter("sensorId", key.sensorId()).executeUpdate();
        removed("sensor", key.sensorId(), OptionalLong.of(key.siteId()), "retired", Facts.of(key), by);
        retired.fire(new SensorRetired(key, by));
        loginEnded.fire(new LoginEnded(key.deviceId()));
    }

    private Cabinet inUse(long cabinetId) {
        Cabinet cabinet = existing(cabinets.findByIdOptional(cabinetId), "cabinet " + cabinetId, "");
        entities.refresh(cabinet);
        NotRegistered.unlessEmpty("cabinet " + cabinetId, new Problems().must("", cabinet.isInUse(), "is out of use").list());
        return cabinet;
    }

    private static <T> T existing(Optional<T> found, String thing, String field) {
        return found.orElseThrow(() -> new NotRegistered(thing, List.of(new Problem(field, "not registered"))));
    }

    private void flush(String thing, String component) {
        try {
            entities.flush();
        } catch (ConstraintViolationException refused) {
            throw taken(refused).map(problem -> new NotRegistered(thing,
                    List.of(component.isEmpty() ? problem : problem.within(component)))).map(RuntimeException.class::cast).orElse(refused);
        }
    }

    private static Optional<Problem> taken(ConstraintViolationException refused) {
        String said = (refused.getConstraintName() + " " + refused.getMessage()).toLowerCase(Locale.ROOT);
        return TAKEN.entrySet().stream().filter(rule -> said.contains(rule.getKey())).map(Map.Entry::getValue).findFirst();
    }

    private void registered(String thing, long id, OptionalLong siteId, SortedMap<String, Object> facts, By by) {
        fire(thing, id, siteId, "registered", Facts.between(Facts.none(), facts), by);
    }

    private void removed(String thing, long id, OptionalLong siteId, String verb, SortedMap<String, Object> facts, By by) {
        fire(thing, id, siteId, verb, Facts.between(facts, Facts.none()), by);
    }

    /** Nothing is told where nothing is another. */
    private void changed(String thing, long id, OptionalLong siteId, SortedMap<String, Object> before, SortedMap<String, Object> after, By by) {
        Change change = Facts.between(before, after);
        if (!change.before().isEmpty() || !change.after().isEmpty()) {
            fire(thing, id, siteId, "changed", change, by);
        }
    }

    private void fire(String thing, long id, OptionalLong siteId, String verb, Change change, By by) {
        edited.fire(new Edited(thing, id, siteId, verb, change.before(), change.after(), by));
    }
}
