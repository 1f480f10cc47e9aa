package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.function.ToIntFunction;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Attendance.Remark;
import org.lampkeeper.alarm.Attendance.Setting;
import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;

/**
 * Where people say what was done about an alarm. It may be said in steps and by several; every saving is kept, the newest holds. Several may
 * go one after the other: each visit has its own record. The
 * alarm's own life cycle does not wait for it: a new loss may open a new alarm before anybody has written a word.
 */
@ApplicationScoped
public class AttendanceDesk {

    private final EntityManager entities;
    private final Alarms alarms;
    private final CallOutKeeper callOuts;
    private final ContentKeeper contents;
    private final SiteWatches sites;
    private final Register register;
    private final People people;
    private final AttendanceCauses causes;
    private final Journal journal;
    private final WatchConfig config;
    private final Clock clock;

    AttendanceDesk(EntityManager entities, Alarms alarms, CallOutKeeper callOuts, ContentKeeper contents, SiteWatches sites, Register register, People people,
            AttendanceCauses causes, Journal journal, WatchConfig config, Clock clock) {
        this.entities = entities;
        this.alarms = alarms;
        this.callOuts = callOuts;
        this.contents = contents;
        this.sites = sites;
        this.register = register;
        this.people = people;
        this.causes = causes;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    /** What became of a saving. */
    public sealed interface SaveResult {
        /** It is stored, as the entry of this number. */
        record Saved(AttendanceEntry entry) implements SaveResult {
        }

        /** Nothing was stored: what is wrong, field by field. */
        record Refused(List<Remark> remarks) implements SaveResult {
            public Refused {
                remarks = List.copyOf(remarks);
            }
        }

        /** Nothing was stored: somebody else has saved since the writer began. */
        record ChangedMeanwhile(AttendanceEntry current) implements SaveResult {
        }

        /** No such alarm, visit or person. */
        record NotFound() implements SaveResult {
        }
    }

    /**
     * Keeps what was said of the last visit, or of the first where nobody has said anything yet.
     *
     * @param expected the number of the entry that the writer has seen; 0 when there was none
     */
    @Transactional
    public SaveResult save(long alarmId, int expected, Attendance said, long personId) {
        return keep(alarmId, all -> Math.max(1, last(all)), expected, said, personId);
    }

    /**
     * Keeps what was said of a visit, complete or not. What is wrong is refused; what is missing is not. The alarm is done with when the
     * record of the last visit is complete; a further one opens the matter again.
     *
     * @param visit    one that was written about, or the next
     * @param expected the number of the entry of this visit that the writer has seen; 0 when there was none
     */
    @Transactional
    public SaveResult saveVisit(long alarmId, int visit, int expected, Attendance said, long personId) {
        return keep(alarmId, all -> visit, expected, said, personId);
    }

    /** Keeps what was said of a further visit: somebody went again. */
    @Transactional
    public SaveResult another(long alarmId, Attendance said, long personId) {
        return keep(alarmId, all -> last(all) + 1, 0, said, personId);
    }

    /**
     * "I am there": records the arrival now, and leaves all else as it was said. Where somebody else's arrival is recorded, this is a
     * further visit; one's own is not recorded twice. Refused only where it was said that there is no record.
     */
    @Transactional
    public SaveResult arrive(long alarmId, long personId) {
        Optional<AlarmRecord> alarm = lockWithSite(alarmId);
        if (alarm.isEmpty()) {
            return new SaveResult.NotFound();
        }
        List<AttendanceEntry> all = entries(alarmId);
        Optional<AttendanceEntry> newest = all.stream().findFirst();
        boolean isTheirs = all.stream().anyMatch(it -> it.visit() == last(all) && it.writtenBy() == personId);
        Instant now = clock.instant();
        if (newest.flatMap(it -> it.attendance().arrivedAt()).isPresent() && !isTheirs && alarm.get().kind().scope() != Scope.INSTALLATION) {
            return another(alarmId, Attendance.NOTHING.arrivedAt(now), personId);
        }
        Attendance said = newest.map(AttendanceEntry::attendance).orElse(Attendance.NOTHING).arrivedAt(now);
        return save(alarmId, newest.map(AttendanceEntry::number).orElse(0), said, personId);
    }

    private SaveResult keep(long alarmId, ToIntFunction<List<AttendanceEntry>> which, int expected, Attendance said, long personId) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> person = people.find(personId);
        if (found.isEmpty() || person.isEmpty()) {
            return new SaveResult.NotFound();
        }
        AlarmRecord alarm = found.get();
        List<AttendanceEntry> all = entries(alarmId);
        int visit = which.applyAsInt(all);
        Setting setting = setting(alarm);
        if (visit < 1 || visit > last(all) + 1 || visit > 1 && setting.scope() == Scope.INSTALLATION) {
            return new SaveResult.NotFound();
        }
        Optional<AttendanceEntry> current = all.stream().filter(it -> it.visit() == visit).findFirst();
        if (current.filter(it -> it.attendance().equals(said)).isPresent()) {
            // Pressed twice, or saved again unchanged: said once is enough.
            return new SaveResult.Saved(current.get());
        }
        if (current.map(AttendanceEntry::number).orElse(0) != expected) {
            return current.isPresent() ? new SaveResult.ChangedMeanwhile(current.get()) : new SaveResult.NotFound();
        }
        Instant now = clock.instant();
        List<Remark> wrong = new ArrayList<>(said.wrong(setting, now));
        wrong.addAll(outOfOrder(visit, said, all, setting, now));
        if (!wrong.isEmpty()) {
            return new SaveResult.Refused(wrong);
        }
        int number = 1 + all.stream().mapToInt(AttendanceEntry::number).max().orElse(0);
        AttendanceEntry entry = new AttendanceEntry(alarmId, visit, number, now, personId, said.isComplete(setting, now), said);
        SqlWork.on(entities, connection -> {
            AttendanceBook.add(connection, entry);
            return null;
        });
        boolean isLast = visit >= last(all);
        if (isLast) {
            alarm.attended(entry.isComplete() ? Optional.of(now) : Optional.empty());
            alarms.flush();
        }
        if (said.fit().equals(Optional.of(Attendance.Fit.YES)) && alarm.cabinetId().isPresent()) {
            contents.fitForUse(alarm.siteId(), alarm.cabinetId().getAsLong(), said.arrivedAt().orElse(now), now);
        }
        boolean wasComplete = current.filter(AttendanceEntry::isComplete).isPresent();
        journal.append(journalled(alarm, entry, wasComplete, person.get().reference()));
        if (isLast && current.flatMap(it -> it.attendance().arrivedAt()).isEmpty()) {
            // Not at a correction: another may have promised to be there since.
            said.arrivedAt().ifPresent(arrival -> callOuts.arrived(alarm, arrival, personId, now));
        }
        return new SaveResult.Saved(entry);
    }

