package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.persistence.Query;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.Rows;
import org.lampkeeper.thermal.CoolDown;
import org.lampkeeper.thermal.CoolDown.Sample;
import org.lampkeeper.thermal.Learned;
import org.lampkeeper.thermal.LearnedPair;
import org.lampkeeper.thermal.TimeConstant;

/**
 * Learns how fast a cabinet cools from all the times without supply that are on record, each time that one more is over. The newest answer is kept,
 * also where it is that nothing can be said.
 */
@ApplicationScoped
public class CoolingBook {

    /** Ours: with a quarter of an hour between rows the two ends of a time without supply are in different ones. */
    static final Duration AFTER_RETURN = Duration.ofMinutes(20);

    /** Ours: a new cool-down begins after a hole of more than two quarters. */
    private static final Duration LONGEST_HOLE = Duration.ofMinutes(31);

    /** Ours: what was longer ago was another winter's seal and another content. */
    private static final int MOST_COOL_DOWNS = 40;

    /** By sensor_quarter_is_unique. Rows without supply, and the one before each of them tells where it begins. */
    private static final String WITHOUT_SUPPLY = """
            SELECT q.observed_at, q.inside_c, q.outside_c, q.content_c FROM sensor_quarter q
             WHERE q.sensor_id IN (SELECT st.sensor_id FROM sensor_status st WHERE st.cabinet_id = :cabinet)
               AND q.reading = 'LOST' AND q.inside_c IS NOT NULL AND q.outside_c IS NOT NULL
             ORDER BY q.observed_at""";

    private static final String FORGET = "DELETE FROM learned_cooling WHERE cabinet_id = :cabinet";

    private static final String KEEP = """
            INSERT INTO learned_cooling (cabinet_id, learned_at, cool_downs, used, early_s, likely_s, late_s, doubt, left_out)
            VALUES (:cabinet, :at, :all, :used, CAST(:early AS DOUBLE PRECISION), CAST(:likely AS DOUBLE PRECISION), CAST(:late AS DOUBLE PRECISION),
                    CAST(:doubt AS VARCHAR), :leftOut)""";

    private static final String KNOWN = """
            SELECT learned_at, cool_downs, used, early_s, likely_s, late_s, doubt, left_out FROM learned_cooling WHERE cabinet_id = :cabinet""";

    private static final List<String> ANSWER = List.of("early", "likely", "late", "doubt");

    private static final List<String> ANSWER_OF_A_PAIR = List.of("outerEarly", "outerLikely", "outerLate", "airByContent", "contentByAir", "slowestEarly",
            "slowestLikely", "slowestLate", "doubt");

    private static final String FORGET_PAIR = "DELETE FROM learned_pair WHERE cabinet_id = :cabinet";

    private static final String KEEP_PAIR = """
            INSERT INTO learned_pair (cabinet_id, learned_at, cool_downs, used, outer_early_s, outer_likely_s, outer_late_s, air_by_content_s, content_by_air_s,
                                      slowest_early_s, slowest_likely_s, slowest_late_s, doubt, left_out)
            VALUES (:cabinet, :at, :all, :used, CAST(:outerEarly AS DOUBLE PRECISION), CAST(:outerLikely AS DOUBLE PRECISION), CAST(:outerLate AS DOUBLE PRECISION),
                    CAST(:airByContent AS DOUBLE PRECISION), CAST(:contentByAir AS DOUBLE PRECISION), CAST(:slowestEarly AS DOUBLE PRECISION),
                    CAST(:slowestLikely AS DOUBLE PRECISION), CAST(:slowestLate AS DOUBLE PRECISION), CAST(:doubt AS VARCHAR), :leftOut)""";

    private static final String KNOWN_PAIR = """
            SELECT learned_at, cool_downs, used, slowest_early_s, slowest_likely_s, slowest_late_s, content_by_air_s, doubt FROM learned_pair
             WHERE cabinet_id = :cabinet""";

    private final EntityManager entities;
    private final Journal journal;

    CoolingBook(EntityManager entities, Journal journal) {
        this.entities = entities;
        this.journal = journal;
    }

    /**
     * What was learnt last.
     *
     * @param all   cool-downs on record
     * @param used  those that it rests on
     * @param range the shortest, the likely and the longest; empty where it was refused
     * @param doubt why it was refused
     */
    public record LastLearned(Instant at, int all, int used, Optional<Range> range, Optional<Learned.Doubt> doubt) {

        /** Of a time constant. */
        public record Range(Duration early, Duration likely, Duration late) {
        }

