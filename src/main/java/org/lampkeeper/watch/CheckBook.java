package org.lampkeeper.watch;

import java.sql.PreparedStatement;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.UUID;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckDue;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckLife;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.check.LookTime;
import org.lampkeeper.register.Rows;
import org.lampkeeper.supply.Reading;

/** The rows of looks that are due, and of what was said. Joins the caller's transaction. */
@ApplicationScoped
class CheckBook {

    private static final String DUE = """
            SELECT id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, opened_at, state, latest_answer, latest_at,
                   withdrawn_at, version, extra, wrong_codes, from_label, to_ask FROM check_due WHERE id""";

    private static final String SITE_OF = "SELECT site_id FROM check_due WHERE id = :id";

    /** By check_plan_by_cabinet: the plan by which somebody looks at the lamp of a cabinet. */
    private static final String LAMP_PLAN = """
            SELECT id FROM check_plan WHERE cabinet_id = :cabinet AND kind = 'LAMP' AND ended_at IS NULL ORDER BY id LIMIT 1""";

    /** By check_due_by_site_and_day. */
    private static final String EXTRA_OPEN = """
            SELECT COUNT(*) FROM check_due WHERE site_id = :site AND on_day >= :since AND extra > 0 AND state = 'OPEN' AND withdrawn_at IS NULL""";

    private static final String SITES_OF = "SELECT DISTINCT site_id FROM check_due WHERE id = ANY (:ids)";

    /** It has opened, and goes on: nobody has said anything new. */
    private static final String GO_ON = "UPDATE check_due SET opened_at = COALESCE(opened_at, :now), to_ask = FALSE, version = version + 1 WHERE id = ANY (:ids)";

    private static final String OPEN = """
            UPDATE check_due SET opened_at = ?, to_ask = TRUE, version = version + 1 WHERE id = ANY (?) AND opened_at IS NULL AND withdrawn_at IS NULL""";

    private static final String LAMP_IS_ASKED_FOR = """
            SELECT COUNT(*) FROM check_due WHERE cabinet_id = :cabinet AND on_day >= :since AND kind = 'LAMP' AND state = 'OPEN' AND opened_at IS NOT NULL
               AND closes_at > :now AND withdrawn_at IS NULL""";

    private static final String NEXT_DUE = "SELECT nextval('check_due_seq')";

    private static final String EXTRAS_OF_DAY = "SELECT COUNT(*) FROM check_due WHERE plan_id = :plan AND on_day = :day AND extra > 0";

    private static final String ADD_EXTRA = """
            INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, extra, state, version)
            VALUES (:id, :plan, :site, :cabinet, 'LAMP', :day, :opens, :closes, :missed, FALSE, :extra, 'OPEN', 0)""";

    private static final String ADD_FROM_LABEL = """
            INSERT INTO check_due (id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, from_label, state, version)
            VALUES (:id, :site, :cabinet, 'LAMP', :day, :opens, :closes, :closes, FALSE, TRUE, 'OPEN', 0)""";

    /** By check_due_by_cabinet_and_day. */
    private static final String FROM_LABEL_BY = """
            SELECT MAX(d.id) FROM check_due d JOIN check_record r ON r.due_id = d.id
             WHERE d.cabinet_id = :cabinet AND d.on_day >= :day AND d.from_label = TRUE AND d.opens_at > :since AND r.person_id = :person""";

    private static final String STORE = """
            UPDATE check_due SET opened_at = COALESCE(opened_at, :now), to_ask = FALSE, state = :state, latest_answer = :answer, latest_at = :at, version = version + 1
             WHERE id = :id""";

    private static final String WITHDRAW = "UPDATE check_due SET withdrawn_at = :now, version = version + 1 WHERE id = :id";

    private static final String NEXT_RECORD = "SELECT nextval('check_record_seq')";

    private static final String ADD_RECORD = """
            INSERT INTO check_record (id, due_id, site_id, cabinet_id, person_id, answer, looked_at, received_at, clock_wrong_by_ms, is_counted, corrects_id, note,
                                      reading, at_cabinet, phone_answer)
            VALUES (:id, :due, :site, :cabinet, :person, :answer, :lookedAt, :receivedAt, :wrongBy, :counted, :corrects, :note, :reading, :atCabinet, :phoneAnswer)""";

    private static final String WRONG_CODE = "UPDATE check_due SET wrong_codes = wrong_codes + 1 WHERE id = :id";

