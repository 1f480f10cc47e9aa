package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.UUID;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckDue;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.check.LookTime;
import org.lampkeeper.message.LinkReading;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.watch.CheckBook.Due;
import org.lampkeeper.watch.CheckBook.Said;
import org.lampkeeper.watch.Suppressions.Hold;

/** Where people say what they saw. Each verb is one transaction; what it answers is durable. */
@ApplicationScoped
public class CheckDesk {

    /** The width of the column. */
    public static final int LONGEST_NOTE = 500;

    private final CheckBook book;
    private final CheckKeeper keeper;
    private final LinkTokens tokens;
    private final SiteWatches sites;
    private final Register register;
    private final People people;
    private final AdviceBook advice;
    private final AlarmDesk alarms;
    private final Suppressions suppressions;
    private final Clock clock;

    CheckDesk(CheckBook book, CheckKeeper keeper, LinkTokens tokens, SiteWatches sites, Register register, People people, AdviceBook advice, AlarmDesk alarms,
            Suppressions suppressions, Clock clock) {
        this.book = book;
        this.keeper = keeper;
        this.tokens = tokens;
        this.sites = sites;
        this.register = register;
        this.people = people;
        this.advice = advice;
        this.alarms = alarms;
        this.suppressions = suppressions;
        this.clock = clock;
    }

    /** What is behind a link. */
    public sealed interface Behind {

        record Open(Look look) implements Behind {
        }

        /** Its time is over, its cabinet is not there any more, or its person. */
        record Over() implements Behind {
        }

        record NotOurs() implements Behind {
        }
    }

    /**
     * A look that one person is asked to take.
     *
     * @param answers of this person, the oldest first; what was tapped wrong is among them
     * @param others  whether somebody else has said something
     * @param pressedUntil until when a loss is expected, since the test button is pressed
     * @param advice  where to look, and the cautions: for whoever saw the lamp out
     */
    public record Look(Contact person, CabinetSheet cabinet, CheckKind kind, CheckDue due, CheckState state, List<Given> answers, boolean others,
            Optional<Instant> pressedUntil, Advice advice) {
        public Look {
            answers = List.copyOf(answers);
        }
    }

    /** @param isWrong what came after it was told to be right instead */
    public record Given(Answer answer, Instant at, Optional<String> note, boolean isWrong) {
    }

    /**
     * What a phone kept while there was no signal.
     *
     * @param id       made on the phone
     * @param lookedAt by the phone's clock
     */
    public record Earlier(UUID id, long lookId, Answer answer, Optional<String> note, Instant lookedAt) {
    }

    /** What became of it. */
    public enum Taken {
        RECORDED,
        /** It was recorded before, by this id. */
        REPEATED,
        /** This person is not asked for that look, or there is no such look. */
        NOT_ASKED,
        /** Nobody is asked for it any more: its cabinet or its plan is gone. */
        OVER,
        /** That cannot be said of what is looked at. */
        NO_ANSWER
    }

    /** Reads, and changes nothing: mail scanners and previews open links. */
    @Transactional
    public Behind behind(String token) {
        Instant now = clock.instant();
        LinkReading reading = tokens.readForLook(token, now);
        if (reading instanceof LinkReading.Valid link) {
            return book.find(link.subjectId()).flatMap(due -> look(due, link.personId(), now)).map(look -> (Behind) new Behind.Open(look))
                    .orElseGet(Behind.Over::new);
        }
        return reading instanceof LinkReading.Expired ? new Behind.Over() : new Behind.NotOurs();
    }

    /** Records what somebody saw just now; the same once more changes nothing, something else is told to be right instead. */
    @Transactional
    public Behind say(String token, Answer answer, Optional<String> note) {
        Instant now = clock.instant();
        if (tokens.readForLook(token, now) instanceof LinkReading.Valid link) {
            OptionalLong site = book.siteOf(link.subjectId());
            site.ifPresent(sites::lock);
            book.lock(link.subjectId()).filter(due -> look(due, link.personId(), now).isPresent())
                    .ifPresent(due -> say(due, people.contact(link.personId()), answer, note, now));
        }
        return behind(token);
    }