    private static int last(List<AttendanceEntry> all) {
        return all.isEmpty() ? 0 : all.get(0).visit();
    }

    /** Visits stand in the order of their arrivals, to the minute, as a form says them; of a further one the arrival is the least to be said. */
    private static List<Remark> outOfOrder(int visit, Attendance said, List<AttendanceEntry> all, Setting setting, Instant now) {
        if (said.arrivedAt().isEmpty()) {
            return visit == 1 || !said.noneBecause().isBlank() ? List.of()
                    : List.of(new Remark("arrivedAt", "Say when somebody arrived again; without that it is no further visit."));
        }
        Instant arrival = said.arrivedAt().get().truncatedTo(ChronoUnit.MINUTES);
        List<Remark> remarks = new ArrayList<>();
        for (AttendanceEntry other : newestOfEach(all)) {
            Optional<Instant> theirs = other.attendance().arrivedAt().map(at -> at.truncatedTo(ChronoUnit.MINUTES));
            if (theirs.isPresent() && other.visit() != visit) {
                boolean isBefore = other.visit() < visit;
                if (isBefore ? arrival.isBefore(theirs.get()) : arrival.isAfter(theirs.get())) {
                    remarks.add(new Remark("arrivedAt", "Visit " + other.visit() + " arrived at "
                            + Sentences.clock(theirs.get(), setting.zone(), now) + "; say a time " + (isBefore ? "from then on." : "up to then.")));
                    break;
                }
            }
        }
        return remarks;
    }