    /** By kept_answer_counts_once. */
    private static final String KEPT = """
            SELECT id, due_id, looked_at, received_at, clock_wrong_by_ms, is_counted FROM check_record WHERE person_id = :person AND phone_answer = :id""";

    /** By check_due_by_site_and_day: of the sites at which this person may be asked at all, what has not opened. */
    private static final String AHEAD = """
            SELECT d.id, d.plan_id, d.opens_at, d.by_somebody_else FROM check_due d
             WHERE d.on_day >= :from AND d.on_day <= :to AND d.opened_at IS NULL AND d.state = 'OPEN' AND d.withdrawn_at IS NULL
               AND (EXISTS (SELECT 1 FROM role_grant g WHERE g.person_id = :person AND g.site_id IS NULL)
                    OR d.site_id IN (SELECT g.site_id FROM role_grant g WHERE g.person_id = :person
                                     UNION SELECT s.site_id FROM duty_shift s WHERE s.person_id = :person
                                     UNION SELECT s.site_id FROM duty_stand_in i JOIN duty_shift s ON s.id = i.shift_id WHERE i.person_id = :person
                                     UNION SELECT f.site_id FROM duty_fallback f WHERE f.person_id = :person
                                     UNION SELECT p.site_id FROM check_plan p WHERE p.asked_person_id = :person OR p.closed_person_id = :person))
             ORDER BY d.opens_at, d.id LIMIT 1000""";

    private static final String IS_ASKED = "SELECT COUNT(*) FROM check_asked WHERE due_id = :due AND person_id = :person";

    /** By check_record_by_due. */
    private static final String RECORDS = """
            SELECT r.id, r.person_id, r.answer, r.looked_at, r.received_at, r.corrects_id, r.note, r.is_counted, r.at_cabinet, p.sha256
              FROM check_record r LEFT JOIN check_photo p ON p.record_id = r.id WHERE r.due_id = :due ORDER BY r.id""";

    private static final String ADD_PHOTO = """
            INSERT INTO check_photo (record_id, cabinet_id, picture, sha256, received_at) VALUES (:record, :cabinet, :picture, :sha256, :now)""";

    private static final String HAS_PHOTO = "SELECT COUNT(*) FROM check_photo WHERE record_id = :record";

    private static final String FORGET_PHOTOS = """
            UPDATE check_photo SET picture = NULL WHERE record_id IN (SELECT r.id FROM check_record r WHERE r.person_id = :person)""";

    private static final String ADD_ASKED = """
            INSERT INTO check_asked (due_id, person_id, asked_at, is_reachable)
            SELECT v.due_id, v.person_id, ?, v.is_reachable
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS BOOLEAN ARRAY)) AS v (due_id, person_id, is_reachable)""";

    /** By check_due_by_cabinet_and_day. Of each other kind the newest look that was opened: whether it was missed, and nobody has looked since. */
    private static final String OTHERS_MISSED = """
            SELECT d.id FROM check_due d
             WHERE d.cabinet_id = :cabinet AND d.kind <> :kind AND d.state = 'MISSED' AND d.latest_at IS NULL AND d.withdrawn_at IS NULL
               AND NOT EXISTS (SELECT 1 FROM check_due n WHERE n.cabinet_id = d.cabinet_id AND n.kind = d.kind AND n.opened_at IS NOT NULL
                                  AND n.opens_at > d.opens_at AND n.state <> 'OPEN')""";

    private static final String FORGET_NOTES = "UPDATE check_record SET note = NULL WHERE person_id = :person";

    private final EntityManager entities;

    CheckBook(EntityManager entities) {
        this.entities = entities;
    }

    /**
     * @param planId     empty for one that somebody took at the label with nothing due
     * @param isExtra    it was asked for because the sensor was silent
     * @param wrongCodes how many codes were typed that do not stand on the label
     * @param isToAsk    it has opened, and it was not decided yet whom to ask
     */
    record Due(long id, OptionalLong planId, long siteId, long cabinetId, CheckKind kind, CheckLife life, Optional<Instant> openedAt, boolean isWithdrawn, long version,
            boolean isExtra, int wrongCodes, boolean isFromLabel, boolean isToAsk) {

        /** Nothing that follows from its opening was decided yet. */
        boolean isUntouched() {
            return openedAt.isEmpty() || isToAsk;
        }
    }