    /**
     * Records what somebody saw earlier, as their phone tells now; the same id once more changes nothing.
     *
     * @param sentAt by the phone's clock, at the moment of sending: by it a wrong clock is noticed
     */
    @Transactional
    public Taken sayEarlier(long personId, Earlier earlier, Instant sentAt) {
        Instant now = clock.instant();
        OptionalLong site = book.siteOf(earlier.lookId());
        if (site.isEmpty()) {
            return Taken.NOT_ASKED;
        }
        // Of the same answer sent twice at once, the second waits here.
        sites.lock(site.getAsLong());
        Due due = book.lock(earlier.lookId()).orElseThrow();
        if (book.isTaken(personId, earlier.id())) {
            return Taken.REPEATED;
        }
        if (!book.isAsked(due, personId)) {
            return Taken.NOT_ASKED;
        }
        if (look(due, personId, now).isEmpty()) {
            return Taken.OVER;
        }
        if (!due.kind().takes(earlier.answer())) {
            return Taken.NO_ANSWER;
        }
        LookTime time = LookTime.of(earlier.lookedAt(), sentAt, now);
        List<Said> own = ofPerson(due, personId);
        // What was seen before that puts nothing right; what says the same is another look, not a wrong tap.
        Optional<Said> before = own.stream().reduce((first, second) -> second)
                .filter(said -> !said.lookedAt().isAfter(time.at()) && said.answer() != earlier.answer());
        keeper.said(due, register.sheet(due.cabinetId()), people.contact(personId), earlier.answer(), time, before, earlier.note(), Optional.of(earlier.id()));
        return Taken.RECORDED;
    }

    private void say(Due due, Contact person, Answer answer, Optional<String> note, Instant now) {
        List<Said> own = ofPerson(due, person.personId());
        Optional<Said> before = own.isEmpty() ? Optional.empty() : Optional.of(own.get(own.size() - 1));
        boolean isRepeat = before.filter(said -> said.answer() == answer && (note.isEmpty() || said.note().equals(note))).isPresent();
        if (!isRepeat) {
            keeper.said(due, register.sheet(due.cabinetId()), person, answer, LookTime.now(now), before, note, Optional.empty());
        }
    }

    /**
     * Whoever presses the test button now says so first: for two minutes a loss is expected, after that it counts. Once more while that
     * lasts changes nothing.
     */
    @Transactional
    public Behind press(String token) {
        Instant now = clock.instant();
        if (behind(token) instanceof Behind.Open open && open.look().kind() == CheckKind.TEST_BUTTON && open.look().pressedUntil().isEmpty()) {
            CabinetSheet cabinet = open.look().cabinet();
            alarms.suppress(SuppressionKind.TEST_PRESS, cabinet.site().id(), OptionalLong.empty(), OptionalLong.of(cabinet.cabinetId()), now.plus(AlarmDesk.TEST_PRESS),
                    "the test button is pressed", OptionalLong.of(open.look().person().personId()));
        }
        return behind(token);
    }

    private Optional<Instant> pressedUntil(Due due, Instant now) {
        return suppressions.activeFor(AlarmKind.SUPPLY_LOST, due.siteId(), OptionalLong.of(due.cabinetId()), now)
                .filter(hold -> hold.kind() == SuppressionKind.TEST_PRESS).map(Hold::until);
    }

    private Optional<Look> look(Due due, long personId, Instant now) {
        if (due.isWithdrawn() || !people.isKnown(personId)) {
            return Optional.empty();
        }
        return register.findSheet(due.cabinetId()).map(cabinet -> {
            List<Said> own = ofPerson(due, personId);
            AlarmKind about = advice.reading(due.cabinetId(), now) == Reading.HEALTHY ? AlarmKind.SENSOR_AND_LAMP_DIFFER : AlarmKind.LAMP_OUT;
            return new Look(people.contact(personId), cabinet, due.kind(), due.life().due(), due.life().state(),
                    own.stream().map(said -> new Given(said.answer(), said.receivedAt(), said.note(), said != own.get(own.size() - 1))).toList(),
                    book.said(due.id()).size() > own.size(), pressedUntil(due, now), advice.advise(about, cabinet, register.sheetsOfSite(cabinet.site().id()), now));
        });
    }

    private List<Said> ofPerson(Due due, long personId) {
        return book.said(due.id()).stream().filter(said -> said.personId().isPresent() && said.personId().getAsLong() == personId).toList();
    }
}
