package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.hibernate.Session;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.Letter;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.message.TestLetter;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Rows;
import org.lampkeeper.supply.ProofTest;

/** Carries out what {@link ProofTest} says: keeps it, tells the person on duty, writes it down. Called holding the site's lock. */
@ApplicationScoped
class ProofTests {

    private static final String NEXT_ID = "SELECT nextval('proof_test_seq')";

    private static final String ADD = """
            INSERT INTO proof_test (id, handover_id, site_id, cabinet_id, work_id, started_by, started_at, ends_at, nobody)
            VALUES (:id, :handover, :site, :cabinet, :work, :by, :startedAt, :endsAt, FALSE)""";

    private static final String COLUMNS = """
            SELECT id, handover_id, site_id, cabinet_id, work_id, told_person, started_at, ends_at, lost_at, heard_at, told_at, nobody, taken_at, returned_at,
                   back_heard, ended_at
              FROM proof_test
            """;

    private static final String ONE = COLUMNS + " WHERE id = :id";

    /** By proof_test_by_cabinet. */
    private static final String RUNNING = COLUMNS + " WHERE cabinet_id = :cabinet AND ended_at IS NULL ORDER BY id";

    /** By proof_test_by_handover. */
    private static final String OF_HANDOVER = COLUMNS + " WHERE handover_id = :handover ORDER BY id DESC";

    private static final String STORE = """
            UPDATE proof_test SET lost_at = :lostAt, heard_at = :heardAt, told_at = :toldAt, told_person = :toldPerson, nobody = :nobody, taken_at = :takenAt,
                   returned_at = :returnedAt, back_heard = :backHeard, ended_at = :endedAt
             WHERE id = :id""";

    /** @param told whom the message went to */
    record Kept(long id, long handoverId, long siteId, long cabinetId, long workId, OptionalLong told, ProofTest test) {
    }

    private final EntityManager entities;
    private final Register register;
    private final People people;
    private final OnDuty duty;
    private final Outbox outbox;
    private final LinkTokens tokens;
    private final MessageConfig messages;
    private final AlarmDesk alarms;
    private final Deadlines deadlines;
    private final Journal journal;

    ProofTests(EntityManager entities, Register register, People people, OnDuty duty, Outbox outbox, LinkTokens tokens, MessageConfig messages, AlarmDesk alarms,
            Deadlines deadlines, Journal journal) {
        this.entities = entities;
        this.register = register;
        this.people = people;
        this.duty = duty;
        this.outbox = outbox;
        this.tokens = tokens;
        this.messages = messages;
        this.alarms = alarms;
        this.deadlines = deadlines;
        this.journal = journal;
    }

    long begin(long handoverId, long siteId, long cabinetId, long workId, long personId, ProofTest test) {
        long id = Rows.number(entities.createNativeQuery(NEXT_ID).getSingleResult());
        entities.createNativeQuery(ADD).setParameter("id", id).setParameter("handover", handoverId).setParameter("site", siteId).setParameter("cabinet", cabinetId)
                .setParameter("work", workId).setParameter("by", personId).setParameter("startedAt", test.startedAt()).setParameter("endsAt", test.endsAt()).executeUpdate();
        deadlines.add(DeadlineKind.PROOF_TEST_END, id, 0, test.endsAt());
        journal.append(entry(find(id).orElseThrow(), "proof-test-began", test.startedAt()).with("until", test.endsAt()).with("person", people.reference(OptionalLong.of(personId))));
        return id;
    }

    Optional<Kept> find(long id) {
        return kept(entities.createNativeQuery(ONE).setParameter("id", id).getResultList()).stream().findFirst();
    }

    Optional<Long> siteOf(long id) {
        return find(id).map(Kept::siteId);
    }

    /** The newest first. */
    List<Kept> ofHandover(long handoverId) {
        return kept(entities.createNativeQuery(OF_HANDOVER).setParameter("handover", handoverId).getResultList());
    }

    Optional<Kept> running(long cabinetId) {
        return kept(entities.createNativeQuery(RUNNING).setParameter("cabinet", cabinetId).getResultList()).stream().findFirst();
    }

    void lossHeard(long cabinetId, Instant observedAt, Instant now) {
        running(cabinetId).ifPresent(kept -> store(kept, kept.test().lost(observedAt, now), kept.told(), now));
    }

