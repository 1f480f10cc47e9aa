package org.lampkeeper.message;

import java.security.SecureRandom;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.ProofTable.ProofRow;
import org.lampkeeper.register.By;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;

/**
 * How somebody shows that a channel reaches them: a message by that channel alone, with a link, and a press on the page behind it. Each
 * method is one transaction and bears a repeat.
 */
@ApplicationScoped
@Transactional
public class Proofs {

    /** Ours: enough for all channels of one person in one sitting, too few to trouble a stranger whose number somebody entered. */
    static final int MOST_AN_HOUR = 5;
    private static final Duration HOUR = Duration.ofHours(1);

    /** Ours: who was away for some days still shows that it got there. */
    private static final Duration ANSWERED_WITHIN = Duration.ofDays(7);

    /** Ours: a message that leaves later than this says nothing about the hour that was chosen. */
    private static final Duration OF_THAT_NIGHT = Duration.ofHours(1);

    /** Ours: often enough to be done at some time, seldom enough to be read. */
    private static final Duration REMINDED_AGAIN_AFTER = Duration.ofDays(30);

    /** Ours: enough for whoever mishears, too few to guess six digits. */
    private static final int MOST_WRONG = 5;

    private static final SecureRandom RANDOM = new SecureRandom();

    private static final String FAILURE = "proofs could not be read or changed";

    private final Database database;
    private final PersonChannels channels;
    private final Channels kinds;
    private final People people;
    private final Outbox outbox;
    private final LinkTokens tokens;
    private final Journal journal;
    private final MessageConfig config;
    private final Event<ProofPlanned> planned;
    private final Clock clock;

    Proofs(Database database, PersonChannels channels, Channels kinds, People people, Outbox outbox, LinkTokens tokens, Journal journal,
            MessageConfig config, Event<ProofPlanned> planned, Clock clock) {
        this.database = database;
        this.channels = channels;
        this.kinds = kinds;
        this.people = people;
        this.outbox = outbox;
        this.tokens = tokens;
        this.journal = journal;
        this.config = config;
        this.planned = planned;
        this.clock = clock;
    }

    /**
     * A message that asks whether it arrived.
     *
     * @param sentAt     empty while its night has not come
     * @param answeredAt when it was answered like that
     */
    public record Proof(PersonChannel channel, boolean isAtNight, Instant dueAt, Optional<Instant> sentAt, Optional<ProofAnswer> answer,
            Optional<Instant> answeredAt) {
    }

    /** What became of asking for a proof. */
    public sealed interface Asked {

        /** @param at when it leaves: now, or in the night */
        record Done(Instant at) implements Asked {
        }

        /** @param again when it may be asked for again */
        record TooMany(Instant again) implements Asked {
        }

        /** There is no such channel, or its kind is not set up here. */
        record NotThere() implements Asked {
        }
    }

    /** What is behind a link. */
    public sealed interface Behind {

        record Open(Proof proof) implements Behind {
        }

        /** Its time is over, or the channel is not there any more or has another address. */
        record Over() implements Behind {
        }

        record NotOurs() implements Behind {
        }
    }

    private <T> T on(Database.Work<T> work) {
        return database.get(FAILURE, work);
    }

    private void run(Database.Step step) {
        database.run(FAILURE, step);
    }

    /** Those of a person that wait for their night or for an answer, the earliest first. */
    public List<Proof> open(long personId) {
        Instant now = clock.instant();
        return on(connection -> ProofTable.ofPerson(connection, personId)).stream()
                .filter(row -> row.answer().isEmpty() && now.isBefore(row.endsAt()))
                .flatMap(row -> channels.find(personId, row.channelId()).map(channel -> proof(row, channel)).stream()).toList();
    }

    private static Proof proof(ProofRow row, PersonChannel channel) {
        return new Proof(channel, row.isAtNight(), row.dueAt(), row.sentAt(), row.answer(), row.answeredAt());
    }

    /** Sends one at once. */
    public Asked now(long personId, long channelId, By by) {
        Optional<PersonChannel> channel = usable(personId, channelId);
        if (channel.isEmpty()) {
            return new Asked.NotThere();
        }
        Instant now = by.at();
        Optional<Asked> tooMany = tooMany(channel.get(), now);
        if (tooMany.isPresent()) {
            return tooMany.get();
        }
        send(add(channel.get(), false, by.personId(), now, now), channel.get(), now);
        return new Asked.Done(now);
    }

    /** Sends one when that time of day comes next in that zone, in place of one that was planned before. */
    public Asked tonight(long personId, long channelId, LocalTime at, ZoneId zone, By by) {
        Optional<PersonChannel> channel = usable(personId, channelId);
        if (channel.isEmpty()) {
            return new Asked.NotThere();
        }
        Instant due = next(at, zone, by.at());
        on(connection -> ProofTable.dropUnsent(connection, channelId));
        ProofRow row = add(channel.get(), true, by.personId(), due, by.at());
        journal.append(entry("channel-proof-planned", channel.get(), by).with("until", due));
        planned.fire(new ProofPlanned(row.id(), due));
        return new Asked.Done(due);
    }

