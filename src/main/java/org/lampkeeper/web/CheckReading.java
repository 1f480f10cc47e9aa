package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckDue;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.web.Reads.Row;

/** What was due, who was asked and what they said, for pages and files: two statements whatever the number. */
@ApplicationScoped
class CheckReading {

    private static final String WHAT = """
            SELECT d.id, d.site_id, d.cabinet_id, c.name AS cabinet, c.code, d.kind, d.on_day, d.opens_at, d.closes_at, d.missed_at, d.by_somebody_else, d.opened_at,
                   d.to_ask, d.state, d.extra, d.from_label, r.id AS record_id, r.person_id, p.name AS person, r.answer, r.looked_at, r.received_at, r.is_counted, r.corrects_id, r.note, r.reading,
                   r.at_cabinet, r.clock_wrong_by_ms, f.record_id AS photo_of
              FROM check_due d
              JOIN cabinet c ON c.id = d.cabinet_id
              LEFT JOIN check_record r ON r.due_id = d.id
              LEFT JOIN person p ON p.id = r.person_id AND p.salt IS NOT NULL
              LEFT JOIN check_photo f ON f.record_id = r.id AND f.picture IS NOT NULL
            """;

    /** By check_due_by_site_and_day. */
    private static final String OF_SITE = WHAT + """
             WHERE d.site_id = ? AND d.on_day >= ? AND d.on_day < ? AND d.withdrawn_at IS NULL ORDER BY d.opens_at, c.name, d.id, r.id""";

    /** By check_due_by_cabinet_and_day. */
    private static final String OF_CABINET = WHAT + """
             WHERE d.cabinet_id = ? AND d.on_day >= ? AND d.on_day < ? AND d.withdrawn_at IS NULL ORDER BY d.opens_at, d.id, r.id""";

    private static final String ASKED = """
            SELECT a.due_id, a.person_id, p.name, a.asked_at, a.is_reachable FROM check_asked a JOIN check_due d ON d.id = a.due_id JOIN person p ON p.id = a.person_id
             WHERE d.site_id = ? AND d.on_day >= ? AND d.on_day < ? ORDER BY a.asked_at, a.person_id""";

    /** What somebody was asked that is open still. By check_asked_by_person. */
    private static final String OPEN_OF_PERSON = WHAT + """
             WHERE d.state = 'OPEN' AND d.opened_at IS NOT NULL AND d.withdrawn_at IS NULL
               AND d.id IN (SELECT a.due_id FROM check_asked a WHERE a.person_id = ? AND a.asked_at > ?) ORDER BY d.closes_at, c.name, d.id, r.id""";

    /** By the primary key. */
    private static final String BY_ID = WHAT + """
             WHERE d.id = ANY (?) ORDER BY d.opens_at, c.name, d.id, r.id""";

    /** What opens next. By check_due_by_cabinet_and_day. */
    private static final String NEXT_OF_CABINET = WHAT + """
             WHERE d.cabinet_id = ? AND d.on_day >= ? AND d.state = 'OPEN' AND d.opened_at IS NULL AND d.withdrawn_at IS NULL ORDER BY d.opens_at, d.id LIMIT 1""";

    /** By the primary key; that of another cabinet is not there. */
    private static final String PHOTO = "SELECT picture FROM check_photo WHERE record_id = ? AND cabinet_id = ? AND picture IS NOT NULL";

    private final Reads reads;

    CheckReading(Reads reads) {
        this.reads = reads;
    }

    /**
     * @param isToAsk it has opened, and it was not decided yet whom to ask
     * @param isExtra it was asked for because the sensor was silent
     * @param isFromLabel nothing was due: somebody stood there, and said so of their own accord
     * @param said    in the order in which it was received
     */
    record Look(long id, long siteId, long cabinetId, String cabinet, String code, CheckKind kind, CheckDue due, Optional<Instant> openedAt, boolean isToAsk, CheckState state,
            boolean isExtra, boolean isFromLabel, List<Said> said) {
    }

    /**
     * @param personId empty where the sensor stood in
     * @param person   empty for it, and for somebody who was erased
     * @param isWrong  it was told later that it was tapped wrong
     * @param atCabinet with the code of the label
     * @param clockWrongBy how far the clock of the phone that kept it was behind (positive) or ahead (negative)
     */
    record Said(long id, OptionalLong personId, String person, Answer answer, Instant lookedAt, Instant receivedAt, boolean isCounted, boolean isWrong,
            OptionalLong corrects, String note, String reading, boolean atCabinet, Optional<Duration> clockWrongBy, boolean hasPhoto) {
    }

