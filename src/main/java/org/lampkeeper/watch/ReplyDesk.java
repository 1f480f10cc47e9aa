package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.message.LookWord;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.message.Replies;
import org.lampkeeper.message.ReplyWord;
import org.lampkeeper.register.Rows;

/**
 * What people send back to a message: taken in like a press on the page behind its link, and answered by the same channel, all in one
 * transaction. A number that nobody has is never answered; nobody is answered without end, for what sends may be a machine.
 */
@ApplicationScoped
class ReplyDesk implements Replies {

    /** Ours: a network that has not heard our answer repeats within minutes. */
    private static final Duration SAME_ANSWER = Duration.ofMinutes(10);
    private static final Duration PER = Duration.ofHours(1);
    /** Ours, an hour and number: whoever is not understood three times reads the link instead. */
    private static final int MOST_ANSWERS = 10;
    private static final int MOST_QUESTIONS = 3;
    /** Ours: more would be a message of several parts. */
    private static final int MOST_NAMED = 4;

    /** By person_channel_by_address. */
    private static final String OWNERS = """
            SELECT c.id, c.person_id, c.address, p.reference FROM person_channel c JOIN person p ON p.id = c.person_id
             WHERE c.address IN (:senders) AND c.kind = :channel ORDER BY c.id""";

    /** By outgoing_message_by_address: what was told to this number, the newest first. */
    private static final String TOLD_TO = """
            SELECT m.person_id, m.call_out_id, c.ended_at, MAX(m.id) FROM outgoing_message m JOIN call_out c ON c.id = m.call_out_id
             WHERE m.address = :address AND m.created_at > :since
             GROUP BY m.person_id, m.call_out_id, c.ended_at ORDER BY MAX(m.id) DESC""";

    /** By alarm_by_call_out_and_state. One that needs somebody speaks for the others, and one of the whole site for those. */
    private static final String ABOUT = """
            SELECT a.id, s.name AS site, s.zone, b.name AS cabinet,
                   (SELECT COUNT(*) FROM alarm o WHERE o.call_out_id = a.call_out_id AND o.closed_at IS NULL) AS open
              FROM alarm a LEFT JOIN site s ON s.id = a.site_id LEFT JOIN cabinet b ON b.id = a.cabinet_id
             WHERE a.call_out_id = :callOut
             ORDER BY CASE WHEN a.state = 'UNACKNOWLEDGED' THEN 0 WHEN a.closed_at IS NULL THEN 1 ELSE 2 END,
                      CASE WHEN a.cabinet_id IS NULL THEN 0 ELSE 1 END, a.id LIMIT 1""";

    /** By outgoing_message_by_call_out: who was told first after this person had passed it on. */
    private static final String TOLD_AFTER = """
            SELECT p.name, m.created_at, MIN(m.id) FROM outgoing_message m JOIN person p ON p.id = m.person_id
             WHERE m.call_out_id = :callOut AND m.purpose = 'ALARM' AND m.person_id <> :person
               AND m.telling > (SELECT t.passed_on FROM call_out_told t WHERE t.call_out_id = :callOut AND t.person_id = :person)
             GROUP BY p.name, m.created_at ORDER BY MIN(m.id)""";

    /** By outgoing_message_by_address. */
    private static final String ANSWERS = """
            SELECT m.brief, m.created_at FROM outgoing_message m WHERE m.address = :address AND m.created_at > :since AND m.purpose = 'ANSWER'""";

    /**
     * By check_asked_by_person: of which lamps this person was asked lately, the newest first, as long as their links are good: a day after
     * each was missed.
     */
    private static final String ASKED_OF = """
            SELECT d.id, d.state, MAX(a.asked_at) FROM check_asked a JOIN check_due d ON d.id = a.due_id
             WHERE a.person_id = :person AND a.asked_at > :since AND d.kind = 'LAMP' AND d.withdrawn_at IS NULL AND d.missed_at > :missedAfter
             GROUP BY d.id, d.state ORDER BY MAX(a.asked_at) DESC, d.id DESC""";

    private static final Duration ASKED_WITHIN = Duration.ofDays(3);

    private final EntityManager entities;
    private final AlarmDesk desk;
    private final CheckDesk looks;
    private final Outbox outbox;
    private final RefusedReports refused;
    private final WatchConfig config;
    private final Clock clock;