        /** "time constant 2 h 40 min (2 h 20 min to 3 h 1 min, 95 %), from 3 of 4 times without supply, 27 Nov 04:10". */
        public String words(ZoneId zone, Instant now) {
            String when = ", as of " + Sentences.clock(at, zone, now);
            return range.map(it -> "time constant " + Sentences.ago(it.likely()) + " (" + Sentences.ago(it.early()) + " to " + Sentences.ago(it.late())
                    + ", 95 %), from " + used + " of " + all + " times without supply" + when)
                    .orElseGet(() -> "not learnt yet: " + reason(doubt.orElseThrow()) + ", of " + all + (all == 1 ? " time" : " times") + " without supply" + when);
        }
    }

    /**
     * What was learnt last of air and content as two bodies.
     *
     * @param range  in which both cool once the beginning has faded; empty where it was refused
     * @param behind how slowly the content follows the air around it
     * @param doubt  why it was refused
     */
    public record LastPair(Instant at, int all, int used, Optional<LastLearned.Range> range, Optional<Duration> behind, Optional<Learned.Doubt> doubt) {

        /** "time constant 3 h 2 min (…, 95 %), the content 40 min behind the air, from 3 of 4 times without supply, 27 Nov 04:10". */
        public String words(ZoneId zone, Instant now) {
            String when = ", as of " + Sentences.clock(at, zone, now);
            return range.map(it -> "time constant " + Sentences.ago(it.likely()) + " (" + Sentences.ago(it.early()) + " to " + Sentences.ago(it.late())
                    + ", 95 %), the content " + Sentences.ago(behind.orElseThrow()) + " behind the air, from " + used + " of " + all + " times without supply" + when)
                    .orElseGet(() -> "not learnt yet, so reckoned as one with the air: " + reason(doubt.orElseThrow()) + ", of " + all
                            + (all == 1 ? " time" : " times") + " without supply" + when);
        }
    }

    static String reason(Learned.Doubt doubt) {
        return switch (doubt) {
            case TOO_FEW_COOL_DOWNS -> "two cool-downs are the least";
            case TOO_FEW_READINGS -> "too few readings";
            case TOO_SHORT -> "too short";
            case TOO_LITTLE_FALL -> "it fell by too little";
            case TOO_NEAR_THE_OUTSIDE -> "it was hardly warmer than outside";
            case BENT -> "a door was opened, or the content was taken out meanwhile";
            case UNLIKE_THE_OTHERS -> "no two of them are alike";
            case TOO_UNCERTAIN -> "the readings leave too much open";
            case NOTHING_FITS -> "nothing fits the readings";
        };
    }

    @Transactional
    public Optional<LastLearned> ofCabinet(long cabinetId) {
        List<?> rows = entities.createNativeQuery(KNOWN).setParameter("cabinet", cabinetId).getResultList();
        return rows.stream().findFirst().map(found -> {
            Object[] row = (Object[]) found;
            return new LastLearned(Rows.instant(row[0]), (int) Rows.number(row[1]), (int) Rows.number(row[2]),
                    row[4] == null ? Optional.empty() : Optional.of(new LastLearned.Range(seconds(row[3]), seconds(row[4]), seconds(row[5]))),
                    Optional.ofNullable((String) row[6]).map(Learned.Doubt::valueOf));
        });
    }

    /** Empty where the content was never measured without supply. */
    @Transactional
    public Optional<LastPair> pairOfCabinet(long cabinetId) {
        List<?> rows = entities.createNativeQuery(KNOWN_PAIR).setParameter("cabinet", cabinetId).getResultList();
        return rows.stream().findFirst().map(found -> {
            Object[] row = (Object[]) found;
            return new LastPair(Rows.instant(row[0]), (int) Rows.number(row[1]), (int) Rows.number(row[2]),
                    row[4] == null ? Optional.empty() : Optional.of(new LastLearned.Range(seconds(row[3]), seconds(row[4]), seconds(row[5]))),
                    Optional.ofNullable(row[6]).map(CoolingBook::seconds), Optional.ofNullable((String) row[7]).map(Learned.Doubt::valueOf));
        });
    }

