package org.lampkeeper.simulator;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.PriorityQueue;
import java.util.Random;

/**
 * One sensor on its cabinet, as a play: time is handed in, what it does comes out. Everything it has before it stands in an agenda; the
 * one who plays it calls {@link #advance} when {@link #nextDue} has come, and tells it when its line is up or down.
 *
 * <p>Every method first plays what was due until {@code now}, so calls must come in the order of time. Not safe for several threads.
 */
final class SimulatedSensor {

    // Ours: a small device's memory. What is older is forgotten first.
    private static final int REMEMBERED = 128;
    // Ours: three days without supply, ten times faster to full again.
    private static final Duration BATTERY_LASTS = Duration.ofHours(72);
    private static final double CHARGES_FASTER = 10;
    // Ours: somebody opens the cabinet about twice a day and has it shut again within a minute.
    private static final Duration BETWEEN_DOORS = Duration.ofHours(12);
    private static final Duration DOOR_STANDS_OPEN = Duration.ofMinutes(1);
    private static final double STARTS_AT_CELSIUS = 8;

    private final SensorLogin login;
    private final FleetSettings settings;
    private final Random chance;
    private final HeatedCabinet cabinet;
    private final PriorityQueue<Entry> agenda =
            new PriorityQueue<>(Comparator.comparing(Entry::at).thenComparing(Entry::order));
    private final ArrayDeque<Observation> memory = new ArrayDeque<>();
    private final List<RunningClock> wrongClocks = new ArrayList<>();
    private List<SensorAct> acts = new ArrayList<>();

    private Instant clock;
    private long entries;
    private long seq;
    private double battery = 100;
    private boolean started;
    private boolean lineUp;
    private boolean birthOwed;
    private boolean flat;
    private boolean switchedOff;
    private int outages;
    private int hangs;
    private int cuts;
    private int forgetting;

    SimulatedSensor(SensorLogin login, FleetSettings settings, Instant now) {
        // Each sensor has its own chance, so that one more sensor changes nothing for the others.
        this(login, settings, new Random(settings.seed() * 31 + login.deviceId().hashCode()), now);
    }

    /** @param chance of this sensor alone; one and the same begin of it makes the same sensor, whatever it is called */
    SimulatedSensor(SensorLogin login, FleetSettings settings, Random chance, Instant now) {
        this.login = login;
        this.settings = settings;
        this.clock = now;
        this.chance = chance;
        this.cabinet = new HeatedCabinet(Math.max(STARTS_AT_CELSIUS, settings.outsideCelsius()), settings.outsideCelsius(),
                settings.timeConstant(), settings.content());
    }

    String deviceId() {
        return login.deviceId();
    }

    /** When it has something to do by itself. Empty until its line was up for the first time. */
    Optional<Instant> nextDue() {
        return Optional.ofNullable(agenda.peek()).map(Entry::at);
    }

    /** What was due until {@code now}. */
    List<SensorAct> advance(Instant now) {
        while (!agenda.isEmpty() && !agenda.peek().at().isAfter(now)) {
            Entry entry = agenda.remove();
            pass(entry.at());
            entry.deed().happens(entry.at());
        }
        pass(now);
        return handOver();
    }

    /** Connected, for the first time or again: birth, what it remembers, and a report. */
    List<SensorAct> lineUp(Instant now) {
        return after(now, () -> {
            if (cuts > 0) {
                return;
            }
            lineUp = true;
            birthOwed = true;
            speak(now);
            if (!started) {
                started = true;
                at(now.plus(fraction(settings.interval(), chance.nextDouble())), this::reportAndAgain);
                doorLater(now);
            }
        });
    }

    /** The line broke without its doing. Observations are remembered until it is back. */
    List<SensorAct> lineDown(Instant now) {
        return after(now, () -> {
            if (lineUp) {
                note("lost its connection");
            }
            lineUp = false;
        });
    }

    /** A report that the broker never acknowledged: its observations are remembered as if they had never been sent. */
    List<SensorAct> undelivered(List<Observation> observations, Instant now) {
        return after(now, () -> {
            memory.addAll(observations);
            List<Observation> inOrder = memory.stream().sorted(Comparator.comparing(Observation::at)).toList();
            memory.clear();
            inOrder.forEach(this::remember);
        });
    }

    /** Takes the supply away until {@link #restoreSupply}, whatever faults come and go meanwhile. */
    List<SensorAct> loseSupply(Instant now) {
        return after(now, () -> changeSupply(now, () -> switchedOff = true));
    }