    ReplyDesk(EntityManager entities, AlarmDesk desk, CheckDesk looks, Outbox outbox, RefusedReports refused, WatchConfig config, Clock clock) {
        this.entities = entities;
        this.desk = desk;
        this.looks = looks;
        this.outbox = outbox;
        this.refused = refused;
        this.config = config;
        this.clock = clock;
    }

    /** Whose number it is; several people may share one. */
    private record Owner(long channelId, long personId, String address, String reference) {
    }

    private record Told(Owner owner, long callOutId, boolean isOpen) {
        String code() {
            return ReplyWord.code(owner.reference(), callOutId);
        }
    }

    /** What a call-out is about. {@code alarmId}: one that stands for it. */
    private record About(long alarmId, String where, ZoneId zone) {
    }

    /** @param isQuestion whether it asks for another word instead of saying what was done */
    private record Answer(String text, Owner to, Optional<Told> about, boolean isQuestion) {
    }

    @Override
    @Transactional
    public void heard(String channel, List<String> senders, Optional<String> text) {
        Instant now = clock.instant();
        List<Owner> owners = owners(channel, senders);
        if (owners.isEmpty()) {
            refused.noteReply(channel + " " + senders.stream().findFirst().map(ReplyDesk::masked).orElse("without a number"), "reply-of-nobody",
                    "The number belongs to no channel of a person here.", text.orElse(""), now);
            return;
        }
        if (text.isEmpty()) {
            refused.noteReply(channel + " " + masked(owners.get(0).address()), "reply-without-text", "It was no text that can be read.", "", now);
        }
        List<Told> told = told(owners, now);
        Optional<ReplyWord> word = text.flatMap(ReplyWord::in);
        Optional<Told> meant = word.flatMap(it -> meant(it, told));
        Optional<Answer> ofLook = word.isPresent() ? Optional.empty() : text.flatMap(LookWord::in).flatMap(it -> looked(it, owners, now));
        if (ofLook.isEmpty() && word.isEmpty() && told.stream().noneMatch(Told::isOpen)) {
            ofLook = Optional.of(asked(owners, now)).filter(asked -> asked.stream().anyMatch(AskedOf::isOpen))
                    .map(asked -> new Answer(whichLook(asked), asked.get(0).owner(), Optional.empty(), true));
        }
        Answer answer = ofLook.isPresent() ? ofLook.get() : meant.isPresent() ? done(word.orElseThrow().verb(), meant.get(), channel, now)
                : new Answer(question(word, told), told.isEmpty() ? owners.get(0) : told.get(0).owner(), Optional.empty(), true);
        if (mayAnswer(answer, now)) {
            OptionalLong callOut = answer.about().map(it -> OptionalLong.of(it.callOutId())).orElse(OptionalLong.empty());
            OptionalLong alarm = answer.about().map(it -> OptionalLong.of(about(it.callOutId()).alarmId())).orElse(OptionalLong.empty());
            outbox.answer(new NewMessage(Purpose.ANSWER, callOut, alarm, answer.to().personId(), answer.to().address(), answer.text(), answer.text() + "\n",
                    Optional.of(answer.text()), now), channel, answer.to().channelId());
        }
    }

    private List<Owner> owners(String channel, List<String> senders) {
        if (senders.isEmpty()) {
            return List.of();
        }
        List<Owner> all = rows(entities.createNativeQuery(OWNERS).setParameter("senders", senders).setParameter("channel", channel).getResultList())
                .map(row -> new Owner(Rows.number(row[0]), Rows.number(row[1]), (String) row[2], (String) row[3])).toList();
        // A national number may be another's international one: the likelier reading counts alone.
        return senders.stream().map(sender -> all.stream().filter(it -> it.address().equals(sender)).toList()).filter(it -> !it.isEmpty()).findFirst()
                .orElse(List.of());
    }

    /** As long as the links in the same messages are good. */
    private List<Told> told(List<Owner> owners, Instant now) {
        List<Told> told = new ArrayList<>();
        rows(entities.createNativeQuery(TOLD_TO).setParameter("address", owners.get(0).address()).setParameter("since", now.minus(config.linkLife()))
                .getResultList()).forEach(row -> owners.stream().filter(it -> it.personId() == Rows.number(row[0])).findFirst()
                        .ifPresent(owner -> told.add(new Told(owner, Rows.number(row[1]), row[2] == null))));
        return told;
    }