    /** Called in the transaction of the deadline that says that one more time without supply is over; two at a time come to the same row. */
    void learn(long siteId, long cabinetId, Instant now) {
        List<CoolDown> record = coolDowns(cabinetId);
        if (record.isEmpty()) {
            return;
        }
        Learned learned = Learned.from(record);
        entities.createNativeQuery(FORGET).setParameter("cabinet", cabinetId).executeUpdate();
        Entry entry = Entry.of(now, "cooling-learned").site(siteId).cabinet(cabinetId).with("cool-downs", record.size());
        if (learned instanceof Learned.Fitted fitted) {
            keep(KEEP, cabinetId, now, record.size(), fitted.used(), fitted.leftOut(), range("", fitted.tau()));
            entry = entry.with("used", fitted.used()).with("likely-s", fitted.tau().likely().toSeconds())
                    .with("early-s", fitted.tau().early().toSeconds()).with("late-s", fitted.tau().late().toSeconds());
        } else if (learned instanceof Learned.Refused refused) {
            keep(KEEP, cabinetId, now, record.size(), 0, refused.leftOut(), Map.of("doubt", refused.reason().name()));
            entry = entry.with("used", 0).with("doubt", refused.reason().name());
        } else {
            throw new IllegalStateException("answer without a rule: " + learned);
        }
        boolean isContentMeasured = record.stream().flatMap(each -> each.samples().stream()).anyMatch(each -> each.device().isPresent());
        journal.append(isContentMeasured ? learnPair(cabinetId, record, entry, now) : entry);
    }

    private Entry learnPair(long cabinetId, List<CoolDown> record, Entry entry, Instant now) {
        LearnedPair learned = LearnedPair.from(record);
        entities.createNativeQuery(FORGET_PAIR).setParameter("cabinet", cabinetId).executeUpdate();
        if (learned instanceof LearnedPair.Fitted fitted) {
            Map<String, Object> answer = new HashMap<>(range("outer", fitted.nodes().airByOutside()));
            answer.putAll(range("slowest", fitted.slowest()));
            answer.put("airByContent", inSeconds(fitted.nodes().airByDevice()));
            answer.put("contentByAir", inSeconds(fitted.nodes().deviceByAir()));
            keep(KEEP_PAIR, cabinetId, now, record.size(), fitted.used(), fitted.leftOut(), answer);
            return entry.with("content-used", fitted.used()).with("content-likely-s", fitted.slowest().likely().toSeconds())
                    .with("content-behind-s", fitted.nodes().deviceByAir().toSeconds());
        }
        if (learned instanceof LearnedPair.Refused refused) {
            keep(KEEP_PAIR, cabinetId, now, record.size(), 0, refused.leftOut(), Map.of("doubt", refused.reason().name()));
            return entry.with("content-used", 0).with("content-doubt", refused.reason().name());
        }
        throw new IllegalStateException("answer without a rule: " + learned);
    }

    private static Map<String, Object> range(String of, TimeConstant tau) {
        return Map.of(of.isEmpty() ? "early" : of + "Early", inSeconds(tau.early()), of.isEmpty() ? "likely" : of + "Likely", inSeconds(tau.likely()),
                of.isEmpty() ? "late" : of + "Late", inSeconds(tau.late()));
    }

    /** {@code answer}: by parameter of the statement; those that are not in it are stored as empty. */
    private void keep(String statement, long cabinetId, Instant now, int all, int used, Map<Learned.Doubt, Integer> leftOut, Map<String, Object> answer) {
        String left = leftOut.entrySet().stream().sorted(Map.Entry.comparingByKey()).map(each -> each.getKey() + " " + each.getValue())
                .collect(Collectors.joining(", "));
        Query query = entities.createNativeQuery(statement).setParameter("cabinet", cabinetId).setParameter("at", now).setParameter("all", all)
                .setParameter("used", used).setParameter("leftOut", left);
        (statement.equals(KEEP) ? ANSWER : ANSWER_OF_A_PAIR).forEach(name -> query.setParameter(name, answer.get(name)));
        query.executeUpdate();
    }

    /** The newest of them, each from its first row without supply to its last. */
    List<CoolDown> coolDowns(long cabinetId) {
        List<List<Sample>> runs = new ArrayList<>();
        for (Object found : entities.createNativeQuery(WITHOUT_SUPPLY).setParameter("cabinet", cabinetId).getResultList()) {
            Object[] row = (Object[]) found;
            Sample sample = new Sample(Rows.instant(row[0]), new Celsius(((Number) row[1]).doubleValue()), new Celsius(((Number) row[2]).doubleValue()),
                    Optional.ofNullable(row[3]).map(it -> new Celsius(((Number) it).doubleValue())));
            List<Sample> last = runs.isEmpty() ? List.of() : runs.get(runs.size() - 1);
            if (last.isEmpty() || last.get(last.size() - 1).at().plus(LONGEST_HOLE).isBefore(sample.at())) {
                runs.add(new ArrayList<>());
            }
            runs.get(runs.size() - 1).add(sample);
        }
        return runs.stream().skip(Math.max(0, runs.size() - MOST_COOL_DOWNS)).map(CoolDown::new).toList();
    }

    private static Duration seconds(Object value) {
        return Duration.ofMillis(Math.round(((Number) value).doubleValue() * 1000));
    }

    private static double inSeconds(Duration duration) {
        return duration.toMillis() / 1000.0;
    }
}