    /**
     * What was said about one look, as it was said.
     *
     * @param personId   empty where the sensor stood in
     * @param correctsId what the same person had tapped wrong before
     * @param atCabinet  with the code of the label
     * @param photo      the SHA-256 of the photo that was sent with it
     */
    record Said(long id, OptionalLong personId, Answer answer, Instant lookedAt, Instant receivedAt, OptionalLong correctsId, Optional<String> note,
            boolean isCounted, boolean atCabinet, Optional<String> photo) {
    }

    OptionalLong siteOf(long dueId) {
        List<?> found = entities.createNativeQuery(SITE_OF).setParameter("id", dueId).getResultList();
        return found.isEmpty() ? OptionalLong.empty() : OptionalLong.of(Rows.number(found.get(0)));
    }

    Optional<Due> find(long dueId) {
        return read(DUE + " = :id", dueId);
    }

    /** Holds its row until the end of the transaction. After the lock of its site. */
    Optional<Due> lock(long dueId) {
        return read(DUE + " = :id FOR UPDATE", dueId);
    }

    Set<Long> sitesOf(Collection<Long> dueIds) {
        List<?> found = entities.createNativeQuery(SITES_OF).setParameter("ids", Rows.array(dueIds)).getResultList();
        return found.stream().map(Rows::number).collect(Collectors.toSet());
    }

    /** The same for many at once, in the order of their numbers. */
    List<Due> lock(Collection<Long> dueIds) {
        List<?> found = entities.createNativeQuery(DUE + " = ANY (:ids) ORDER BY id FOR UPDATE").setParameter("ids", Rows.array(dueIds)).getResultList();
        return found.stream().map(row -> due((Object[]) row)).toList();
    }

    /** They have opened by then, and nobody has said anything new: each has the next version. */
    void goOn(Collection<Long> dueIds, Instant now) {
        if (!dueIds.isEmpty()) {
            entities.createNativeQuery(GO_ON).setParameter("ids", Rows.array(dueIds)).setParameter("now", now).executeUpdate();
        }
    }

    /** Those among them that have not; whom to ask is decided after it. For the caller to hold the locks of their sites. */
    void open(Collection<Long> dueIds, Instant now) {
        SqlWork.on(entities, connection -> {
            try (PreparedStatement update = connection.prepareStatement(OPEN)) {
                update.setObject(1, now.atOffset(ZoneOffset.UTC));
                update.setArray(2, connection.createArrayOf("bigint", dueIds.toArray()));
                return update.executeUpdate();
            }
        });
    }

    /** For a transaction in which entities were read and none was changed. */
    void forgetRead() {
        entities.clear();
    }

    private Optional<Due> read(String statement, long dueId) {
        List<?> found = entities.createNativeQuery(statement).setParameter("id", dueId).getResultList();
        return found.stream().findFirst().map(row -> due((Object[]) row));
    }

    private static Due due(Object[] row) {
        CheckDue due = new CheckDue(Rows.day(row[5]), Rows.instant(row[6]), Rows.instant(row[7]), Rows.instant(row[8]), (Boolean) row[9]);
        Optional<CheckLife.Seen> latest = row[12] == null ? Optional.empty()
                : Optional.of(new CheckLife.Seen(Answer.valueOf((String) row[12]), Rows.instant(row[13])));
        return new Due(Rows.number(row[0]), id(row[1]), Rows.number(row[2]), Rows.number(row[3]), CheckKind.valueOf((String) row[4]),
                new CheckLife(due, CheckState.valueOf((String) row[11]), latest), Optional.ofNullable(row[10]).map(Rows::instant), row[14] != null,
                Rows.number(row[15]), Rows.number(row[16]) > 0, (int) Rows.number(row[17]), (Boolean) row[18], (Boolean) row[19]);
    }

    /** Stores what became of it; it has opened by then. @return its new version */
    long store(Due due, CheckLife next, Instant now) {
        entities.createNativeQuery(STORE).setParameter("id", due.id()).setParameter("now", now).setParameter("state", next.state().name())
                .setParameter("answer", next.latest().map(seen -> seen.answer().name()).orElse(null))
                .setParameter("at", next.latest().map(CheckLife.Seen::at).orElse(null)).executeUpdate();
        return due.version() + 1;
    }

    OptionalLong lampPlan(long cabinetId) {
        List<?> found = entities.createNativeQuery(LAMP_PLAN).setParameter("cabinet", cabinetId).getResultList();
        return found.isEmpty() ? OptionalLong.empty() : OptionalLong.of(Rows.number(found.get(0)));
    }