    /** Takes back what was planned. */
    public void notTonight(long personId, long channelId, By by) {
        channels.find(personId, channelId).filter(it -> on(connection -> ProofTable.dropUnsent(connection, channelId)) > 0)
                .ifPresent(channel -> journal.append(entry("channel-proof-withdrawn", channel, by)));
    }

    /** The next such time of day after {@code now}; where the clocks skip it, it is as much later. */
    static Instant next(LocalTime at, ZoneId zone, Instant now) {
        ZonedDateTime here = now.atZone(zone);
        Instant today = ZonedDateTime.of(here.toLocalDate(), at, zone).toInstant();
        return today.isAfter(now) ? today : ZonedDateTime.of(here.toLocalDate().plusDays(1), at, zone).toInstant();
    }

    /** The night of a proof has come. One that was taken back is not there; one that nobody sent in its hour would show nothing of the night. */
    public void due(long proofId, Instant now) {
        Optional<ProofRow> row = on(connection -> ProofTable.find(connection, proofId)).filter(it -> it.sentAt().isEmpty());
        Optional<PersonChannel> channel = row.flatMap(it -> on(connection -> PersonChannelTable.find(connection, it.channelId())));
        if (channel.isEmpty()) {
            return;
        }
        if (now.isAfter(row.get().dueAt().plus(OF_THAT_NIGHT))) {
            on(connection -> ProofTable.dropUnsent(connection, channel.get().id()));
            journal.append(entry("channel-proof-missed", channel.get(), By.nobody(now)));
        } else {
            send(row.get(), channel.get(), now);
        }
    }

    /**
     * For the mail with an invitation, which reaches its person by that address as a proof does: what its link says besides. Empty where the
     * address is no channel of theirs.
     */
    public Optional<String> withInvitation(long personId, String mail, Instant endsAt, By by) {
        return channels.of(personId).stream().filter(it -> it.kind().equals(MailByChannel.KIND) && it.address().equals(mail)).findFirst().map(channel -> {
            ProofRow row = on(connection -> ProofTable.add(connection, channel.id(), false, by.personId(), by.at(), endsAt, newCode()));
            on(connection -> ProofTable.sent(connection, row.id(), by.at()));
            return tokens.issueForProof(row.id(), personId, endsAt);
        });
    }

    /** Opening a link changes nothing. */
    public Behind behind(String token) {
        LinkReading reading = tokens.readForProof(token, clock.instant());
        if (reading instanceof LinkReading.Valid link) {
            return on(connection -> ProofTable.find(connection, link.subjectId()))
                    .<Behind>flatMap(row -> channels.find(link.personId(), row.channelId()).map(channel -> new Behind.Open(proof(row, channel))))
                    .orElseGet(Behind.Over::new);
        }
        return reading instanceof LinkReading.Expired ? new Behind.Over() : new Behind.NotOurs();
    }

    /**
     * Records what a person says who came by the link; the same answer again records nothing new.
     *
     * @param answer of the night for a proof at night, of the day otherwise
     */
    public Behind answer(String token, ProofAnswer answer) {
        Instant now = clock.instant();
        if (!(tokens.readForProof(token, now) instanceof LinkReading.Valid link)) {
            return behind(token);
        }
        channels.lock(link.personId());
        Behind found = behind(token);
        if (found instanceof Behind.Open open && !open.proof().answer().equals(Optional.of(answer))) {
            if (open.proof().isAtNight() != answer.isOfTheNight()) {
                throw new IllegalArgumentException(answer + " is no answer to what was asked");
            }
            recorded(link.subjectId(), open.proof().channel(), answer, By.person(link.personId(), now));
            return behind(token);
        }
        return found;
    }

    private void recorded(long proofId, PersonChannel channel, ProofAnswer answer, By by) {
        run(connection -> ProofTable.answered(connection, proofId, answer, by.at()));
        channels.proven(channel, answer, by);
    }

    /**
     * Records what a person says who cannot open a link, such as after a call, and types in what they heard instead.
     *
     * @param code   as typed; only its digits count
     * @param answer of the night for a proof at night, of the day otherwise
     * @return whether it is the code of such a proof of this channel that waits for an answer; after some wrong ones, none is
     */
    public boolean answerByCode(long personId, long channelId, String code, ProofAnswer answer, By by) {
        Optional<PersonChannel> channel = usable(personId, channelId);
        String digits = code.replaceAll("\\D", "");
        List<ProofRow> waiting = channel.isEmpty() ? List.of() : on(connection -> ProofTable.ofPerson(connection, personId)).stream()
                .filter(row -> row.channelId() == channelId && row.sentAt().isPresent() && row.answer().isEmpty() && by.at().isBefore(row.endsAt())
                        && row.isAtNight() == answer.isOfTheNight() && row.wrong() < MOST_WRONG).toList();
        Optional<ProofRow> meant = waiting.stream().filter(row -> row.code().equals(digits)).findFirst();
        if (meant.isPresent()) {
            recorded(meant.get().id(), channel.orElseThrow(), answer, by);
            return true;
        }
        run(connection -> {
            for (ProofRow row : waiting) {
                ProofTable.wrong(connection, row.id());
            }
        });
        return false;
    }

