package org.lampkeeper.watch;

import java.time.Clock;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.People;

/**
 * An answer to one message, told by the network that carried it. A network repeats what it tells, at any time: each message passes on once,
 * and what was passed on with it is not taken with it any more, since a take that comes late would stop the telling for nobody.
 */
@ApplicationScoped
public class MessageAnswers {

    private static final String LOCK = "SELECT m.message_key, m.answer FROM outgoing_message m WHERE m.id = :message FOR UPDATE";

    private static final String KEEP = "UPDATE outgoing_message SET answer = :answer WHERE id = :message";

    private static final String TAKE = "TAKE";
    private static final String PASS_ON = "PASS_ON";

    private final EntityManager entities;
    private final AlarmDesk desk;
    private final Alarms alarms;
    private final People people;
    private final Journal journal;
    private final Clock clock;

    MessageAnswers(EntityManager entities, AlarmDesk desk, Alarms alarms, People people, Journal journal, Clock clock) {
        this.entities = entities;
        this.desk = desk;
        this.alarms = alarms;
        this.people = people;
        this.journal = journal;
        this.clock = clock;
    }

    /** What came of an answer. */
    public sealed interface AnswerResult {
        /** It is this person's. */
        record Taken() implements AnswerResult {
        }

        /** The next person has been told; a repeat tells nobody again. */
        record PassedOn() implements AnswerResult {
        }

        /** Nothing came of it. {@code why}: in a sentence, for the person. */
        record Unchanged(String why) implements AnswerResult {
        }

        /** It was passed on with this message before. */
        record UsedUp() implements AnswerResult {
        }

        /** No such message, alarm or person. */
        record NotFound() implements AnswerResult {
        }
    }

    /** "I take this", by the message that told of it. */
    @Transactional
    public AnswerResult take(long messageId, long alarmId, long personId) {
        Optional<Answered> before = lock(messageId);
        if (before.isEmpty()) {
            return new AnswerResult.NotFound();
        }
        if (before.get().is(PASS_ON)) {
            return new AnswerResult.UsedUp();
        }
        AlarmDesk.TakeResult result = desk.take(alarmId, personId);
        if (result instanceof AlarmDesk.TakeResult.Yours) {
            if (!before.get().is(TAKE)) {
                keep(before.get(), alarmId, personId, TAKE);
            }
            return new AnswerResult.Taken();
        }
        if (result instanceof AlarmDesk.TakeResult.AlreadyTaken taken) {
            return new AnswerResult.Unchanged(taken.byName() + " has it already.");
        }
        return result instanceof AlarmDesk.TakeResult.NotNeeded not ? new AnswerResult.Unchanged(not.why()) : new AnswerResult.NotFound();
    }

    /** "I can't: tell the next now", by the message that told of it. */
    @Transactional
    public AnswerResult passOn(long messageId, long alarmId, long personId) {
        Optional<Answered> before = lock(messageId);
        if (before.isEmpty()) {
            return new AnswerResult.NotFound();
        }
        if (before.get().is(PASS_ON)) {
            return new AnswerResult.PassedOn();
        }
        AlarmDesk.PassResult result = desk.cannot(alarmId, personId);
        if (result instanceof AlarmDesk.PassResult.PassedOn) {
            keep(before.get(), alarmId, personId, PASS_ON);
            return new AnswerResult.PassedOn();
        }
        return result instanceof AlarmDesk.PassResult.NotNeeded not ? new AnswerResult.Unchanged(not.why()) : new AnswerResult.NotFound();
    }

    private record Answered(long messageId, String key, Optional<String> answer) {
        boolean is(String other) {
            return answer.filter(other::equals).isPresent();
        }
    }

    private Optional<Answered> lock(long messageId) {
        for (Object found : entities.createNativeQuery(LOCK).setParameter("message", messageId).getResultList()) {
            Object[] row = (Object[]) found;
            return Optional.of(new Answered(messageId, (String) row[0], Optional.ofNullable((String) row[1])));
        }
        return Optional.empty();
    }

    private void keep(Answered about, long alarmId, long personId, String answer) {
        entities.createNativeQuery(KEEP).setParameter("answer", answer).setParameter("message", about.messageId()).executeUpdate();
        journal.append(AlarmKeeper.entry(alarms.findById(alarmId), "message-answered", clock.instant()).with("message", about.key())
                .with("person", people.contact(personId).reference()).with("answer", answer));
    }
}