    List<SensorAct> restoreSupply(Instant now) {
        return after(now, () -> changeSupply(now, () -> switchedOff = false));
    }

    /** The weather changes, and stays until it is told anew. Nothing is reported for that. */
    List<SensorAct> outside(double celsius, Instant now) {
        return after(now, () -> cabinet.outside(celsius));
    }

    /** What really is in the cabinet, whoever measures it. */
    double contentCelsius() {
        return cabinet.content();
    }

    /** Starts a fault now; it ends by itself. */
    List<SensorAct> play(Fault fault, Duration duration, Instant now) {
        return after(now, () -> {
            note("fault: " + fault.word() + " for " + Span.words(duration));
            Instant end = now.plus(duration);
            switch (fault) {
                case LOSS, DIP -> outage(now, end);
                case UNSTEADY -> unsteady(now, end);
                case SILENCE -> {
                    hangs++;
                    at(end, this::goesOn);
                }
                case OFFLINE -> {
                    forgetting++;
                    cut();
                    at(end, back -> {
                        forgetting--;
                        mend();
                    });
                }
                case BACKLOG -> {
                    cut();
                    at(end, back -> mend());
                }
                case REBOOT -> {
                    hangs++;
                    cut();
                    at(end, this::boots);
                }
                case CLOCK_AHEAD -> wrongClock(DeviceClock.AHEAD, now, end);
                case CLOCK_ANCIENT -> wrongClock(DeviceClock.ANCIENT, now, end);
                case CLOCK_1970 -> wrongClock(DeviceClock.FROM_1970, now, end);
                case CLOCK_RELATIVE -> wrongClock(DeviceClock.NONE, now, end);
                case GARBAGE -> garbage(now, duration);
            }
        });
    }

    // --- faults

    private void outage(Instant from, Instant until) {
        changeSupply(from, () -> outages++);
        at(until, back -> changeSupply(back, () -> outages--));
    }

    private void unsteady(Instant from, Instant until) {
        Instant dip = from;
        while (dip.isBefore(until)) {
            Instant back = dip.plusMillis(1_000 + chance.nextInt(4_001));
            Instant end = back.isBefore(until) ? back : until;
            if (dip.equals(from)) {
                outage(dip, end);
            } else {
                at(dip, begins -> outage(begins, end));
            }
            dip = back.plusMillis(5_000 + chance.nextInt(10_001));
        }
    }

    private void goesOn(Instant now) {
        hangs--;
        speak(now);
    }

    private void boots(Instant now) {
        hangs--;
        seq = 0;
        memory.clear();
        mend();
    }

    private void wrongClock(DeviceClock clock, Instant from, Instant until) {
        RunningClock running = new RunningClock(clock, from);
        wrongClocks.add(running);
        speak(from);
        at(until, set -> {
            wrongClocks.remove(running);
            note("its clock is right again");
            speak(set);
        });
    }

    private void garbage(Instant from, Duration duration) {
        int count = Wire.garbage(login.baseName(), from).size();
        for (int i = 0; i < count; i++) {
            int which = i;
            at(from.plus(fraction(duration, (i + 1.0) / count)), then -> {
                if (lineUp && hangs == 0) {
                    publish(Wire.reportTopic(deviceId()), Wire.garbage(login.baseName(), then).get(which), false, List.of());
                    note("sent garbage, " + (which + 1) + " of " + count);
                }
            });
        }
    }

    // --- what a sensor does

    private void reportAndAgain(Instant now) {
        speak(now);
        if (battery <= 0 && !hasSupply() && !flat) {
            flat = true;
            hangs++;
            note("its battery is empty");
            cut();
        }
        at(now.plus(settings.interval()), this::reportAndAgain);
    }

    private void doorLater(Instant now) {
        double gap = -Math.log(1 - chance.nextDouble());
        at(now.plus(fraction(BETWEEN_DOORS, gap)), opened -> {
            cabinet.door(true);
            note("somebody opens the door");
            at(opened.plus(DOOR_STANDS_OPEN), shut -> {
                cabinet.door(false);
                doorLater(shut);
            });
        });
    }

    private boolean hasSupply() {
        return !switchedOff && outages == 0;
    }

    private void changeSupply(Instant now, Runnable change) {
        boolean before = hasSupply();
        change.run();
        if (hasSupply() == before) {
            return;
        }
        cabinet.supply(hasSupply());
        note(hasSupply() ? "has supply again" : "lost its supply");
        if (flat && hasSupply()) {
            flat = false;
            boots(now);
        } else {
            speak(now);
        }
    }