    /** The one that the word is about; empty where it is none, or might be either of two. */
    private static Optional<Told> meant(ReplyWord word, List<Told> told) {
        List<Told> named = told.stream().filter(it -> word.code().isEmpty() ? it.isOpen() : word.code().get().equals(it.code())).toList();
        List<Told> open = named.stream().filter(Told::isOpen).toList();
        List<Told> chosen = open.isEmpty() ? named : open;
        return chosen.stream().map(Told::callOutId).distinct().count() == 1 ? chosen.stream().findFirst() : Optional.empty();
    }

    /** A look that a number was asked to take. */
    private record AskedOf(Owner owner, long dueId, boolean isOpen) {
    }

    /** Empty where no lamp was asked about: then it is a word like any other. */
    private Optional<Answer> looked(LookWord word, List<Owner> owners, Instant now) {
        List<AskedOf> asked = asked(owners, now);
        if (asked.isEmpty()) {
            return Optional.empty();
        }
        List<AskedOf> named = asked.stream()
                .filter(it -> word.code().isEmpty() ? it.isOpen() : word.code().get().equals(ReplyWord.code(it.owner().reference(), it.dueId()))).toList();
        List<AskedOf> open = named.stream().filter(AskedOf::isOpen).toList();
        List<AskedOf> chosen = open.isEmpty() ? named : open;
        if (chosen.stream().map(AskedOf::dueId).distinct().count() == 1) {
            AskedOf one = chosen.get(0);
            return looks.sayByWord(one.dueId(), one.owner().personId(), answer(word.verb()))
                    .map(look -> new Answer(recorded(look, now), one.owner(), Optional.empty(), false));
        }
        return Optional.of(new Answer(whichLook(asked), asked.get(0).owner(), Optional.empty(), true));
    }

    private List<AskedOf> asked(List<Owner> owners, Instant now) {
        return owners.stream().flatMap(owner -> rows(entities.createNativeQuery(ASKED_OF).setParameter("person", owner.personId())
                .setParameter("since", now.minus(ASKED_WITHIN)).setParameter("missedAfter", now.minus(CheckKeeper.LINK_AFTER_MISSED)).getResultList())
                .map(row -> new AskedOf(owner, Rows.number(row[0]), row[1].equals(CheckState.OPEN.name())))).toList();
    }

    private static org.lampkeeper.check.Answer answer(LookWord.Verb verb) {
        return switch (verb) {
            case LIT -> org.lampkeeper.check.Answer.LIT;
            case OUT -> org.lampkeeper.check.Answer.OUT;
            case UNSEEN -> org.lampkeeper.check.Answer.NOT_SEEN;
            case DAMAGED -> org.lampkeeper.check.Answer.DAMAGED;
        };
    }

    private static String recorded(CheckDesk.Look look, Instant now) {
        CheckDesk.Given last = look.answers().get(look.answers().size() - 1);
        String at = "Recorded at " + Sentences.clock(last.at(), look.cabinet().site().zone(), now) + ": ";
        String name = look.cabinet().name();
        return at + switch (last.answer()) {
            case LIT -> "the lamp of " + name + " is lit.";
            case OUT -> "the lamp of " + name + " is out. Whoever is on the call-out list is told now. What you may look at stands behind the link; everything else is for"
                    + " an electrician only.";
            case NOT_SEEN -> "you could not see " + name + ".";
            case DAMAGED -> "something at " + name + " is damaged or missing. Whoever is on the call-out list is told now. Do not touch what is wet, open or damaged.";
        };
    }

    private String whichLook(List<AskedOf> asked) {
        List<AskedOf> open = asked.stream().filter(AskedOf::isOpen).toList();
        String ways = open.stream().limit(MOST_NAMED).map(it -> LookWord.both(ReplyWord.code(it.owner().reference(), it.dueId())) + " for "
                + looks.nameOf(it.dueId())).collect(Collectors.joining("; "));
        return open.isEmpty() ? "No look that this number was asked for is open: there is nothing to say." : "Which lamp? Send " + ways
                + (open.size() > MOST_NAMED ? "; or open the link in the message about it." : ".");
    }

    private Answer done(ReplyWord.Verb verb, Told told, String channel, Instant now) {
        About about = about(told.callOutId());
        String text = switch (verb) {
            case TAKE -> taken(told, about, desk.take(about.alarmId(), told.owner().personId(), Optional.empty(), Optional.of(channel)), now);
            case PASS -> passedOn(told, about, desk.cannot(about.alarmId(), told.owner().personId(), Optional.of(channel)));
        };
        return new Answer(text, told.owner(), Optional.of(told), false);
    }