    private static String newCode() {
        return String.format(Locale.ROOT, "%06d", RANDOM.nextInt(1_000_000));
    }

    /**
     * The proof that was given at that time is old, unless a newer one was given: its person is told, once a month whatever is old by then.
     *
     * @param provenAt of the proof that this is about
     * @return when to come again; empty for never
     */
    public Optional<Instant> old(long channelId, Instant provenAt, Instant now) {
        Optional<PersonChannel> found = on(connection -> PersonChannelTable.find(connection, channelId));
        if (found.isEmpty() || !found.get().provenAt().map(Instant::toEpochMilli).equals(Optional.of(provenAt.toEpochMilli()))) {
            return Optional.empty();
        }
        Instant end = found.get().provenAt().get().plus(config.proofLife());
        if (now.isBefore(end)) {
            return Optional.of(end);
        }
        long personId = found.get().personId();
        List<PersonChannel> all = channels.of(personId);
        Optional<Instant> again = all.stream().flatMap(it -> it.remindedAt().stream()).max(Instant::compareTo).map(at -> at.plus(REMINDED_AGAIN_AFTER))
                .filter(now::isBefore);
        if (again.isPresent()) {
            return again;
        }
        List<PersonChannel> old = all.stream().filter(it -> it.provenAt().isPresent() && !Route.isProven(it, config.proofLife(), now)).toList();
        Contact person = people.contact(personId);
        Letter letter = ProofLetter.reminder(person.name(), old.stream().map(it -> kinds.label(it.kind())).toList(),
                config.address("me/channels"));
        outbox.tell(message(Purpose.NOTICE, personId, letter, ProofLetter.reminderBriefly(config.address("me/channels")), now));
        run(connection -> PersonChannelTable.reminded(connection, personId, now.minus(config.proofLife()), now));
        journal.append(Entry.of(now, "channel-proof-old").with("person", person.reference()));
        return Optional.of(now.plus(REMINDED_AGAIN_AFTER));
    }

    private Optional<PersonChannel> usable(long personId, long channelId) {
        channels.lock(personId);
        return channels.usable(personId).stream().filter(it -> it.id() == channelId).findFirst();
    }

    private Optional<Asked> tooMany(PersonChannel channel, Instant now) {
        List<Instant> recent = on(connection -> ProofTable.recent(connection, channel.personId(), channel.address(), now.minus(HOUR)));
        return recent.size() < MOST_AN_HOUR ? Optional.empty()
                : Optional.of(new Asked.TooMany(recent.get(recent.size() - MOST_AN_HOUR).plus(HOUR)));
    }

    private ProofRow add(PersonChannel channel, boolean isAtNight, OptionalLong askedBy, Instant due, Instant now) {
        return on(connection -> {
            ProofTable.dropOver(connection, channel.id(), now);
            return ProofTable.add(connection, channel.id(), isAtNight, askedBy, due, due.plus(ANSWERED_WITHIN), newCode());
        });
    }

    private void send(ProofRow row, PersonChannel channel, Instant now) {
        on(connection -> ProofTable.sent(connection, row.id(), now));
        Contact person = people.contact(channel.personId());
        Optional<String> asker = row.askedBy().isPresent() && row.askedBy().getAsLong() != person.personId() && people.isKnown(row.askedBy().getAsLong())
                ? Optional.of(people.contact(row.askedBy().getAsLong()).name()) : Optional.empty();
        String link = config.address("p/" + tokens.issueForProof(row.id(), person.personId(), row.endsAt()));
        outbox.putBy(channel, message(Purpose.PROOF, person.personId(), ProofLetter.asking(person.name(), asker, row.isAtNight(), link, row.code()),
                ProofLetter.askingBriefly(row.isAtNight(), link), now));
        journal.append(entry("channel-proof-sent", channel, new By(row.askedBy(), now)));
    }

    private static NewMessage message(Purpose purpose, long personId, Letter letter, String brief, Instant now) {
        return new NewMessage(purpose, OptionalLong.empty(), OptionalLong.empty(), personId, "", letter.subject(), letter.body(), Optional.of(brief), now);
    }

    private Entry entry(String kind, PersonChannel channel, By by) {
        return channels.entry(kind, people.contact(channel.personId()), channel.kind(), by);
    }
}