    /** How many looks at this site are open that were asked for because a sensor was silent. {@code since}: a day before now. */
    long extraOpen(long siteId, LocalDate since) {
        return Rows.number(entities.createNativeQuery(EXTRA_OPEN).setParameter("site", siteId).setParameter("since", since).getSingleResult());
    }

    /** Whether somebody is being asked to look at the lamp of this cabinet. {@code since}: a day before now. */
    boolean isLampAskedFor(long cabinetId, LocalDate since, Instant now) {
        return Rows.number(entities.createNativeQuery(LAMP_IS_ASKED_FOR).setParameter("cabinet", cabinetId).setParameter("since", since)
                .setParameter("now", now).getSingleResult()) > 0;
    }

    /** A look beside those of the plan; not opened yet. */
    Due addExtra(long planId, long siteId, long cabinetId, LocalDate day, Instant opens, Instant closes) {
        long id = Rows.number(entities.createNativeQuery(NEXT_DUE).getSingleResult());
        long before = Rows.number(entities.createNativeQuery(EXTRAS_OF_DAY).setParameter("plan", planId).setParameter("day", day).getSingleResult());
        entities.createNativeQuery(ADD_EXTRA).setParameter("id", id).setParameter("plan", planId).setParameter("site", siteId)
                .setParameter("cabinet", cabinetId).setParameter("day", day).setParameter("opens", opens).setParameter("closes", closes)
                .setParameter("missed", closes).setParameter("extra", before + 1).executeUpdate();
        return lock(id).orElseThrow();
    }

    /** A look that somebody takes at the label, by no plan; to be stored with what they say. */
    Due addFromLabel(long siteId, long cabinetId, LocalDate day, Instant opens, Instant closes) {
        long id = Rows.number(entities.createNativeQuery(NEXT_DUE).getSingleResult());
        entities.createNativeQuery(ADD_FROM_LABEL).setParameter("id", id).setParameter("site", siteId).setParameter("cabinet", cabinetId).setParameter("day", day)
                .setParameter("opens", opens).setParameter("closes", closes).executeUpdate();
        return lock(id).orElseThrow();
    }

    /** What this person said at that label last, with nothing due. {@code day}: that of {@code since} at the site. */
    Optional<Due> fromLabelBy(long cabinetId, long personId, LocalDate day, Instant since) {
        Object newest = entities.createNativeQuery(FROM_LABEL_BY).setParameter("cabinet", cabinetId).setParameter("day", day).setParameter("since", since)
                .setParameter("person", personId).getSingleResult();
        return newest == null ? Optional.empty() : lock(Rows.number(newest));
    }

    void withdraw(Due due, Instant now) {
        entities.createNativeQuery(WITHDRAW).setParameter("id", due.id()).setParameter("now", now).executeUpdate();
    }

    /**
     * @param note        in the words of whoever looked
     * @param atCabinet   with the code of the label
     * @param phoneAnswer what their phone calls it, where it was kept there
     * @return its id
     */
    long add(Due due, OptionalLong personId, Answer answer, LookTime time, boolean isCounted, OptionalLong correctsId, Optional<String> note, Reading reading,
            boolean atCabinet, Optional<UUID> phoneAnswer) {
        long id = Rows.number(entities.createNativeQuery(NEXT_RECORD).getSingleResult());
        entities.createNativeQuery(ADD_RECORD).setParameter("id", id).setParameter("due", due.id()).setParameter("site", due.siteId())
                .setParameter("cabinet", due.cabinetId()).setParameter("person", orNull(personId)).setParameter("answer", answer.name())
                .setParameter("lookedAt", time.at()).setParameter("receivedAt", time.receivedAt())
                .setParameter("wrongBy", time.clockWrongBy().map(Duration::toMillis).orElse(null)).setParameter("counted", isCounted)
                .setParameter("corrects", orNull(correctsId)).setParameter("note", note.orElse(null)).setParameter("reading", reading.name())
                .setParameter("atCabinet", atCabinet).setParameter("phoneAnswer", phoneAnswer.map(UUID::toString).orElse(null)).executeUpdate();
        return id;
    }

    /** For the caller to know that there is none yet. */
    void addPhoto(Due due, long recordId, Photo photo, Instant now) {
        entities.createNativeQuery(ADD_PHOTO).setParameter("record", recordId).setParameter("cabinet", due.cabinetId()).setParameter("picture", photo.jpeg())
                .setParameter("sha256", photo.sha256()).setParameter("now", now).executeUpdate();
    }