    /** In the order of opening. */
    List<Look> byId(List<Long> ids) {
        return ids.isEmpty() ? List.of() : looks(reads.list(BY_ID, CheckReading::line, (Object) ids.toArray(Long[]::new)));
    }

    /** A JPEG. */
    Optional<byte[]> photo(long cabinetId, long recordId) {
        return reads.first(PHOTO, row -> row.bytes("picture"), recordId, cabinetId);
    }

    record Asked(long dueId, long personId, String person, Instant at, boolean isReachable) {
    }

    /** In the order of opening; {@code until} is not included. */
    List<Look> ofSite(long siteId, LocalDate from, LocalDate until) {
        return looks(reads.list(OF_SITE, CheckReading::line, siteId, from, until));
    }

    List<Look> ofCabinet(long cabinetId, LocalDate from, LocalDate until) {
        return looks(reads.list(OF_CABINET, CheckReading::line, cabinetId, from, until));
    }

    /** @param askedSince nothing is open for longer than a day and its grace */
    List<Look> openOf(long personId, Instant askedSince) {
        return looks(reads.list(OPEN_OF_PERSON, CheckReading::line, personId, askedSince));
    }

    /** What has not opened yet, as far as it is planned. */
    Optional<Look> nextOf(long cabinetId, LocalDate from) {
        return looks(reads.list(NEXT_OF_CABINET, CheckReading::line, cabinetId, from)).stream().findFirst();
    }

    List<Asked> asked(long siteId, LocalDate from, LocalDate until) {
        return reads.list(ASKED, row -> new Asked(row.number("due_id"), row.number("person_id"), row.text("name"), row.instant("asked_at"),
                row.is("is_reachable")), siteId, from, until);
    }

    private record Line(Look look, Optional<Said> said) {
    }

    private static Line line(Row row) throws SQLException {
        CheckDue due = new CheckDue(row.date("on_day").orElseThrow(), row.instant("opens_at"), row.instant("closes_at"), row.instant("missed_at"),
                row.is("by_somebody_else"));
        Look look = new Look(row.number("id"), row.number("site_id"), row.number("cabinet_id"), row.text("cabinet"), row.text("code"),
                CheckKind.valueOf(row.text("kind")), due, row.optionalInstant("opened_at"), row.is("to_ask"), CheckState.valueOf(row.text("state")), row.number("extra") > 0,
                row.is("from_label"), List.of());
        return new Line(look, row.has("record_id") ? Optional.of(new Said(row.number("record_id"), row.optionalNumber("person_id"),
                row.optionalText("person").orElse(""), Answer.valueOf(row.text("answer")), row.instant("looked_at"), row.instant("received_at"),
                row.is("is_counted"), false, row.optionalNumber("corrects_id"), row.optionalText("note").orElse(""), row.text("reading"), row.is("at_cabinet"),
                row.has("clock_wrong_by_ms") ? Optional.of(Duration.ofMillis(row.number("clock_wrong_by_ms"))) : Optional.empty(), row.has("photo_of"))) : Optional.empty());
    }

    private static List<Look> looks(List<Line> lines) {
        Map<Long, Look> looks = new LinkedHashMap<>();
        Map<Long, List<Said>> said = new LinkedHashMap<>();
        for (Line line : lines) {
            looks.putIfAbsent(line.look().id(), line.look());
            line.said().ifPresent(one -> said.computeIfAbsent(line.look().id(), id -> new ArrayList<>()).add(one));
        }
        return looks.values().stream().map(look -> with(look, said.getOrDefault(look.id(), List.of()))).toList();
    }

    private static Look with(Look look, List<Said> said) {
        List<Said> judged = said.stream().map(one -> new Said(one.id(), one.personId(), one.person(), one.answer(), one.lookedAt(), one.receivedAt(),
                one.isCounted(), said.stream().anyMatch(other -> other.corrects().isPresent() && other.corrects().getAsLong() == one.id()), one.corrects(),
                one.note(), one.reading(), one.atCabinet(), one.clockWrongBy(), one.hasPhoto())).toList();
        return new Look(look.id(), look.siteId(), look.cabinetId(), look.cabinet(), look.code(), look.kind(), look.due(), look.openedAt(), look.isToAsk(), look.state(), look.isExtra(),
                look.isFromLabel(), judged);
    }
}