    /** The message leaves in the transaction that confirms the loss, as that of an alarm does. */
    void lossConfirmed(long cabinetId, Instant since, Instant now) {
        lossHeard(cabinetId, since, now);
        Optional<Kept> found = running(cabinetId).filter(kept -> kept.test().isToBeTold());
        if (found.isEmpty()) {
            return;
        }
        OptionalLong told = tell(found.get(), now);
        store(found.get(), found.get().test().told(told.isPresent(), now), told, now);
    }

    void supplyReturned(long cabinetId, Instant observedAt, Instant now) {
        running(cabinetId).ifPresent(kept -> store(kept, kept.test().returned(observedAt, now), kept.told(), now));
    }

    void taken(Kept kept, Instant now) {
        store(kept, kept.test().taken(now), kept.told(), now);
    }

    void timeIsOver(long id, Instant now) {
        find(id).ifPresent(kept -> store(kept, kept.test().ended(now), kept.told(), now));
    }

    private OptionalLong tell(Kept kept, Instant now) {
        CabinetSheet cabinet = register.sheet(kept.cabinetId());
        for (long personId : duty.at(kept.siteId(), DutyRole.DUTY_MANAGER, now)) {
            Optional<Contact> reader = people.find(personId);
            if (reader.isEmpty()) {
                continue;
            }
            String link = messages.address("t/" + tokens.issueForTest(kept.id(), personId, kept.test().endsAt()));
            Letter letter = TestLetter.of(cabinet, reader.get().name(), link, kept.test().endsAt(), now);
            if (outbox.tell(new NewMessage(Purpose.NOTICE, OptionalLong.empty(), OptionalLong.empty(), personId, "", letter.subject(), letter.body(),
                    Optional.of(TestLetter.briefly(cabinet, link)), now))) {
                return OptionalLong.of(personId);
            }
        }
        return OptionalLong.empty();
    }

    private void store(Kept kept, ProofTest next, OptionalLong told, Instant now) {
        if (next.equals(kept.test())) {
            return;
        }
        entities.unwrap(Session.class).createNativeMutationQuery(STORE)
                .setParameter("id", kept.id())
                .setParameter("lostAt", orNull(next.lostAt()), Instant.class)
                .setParameter("heardAt", orNull(next.heardAt()), Instant.class)
                .setParameter("toldAt", orNull(next.toldAt()), Instant.class)
                .setParameter("toldPerson", told.isPresent() ? told.getAsLong() : null, Long.class)
                .setParameter("nobody", next.nobody())
                .setParameter("takenAt", orNull(next.takenAt()), Instant.class)
                .setParameter("returnedAt", orNull(next.returnedAt()), Instant.class)
                .setParameter("backHeard", orNull(next.backHeard()), Instant.class)
                .setParameter("endedAt", orNull(next.endedAt()), Instant.class)
                .executeUpdate();
        if (!next.isRunning()) {
            journal.append(entry(kept, "proof-test-ended", now).with("proven", next.isProven()).with("heard", next.heardAt()).with("told", next.toldAt())
                    .with("taken", next.takenAt()).with("back", next.backHeard()));
            // What is true now counts at once: nothing is held back for longer than the test needs.
            alarms.endEarly(kept.workId(), OptionalLong.empty());
        }
    }

    private static Entry entry(Kept kept, String kind, Instant now) {
        return Entry.of(now, kind).site(kept.siteId()).cabinet(kept.cabinetId()).with("handover", kept.handoverId());
    }

    private static @Nullable Instant orNull(Optional<Instant> at) {
        return at.orElse(null);
    }

    private static List<Kept> kept(List<?> rows) {
        return rows.stream().map(found -> (Object[]) found).map(row -> new Kept(Rows.number(row[0]), Rows.number(row[1]), Rows.number(row[2]), Rows.number(row[3]),
                Rows.number(row[4]), row[5] == null ? OptionalLong.empty() : OptionalLong.of(Rows.number(row[5])), new ProofTest(Rows.instant(row[6]), Rows.instant(row[7]),
                        at(row[8]), at(row[9]), at(row[10]), Boolean.TRUE.equals(row[11]), at(row[12]), at(row[13]), at(row[14]), at(row[15])))).toList();
    }

    private static Optional<Instant> at(@Nullable Object value) {
        return Optional.ofNullable(value).map(Rows::instant);
    }
}