    private static List<AttendanceEntry> newestOfEach(List<AttendanceEntry> all) {
        List<AttendanceEntry> newest = new ArrayList<>();
        for (AttendanceEntry entry : all) {
            if (newest.isEmpty() || newest.get(newest.size() - 1).visit() != entry.visit()) {
                newest.add(entry);
            }
        }
        Collections.reverse(newest);
        return newest;
    }

    /** What holds of each visit, in the order in which people went. */
    @Transactional
    public List<AttendanceEntry> visits(long alarmId) {
        return newestOfEach(entries(alarmId));
    }

    /** Everything that was saved about an alarm: the last visit first, and of each the newest saving first. */
    @Transactional
    public List<AttendanceEntry> entries(long alarmId) {
        return SqlWork.on(entities, connection -> AttendanceBook.ofAlarm(connection, causes, alarmId));
    }

    /** What a record about this alarm is measured against; empty when there is no such alarm. */
    @Transactional
    public Optional<Setting> setting(long alarmId) {
        return alarms.findByIdOptional(alarmId).map(this::setting);
    }

    private Setting setting(AlarmRecord alarm) {
        Scope scope = alarm.kind().scope();
        Optional<CabinetSheet> sheet = alarm.cabinetId().isPresent() ? register.findSheet(alarm.cabinetId().getAsLong()) : Optional.empty();
        ZoneId zone = register.site(alarm.siteId()).map(SiteSheet::zone).orElse(config.operatorZone());
        return new Setting(scope, alarm.since(), zone,
                sheet.isPresent() ? OptionalInt.of(sheet.get().circuit().fuseAmpere()) : OptionalInt.empty());
    }

    /** Who tested it is a name, so it stays out of the journal; that it was tested does not. */
    private static Entry journalled(AlarmRecord alarm, AttendanceEntry entry, boolean wasComplete, String person) {
        Attendance said = entry.attendance();
        String kind = !said.noneBecause().isBlank() ? "attendance-not-recorded"
                : wasComplete ? "attendance-corrected" : entry.isComplete() ? "attendance-completed" : "attendance-written";
        return AlarmKeeper.entry(alarm, kind, entry.writtenAt()).with("person", person).with("visit", entry.visit()).with("number", entry.number())
                .with("complete", entry.isComplete())
                .with("arrived", said.arrivedAt())
                .with("cause", said.cause().map(AttendanceCause::word))
                .with("done", filled(said.done()))
                .with("retested-by-competent-person", said.retesterCompetent() && !said.retestedBy().isBlank())
                .with("fuse-fitted-a", said.fuseFittedAmpere())
                .with("content", said.content())
                .with("content-moved-to", filled(said.contentMovedTo()))
                .with("people-told", said.peopleTold())
                .with("fit", said.fit())
                .with("none-because", filled(said.noneBecause()));
    }

    private static Optional<String> filled(String text) {
        return Optional.of(text).filter(it -> !it.isBlank());
    }

    private Optional<AlarmRecord> lockWithSite(long alarmId) {
        Optional<Long> siteId = alarms.find("select a.siteId from Alarm a where a.id = ?1", alarmId).project(Long.class)
                .firstResultOptional();
        siteId.ifPresent(sites::lock);
        return siteId.flatMap(id -> alarms.findByIdOptional(alarmId));
    }
}