    boolean hasPhoto(long recordId) {
        return Rows.number(entities.createNativeQuery(HAS_PHOTO).setParameter("record", recordId).getSingleResult()) > 0;
    }

    /** What a phone had kept, as it was recorded. */
    record Kept(long recordId, long dueId, LookTime time, boolean isCounted) {
    }

    /** What this person's phone has sent by this id before. For the caller to hold the site's lock. */
    Optional<Kept> kept(long personId, UUID phoneAnswer) {
        List<?> found = entities.createNativeQuery(KEPT).setParameter("person", personId).setParameter("id", phoneAnswer.toString()).getResultList();
        return found.stream().findFirst().map(it -> {
            Object[] row = (Object[]) it;
            Optional<Duration> wrongBy = Optional.ofNullable(row[4]).map(ms -> Duration.ofMillis(Rows.number(ms)));
            return new Kept(Rows.number(row[0]), Rows.number(row[1]), new LookTime(Rows.instant(row[2]), Rows.instant(row[3]), wrongBy), (Boolean) row[5]);
        });
    }

    /** A look that is planned and has not opened. */
    record Ahead(long id, long planId, Instant opens, boolean isBySomebodyElse) {
    }

    /** Those of these days, both included, at the sites of this person, whoever will be asked; the earliest first, a thousand at most. */
    List<Ahead> ahead(long personId, LocalDate from, LocalDate to) {
        return entities.createNativeQuery(AHEAD).setParameter("person", personId).setParameter("from", from).setParameter("to", to).getResultList().stream()
                .map(it -> {
                    Object[] row = (Object[]) it;
                    return new Ahead(Rows.number(row[0]), Rows.number(row[1]), Rows.instant(row[2]), (Boolean) row[3]);
                }).toList();
    }

    boolean isAsked(Due due, long personId) {
        return Rows.number(entities.createNativeQuery(IS_ASKED).setParameter("due", due.id()).setParameter("person", personId).getSingleResult()) > 0;
    }

    /** In the order in which they were received. */
    List<Said> said(long dueId) {
        List<Said> said = new ArrayList<>();
        for (Object found : entities.createNativeQuery(RECORDS).setParameter("due", dueId).getResultList()) {
            Object[] row = (Object[]) found;
            said.add(new Said(Rows.number(row[0]), id(row[1]), Answer.valueOf((String) row[2]), Rows.instant(row[3]), Rows.instant(row[4]), id(row[5]),
                    Optional.ofNullable((String) row[6]), (Boolean) row[7], (Boolean) row[8], Optional.ofNullable((String) row[9])));
        }
        return said;
    }

    /** A code was typed that does not stand on the label: counted, and nothing else changes. */
    void wrongCode(Due due) {
        entities.createNativeQuery(WRONG_CODE).setParameter("id", due.id()).executeUpdate();
    }

    /** That somebody was asked. */
    record Asked(long dueId, long personId, boolean isReachable) {
    }

    void asked(List<Asked> all, Instant now) {
        if (all.isEmpty()) {
            return;
        }
        SqlWork.on(entities, connection -> {
            try (PreparedStatement insert = connection.prepareStatement(ADD_ASKED)) {
                insert.setObject(1, now.atOffset(ZoneOffset.UTC));
                insert.setArray(2, connection.createArrayOf("bigint", all.stream().map(Asked::dueId).toArray()));
                insert.setArray(3, connection.createArrayOf("bigint", all.stream().map(Asked::personId).toArray()));
                insert.setArray(4, connection.createArrayOf("boolean", all.stream().map(Asked::isReachable).toArray()));
                return insert.executeUpdate();
            }
        });
    }

    /** Whether a look of another kind at the same cabinet is still missing. */
    boolean isAnotherKindMissed(Due due) {
        return !entities.createNativeQuery(OTHERS_MISSED).setParameter("cabinet", due.cabinetId()).setParameter("kind", due.kind().name()).getResultList()
                .isEmpty();
    }

    /** Their notes and their photos. */
    void forgetWordsOf(long personId) {
        entities.createNativeQuery(FORGET_NOTES).setParameter("person", personId).executeUpdate();
        entities.createNativeQuery(FORGET_PHOTOS).setParameter("person", personId).executeUpdate();
    }

    private static @Nullable Long orNull(OptionalLong id) {
        return id.isPresent() ? id.getAsLong() : null;
    }

    private static OptionalLong id(@Nullable Object value) {
        return value == null ? OptionalLong.empty() : OptionalLong.of(Rows.number(value));
    }
}