    /** Birth if it owes one, then what it remembers and sees now. A sensor that hangs does nothing; one without a line remembers. */
    private void speak(Instant now) {
        if (hangs > 0) {
            return;
        }
        if (lineUp && birthOwed) {
            birthOwed = false;
            publish(Wire.linkTopic(deviceId()), Wire.up(), true, List.of());
            note("connected");
        }
        seq++;
        Observation seen = new Observation(now, seq, hasSupply(), cabinet.inside() + noise(), cabinet.outside() + noise(),
                settings.content().map(any -> cabinet.content() + noise()), battery,
                cabinet.isHeating(), cabinet.isDoorOpen());
        if (lineUp || forgetting == 0) {
            remember(seen);
        }
        if (lineUp) {
            sendMemory(now);
        }
    }

    private void remember(Observation seen) {
        memory.addLast(seen);
        if (memory.size() > REMEMBERED) {
            memory.removeFirst();
        }
    }

    private void sendMemory(Instant now) {
        while (!memory.isEmpty()) {
            List<Observation> pack = nextPack();
            RunningClock running = wrongClocks.isEmpty() ? new RunningClock(DeviceClock.RIGHT, now) : wrongClocks.get(wrongClocks.size() - 1);
            byte[] payload = Wire.pack(login.baseName(), settings.promise(), pack, running.clock(), running.since(), now);
            publish(Wire.reportTopic(deviceId()), payload, false, pack);
            Observation newest = pack.get(pack.size() - 1);
            acts.add(new SensorAct.Note(String.format(Locale.ROOT, "reports %s, inside %.1f °C, battery %.0f %%, seq %d%s",
                    newest.supply() ? "healthy" : "lost", newest.inside(), newest.battery(), newest.seq(),
                    pack.size() > 1 ? ", with a backlog of " + (pack.size() - 1) : ""), pack.size() == 1));
        }
    }

    private List<Observation> nextPack() {
        List<Observation> pack = new ArrayList<>();
        long second = Long.MIN_VALUE;
        while (!memory.isEmpty() && pack.size() < Wire.OBSERVATIONS_IN_A_PACK && memory.peekFirst().at().getEpochSecond() != second) {
            Observation next = memory.removeFirst();
            second = next.at().getEpochSecond();
            pack.add(next);
        }
        return pack;
    }

    private void cut() {
        cuts++;
        if (cuts == 1) {
            lineUp = false;
            acts.add(new SensorAct.CutLine());
            note("its connection is cut");
        }
    }

    private void mend() {
        cuts--;
        if (cuts == 0) {
            acts.add(new SensorAct.MendLine());
        }
    }

    // --- the play

    private List<SensorAct> after(Instant now, Runnable change) {
        List<SensorAct> before = advance(now);
        acts.addAll(before);
        change.run();
        return handOver();
    }

    private List<SensorAct> handOver() {
        List<SensorAct> done = List.copyOf(acts);
        acts = new ArrayList<>();
        return done;
    }

    private void pass(Instant now) {
        Duration time = Duration.between(clock, now);
        if (time.isNegative()) {
            // The machine's clock was set back. What has happened stays; time goes on when the clock has caught up.
            return;
        }
        cabinet.pass(time);
        double share = 100.0 * time.toNanos() / BATTERY_LASTS.toNanos();
        battery = hasSupply() ? Math.min(100, battery + share * CHARGES_FASTER) : Math.max(0, battery - share);
        clock = now;
    }

    private void at(Instant moment, Deed deed) {
        agenda.add(new Entry(moment, entries++, deed));
    }

    private void publish(String topic, byte[] payload, boolean retained, List<Observation> carried) {
        acts.add(new SensorAct.Publish(deviceId(), topic, payload, retained, carried));
    }

    private void note(String text) {
        acts.add(new SensorAct.Note(text, false));
    }

    private double noise() {
        return chance.nextGaussian() * settings.noise();
    }

    private static Duration fraction(Duration whole, double share) {
        return Duration.ofNanos((long) (whole.toNanos() * share));
    }

    @FunctionalInterface
    private interface Deed {
        void happens(Instant at);
    }

    private record Entry(Instant at, long order, Deed deed) {
    }

    private record RunningClock(DeviceClock clock, Instant since) {
    }
}