    private static String taken(Told told, About about, AlarmDesk.TakeResult result, Instant now) {
        if (result instanceof AlarmDesk.TakeResult.Yours) {
            return "You have taken it: " + about.where() + ". Send " + ReplyWord.Verb.PASS + told.code() + " if you cannot go after all.";
        }
        if (result instanceof AlarmDesk.TakeResult.AlreadyTaken already) {
            return "It was already taken by " + already.byName() + " at " + Sentences.clock(already.at(), about.zone(), now) + ": " + about.where() + ".";
        }
        if (result instanceof AlarmDesk.TakeResult.NotNeeded not) {
            return about.where() + ": " + not.why();
        }
        throw new IllegalStateException("person " + told.owner().personId() + " and call-out " + told.callOutId() + " are there, but: " + result);
    }

    private String passedOn(Told told, About about, AlarmDesk.PassResult result) {
        if (result instanceof AlarmDesk.PassResult.PassedOn) {
            List<Object[]> after = rows(entities.createNativeQuery(TOLD_AFTER).setParameter("callOut", told.callOutId())
                    .setParameter("person", told.owner().personId()).getResultList()).toList();
            String names = after.stream().filter(row -> row[1].equals(after.get(0)[1])).map(row -> (String) row[0]).collect(Collectors.joining(" and "));
            return names.isEmpty() ? "You have passed it on: " + about.where() + "." : "The next person is told: " + names + ". " + about.where() + ".";
        }
        if (result instanceof AlarmDesk.PassResult.NotNeeded not) {
            return about.where() + ": " + not.why();
        }
        throw new IllegalStateException("person " + told.owner().personId() + " and call-out " + told.callOutId() + " are there, but: " + result);
    }

    private String question(Optional<ReplyWord> word, List<Told> told) {
        List<Told> open = told.stream().filter(Told::isOpen).toList();
        List<Long> callOuts = open.stream().map(Told::callOutId).distinct().toList();
        if (callOuts.isEmpty()) {
            return "Nothing is open that this number was told of: there is nothing to take or to pass on.";
        }
        String ways = callOuts.stream().limit(MOST_NAMED).map(id -> open.stream().filter(it -> it.callOutId() == id).findFirst().orElseThrow())
                .map(it -> ReplyWord.both(it.code()) + " for " + about(it.callOutId()).where()).collect(Collectors.joining("; "));
        boolean isWhich = word.isPresent() && word.get().code().isEmpty();
        return (isWhich ? "Which one? Send " : "Not understood: send ") + ways
                + (callOuts.size() > MOST_NAMED ? "; or answer the newest message about it." : ".");
    }

    private About about(long callOutId) {
        Object[] row = rows(entities.createNativeQuery(ABOUT).setParameter("callOut", callOutId).getResultList()).findFirst()
                .orElseThrow(() -> new IllegalStateException("call-out " + callOutId + " is about no alarm"));
        Optional<String> site = Optional.ofNullable((String) row[1]);
        long open = Rows.number(row[4]);
        String where = open > 1 && site.isPresent() ? open + " alarms of " + site.get() : Optional.ofNullable((String) row[3]).or(() -> site).orElse("Lampkeeper");
        return new About(Rows.number(row[0]), where, Optional.ofNullable((String) row[2]).map(ZoneId::of).orElse(config.operatorZone()));
    }

    /** Not the same within minutes, which answers a repeat; not many within an hour. */
    private boolean mayAnswer(Answer answer, Instant now) {
        List<Object[]> before = rows(entities.createNativeQuery(ANSWERS).setParameter("address", answer.to().address())
                .setParameter("since", now.minus(PER)).getResultList()).toList();
        boolean isSaid = before.stream().anyMatch(row -> answer.text().equals(row[0]) && Rows.instant(row[1]).isAfter(now.minus(SAME_ANSWER)));
        return !isSaid && before.size() < (answer.isQuestion() ? MOST_QUESTIONS : MOST_ANSWERS);
    }

    private static String masked(String number) {
        return number.substring(0, Math.min(4, number.length())) + "..." + number.substring(Math.max(0, number.length() - 2));
    }

    private static Stream<Object[]> rows(List<?> found) {
        return found.stream().map(row -> (Object[]) row);
    }
}
