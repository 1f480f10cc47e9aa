package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.UUID;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckDue;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.check.LookTime;
import org.lampkeeper.message.LinkReading;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CheckPlanSheet;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.watch.CheckBook.Ahead;
import org.lampkeeper.watch.CheckBook.Due;
import org.lampkeeper.watch.CheckBook.Kept;
import org.lampkeeper.watch.CheckBook.Said;
import org.lampkeeper.watch.Suppressions.Hold;

/** Where people say what they saw. Each verb is one transaction; what it answers is durable. */
@ApplicationScoped
public class CheckDesk {

    /** The width of the column. */
    public static final int LONGEST_NOTE = 500;

    /** Ours: whoever stands before the label has typed it right by then; a million codes are not tried so. */
    static final int MOST_WRONG_CODES = 5;

    /** Ours: a second press, or "I tapped wrong", is about the same look; after that they have looked again. */
    private static final Duration SAME_LOOK = Duration.ofMinutes(10);

    /** Ours: as long as somebody still stands there, and can say what they tapped wrong. */
    private static final Duration AT_THE_LABEL = Duration.ofHours(1);

    /** Ours: today, and the morning after it. */
    private static final Duration AHEAD = Duration.ofHours(36);

    private final CheckBook book;
    private final CheckKeeper keeper;
    private final LinkTokens tokens;
    private final SiteWatches sites;
    private final Register register;
    private final People people;
    private final AdviceBook advice;
    private final AlarmDesk alarms;
    private final Suppressions suppressions;
    private final CheckPlans plans;
    private final Labels labels;
    private final Clock clock;

    CheckDesk(CheckBook book, CheckKeeper keeper, LinkTokens tokens, SiteWatches sites, Register register, People people, AdviceBook advice, AlarmDesk alarms,
            Suppressions suppressions, CheckPlans plans, Labels labels, Clock clock) {
        this.book = book;
        this.keeper = keeper;
        this.tokens = tokens;
        this.sites = sites;
        this.register = register;
        this.people = people;
        this.advice = advice;
        this.alarms = alarms;
        this.suppressions = suppressions;
        this.plans = plans;
        this.labels = labels;
        this.clock = clock;
    }

    /** What is behind a link. */
    public sealed interface Behind {

        record Open(Look look) implements Behind {
        }

        /**
         * What was typed is not the code on the label.
         *
         * @param isRecorded somebody has to do something at once: the answer is recorded all the same, without the code
         */
        record WrongCode(Look look, boolean isRecorded) implements Behind {
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
     * @param isFromLabel nothing was due: they stood there, and said so of their own accord
     * @param isCodeAsked the code on the label makes it a look at the cabinet; without it the answer is taken all the same
     * @param parts   the dated parts of what the cabinet holds, by the day until which they are good, where their dates are looked at; else none
     * @param pressedUntil until when a loss is expected, since the test button is pressed
     * @param advice  where to look, and the cautions: for whoever saw the lamp out, nobody else
     */
    public record Look(Contact person, CabinetSheet cabinet, CheckKind kind, CheckDue due, boolean isFromLabel, CheckState state, List<Given> answers, boolean others,
            boolean isCodeAsked, List<DatedPart> parts, Optional<Instant> pressedUntil, Optional<Advice> advice) {
        public Look {
            answers = List.copyOf(answers);
            parts = List.copyOf(parts);
        }
    }

    /**
     * @param isWrong   what came after it was told to be right instead
     * @param atCabinet with the code of the label
     */
    public record Given(Answer answer, Instant at, Optional<String> note, boolean isWrong, boolean atCabinet, boolean hasPhoto) {
    }

    /**
     * What a phone kept while there was no signal.
     *
     * @param id       made on the phone
     * @param lookedAt by the phone's clock
     */
    public record Earlier(UUID id, long lookId, Answer answer, Optional<String> note, Instant lookedAt) {
    }

    /** What became of what a phone kept. */
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

    /**
     * @param recorded none where nothing was
     */
    public record Told(Taken taken, Optional<Recorded> recorded) {
    }

    /**
     * @param isCounted as a look in its window, that came in time
     * @param others    whether somebody else has said something, too
     * @param isLatest  nobody has looked later, as far as is known
     */
    public record Recorded(CabinetSheet cabinet, CheckKind kind, LookTime time, boolean isCounted, boolean others, boolean isLatest) {
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

    /**
     * Records what somebody saw just now; the same once more changes nothing, something else is told to be right instead.
     *
     * @param code that on the label, as it was typed; empty for none
     */
    @Transactional
    public Behind say(String token, Answer answer, Optional<String> note, String code, Optional<Photo> photo) {
        Instant now = clock.instant();
        boolean isWrong = false;
        if (tokens.readForLook(token, now) instanceof LinkReading.Valid link) {
            OptionalLong site = book.siteOf(link.subjectId());
            site.ifPresent(sites::lock);
            Optional<Due> found = book.lock(link.subjectId()).filter(due -> cabinetToLookAt(due, link.personId()).isPresent());
            if (found.isPresent()) {
                boolean isCodeGiven = answer.isLook() && !code.isBlank() && isCodeAsked(found.get());
                boolean atCabinet = isCodeGiven && labels.lookCode(found.get().cabinetId()).filter(digits(code)::equals).isPresent();
                isWrong = isCodeGiven && !atCabinet;
                if (isWrong) {
                    book.wrongCode(found.get());
                }
                // Who saw the lamp out is heard at once, whatever else they typed.
                if (!isWrong || answer.needsAPerson()) {
                    say(found.get(), people.contact(link.personId()), answer, note, LookTime.now(now), atCabinet, photo);
                }
            }
        }
        Behind behind = behind(token);
        return isWrong && behind instanceof Behind.Open open ? new Behind.WrongCode(open.look(), answer.needsAPerson()) : behind;
    }

    /** What the cabinet of a look is called; empty where it is not there any more. */
    String nameOf(long dueId) {
        return book.find(dueId).flatMap(due -> register.findSheet(due.cabinetId())).map(CabinetSheet::name).orElse("");
    }

    /**
     * Somebody who was asked to look at a lamp says what they saw by a word, as behind their link.
     *
     * @return the look as it is then; empty where it is not there any more
     */
    @Transactional
    public Optional<Look> sayByWord(long dueId, long personId, Answer answer) {
        Instant now = clock.instant();
        OptionalLong site = book.siteOf(dueId);
        site.ifPresent(sites::lock);
        Optional<Due> found = book.lock(dueId).filter(due -> cabinetToLookAt(due, personId).isPresent());
        found.ifPresent(due -> say(due, people.contact(personId), answer, Optional.empty(), LookTime.now(now), false, Optional.empty()));
        return book.find(dueId).flatMap(due -> look(due, personId, now));
    }

    /**
     * Records what somebody saw earlier, as their phone tells now; the same id once more changes nothing.
     *
     * @param sentAt by the phone's clock, at the moment of sending: by it a wrong clock is noticed
     */
    @Transactional
    public Told sayEarlier(long personId, Earlier earlier, Instant sentAt) {
        Instant now = clock.instant();
        OptionalLong site = book.siteOf(earlier.lookId());
        if (site.isEmpty()) {
            return new Told(Taken.NOT_ASKED, Optional.empty());
        }
        // Of the same answer sent twice at once, the second waits here.
        sites.lock(site.getAsLong());
        Due due = book.lock(earlier.lookId()).orElseThrow();
        Optional<Kept> before = book.kept(personId, earlier.id());
        if (before.isPresent()) {
            return new Told(Taken.REPEATED, recorded(before.get(), personId));
        }
        Optional<Taken> refused = whyNot(due, personId, earlier);
        if (refused.isPresent()) {
            return new Told(refused.get(), Optional.empty());
        }
        record(due, personId, earlier, LookTime.of(earlier.lookedAt(), sentAt, now));
        return new Told(Taken.RECORDED, book.kept(personId, earlier.id()).flatMap(it -> recorded(it, personId)));
    }

    private Optional<Taken> whyNot(Due due, long personId, Earlier earlier) {
        if (!book.isAsked(due, personId)) {
            return Optional.of(Taken.NOT_ASKED);
        }
        if (cabinetToLookAt(due, personId).isEmpty()) {
            return Optional.of(Taken.OVER);
        }
        return due.kind().takes(earlier.answer()) ? Optional.empty() : Optional.of(Taken.NO_ANSWER);
    }

    private void record(Due due, long personId, Earlier earlier, LookTime time) {
        // What was seen before that puts nothing right; what says the same is another look, not a wrong tap.
        Optional<Said> before = last(ofPerson(book.said(due.id()), personId))
                .filter(said -> !said.lookedAt().isAfter(time.at()) && said.answer() != earlier.answer());
        keeper.said(due, register.sheet(due.cabinetId()), people.contact(personId), earlier.answer(), time, before, earlier.note(), false,
                Optional.empty(), Optional.of(earlier.id()));
    }

    /**
     * Keeps the photo that belongs to what a phone has sent; the phone sends it after, so that no answer waits for it. Once more changes nothing.
     *
     * @return false where nothing was recorded by that id
     */
    @Transactional
    public boolean addPhoto(long personId, UUID phoneAnswer, Photo photo) {
        Optional<Kept> kept = book.kept(personId, phoneAnswer);
        if (kept.isEmpty()) {
            return false;
        }
        sites.lock(book.siteOf(kept.get().dueId()).orElseThrow());
        if (!book.hasPhoto(kept.get().recordId())) {
            keeper.addPhoto(book.find(kept.get().dueId()).orElseThrow(), kept.get().recordId(), people.contact(personId), photo, clock.instant());
        }
        return true;
    }

    /** Empty where its cabinet is not there any more. */
    private Optional<Recorded> recorded(Kept kept, long personId) {
        Due due = book.find(kept.dueId()).orElseThrow();
        List<Said> all = book.said(due.id());
        boolean isLatest = due.life().latest().filter(seen -> seen.at().isAfter(kept.time().at())).isEmpty();
        return register.findSheet(due.cabinetId()).map(cabinet -> new Recorded(cabinet, due.kind(), kept.time(), kept.isCounted(),
                all.size() > ofPerson(all, personId).size(), isLatest));
    }

    /** Looks of the next day and a half that are not open yet, and for which this person is going to be asked, as the rota is now. */
    @Transactional
    public List<Long> ahead(long personId) {
        Instant now = clock.instant();
        LocalDate today = LocalDate.ofInstant(now, ZoneOffset.UTC);
        // A day more on either side, for the sites are in many zones.
        List<Ahead> planned = book.ahead(personId, today.minusDays(1), today.plusDays(3)).stream().filter(it -> it.opens().isBefore(now.plus(AHEAD))).toList();
        Map<Long, CheckPlanSheet> sheets = new HashMap<>();
        record Asking(long siteId, Whom whom, Optional<Whom> whenClosed, boolean isClosed, Instant at) {
        }
        Map<Asking, Boolean> isTheirs = new HashMap<>();
        return planned.stream().filter(it -> {
            CheckPlanSheet plan = sheets.computeIfAbsent(it.planId(), id -> plans.find(id).orElseThrow());
            return isTheirs.computeIfAbsent(new Asking(plan.siteId(), plan.asked(), plan.askedWhenClosed(), it.isBySomebodyElse(), it.opens()),
                    asking -> keeper.asked(plan, it.isBySomebodyElse(), it.opens()).stream().anyMatch(person -> person.personId() == personId));
        }).map(Ahead::id).toList();
    }

    /**
     * Somebody who stands at the label of a cabinet says what they see there, with nothing due for them. It counts as any look does; what
     * others are asked for stays open.
     *
     * @param label the code in its address
     * @return the look, to which a link may lead; empty where the label does not count any more, or the person
     */
    @Transactional
    public OptionalLong sayAtLabel(String label, long personId, Answer answer, Optional<String> note) {
        if (!answer.isLook()) {
            throw new IllegalArgumentException("somebody at the label answers " + answer + ", must have seen something");
        }
        OptionalLong cabinetId = labels.cabinetOf(label);
        Optional<CabinetSheet> cabinet = cabinetId.isPresent() && people.isKnown(personId) ? register.findSheet(cabinetId.getAsLong()) : Optional.empty();
        if (cabinet.isEmpty()) {
            return OptionalLong.empty();
        }
        Instant now = clock.instant();
        SiteSheet site = cabinet.get().site();
        sites.lock(site.id());
        Instant since = now.minus(SAME_LOOK);
        Due due = book.fromLabelBy(cabinetId.getAsLong(), personId, LocalDate.ofInstant(since, site.zone()), since)
                .orElseGet(() -> book.addFromLabel(site.id(), cabinetId.getAsLong(), LocalDate.ofInstant(now, site.zone()), now, now.plus(AT_THE_LABEL)));
        say(due, people.contact(personId), answer, note, LookTime.now(now), false, Optional.empty());
        return OptionalLong.of(due.id());
    }

    private void say(Due due, Contact person, Answer answer, Optional<String> note, LookTime time, boolean atCabinet, Optional<Photo> photo) {
        Optional<Said> before = last(ofPerson(book.said(due.id()), person.personId()));
        boolean isRepeat = before.filter(said -> said.answer() == answer && (note.isEmpty() || said.note().equals(note)) && (said.atCabinet() || !atCabinet)
                && (photo.isEmpty() || said.photo().equals(photo.map(Photo::sha256)))).isPresent();
        if (!isRepeat) {
            keeper.said(due, register.sheet(due.cabinetId()), person, answer, time, before, note, atCabinet, photo, Optional.empty());
        }
    }

    /** Only where there is something to read it from, and until too many were wrong. */
    private boolean isCodeAsked(Due due) {
        return due.wrongCodes() < MOST_WRONG_CODES && due.planId().isPresent() && plans.find(due.planId().getAsLong()).filter(CheckPlanSheet::asksCode).isPresent()
                && labels.lookCode(due.cabinetId()).isPresent();
    }

    /** It is printed in two groups, and typed as it pleases. */
    private static String digits(String code) {
        return code.replaceAll("[\\s.-]", "");
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

    /** Empty where the look, its cabinet or its person is not there any more. */
    private Optional<CabinetSheet> cabinetToLookAt(Due due, long personId) {
        return due.isWithdrawn() || !people.isKnown(personId) ? Optional.empty() : register.findSheet(due.cabinetId());
    }

    private Optional<Look> look(Due due, long personId, Instant now) {
        return cabinetToLookAt(due, personId).map(cabinet -> {
            List<Said> all = book.said(due.id());
            List<Said> own = ofPerson(all, personId);
            Optional<Said> last = last(own);
            return new Look(people.contact(personId), cabinet, due.kind(), due.life().due(), due.isFromLabel(), due.life().state(),
                    own.stream().map(said -> new Given(said.answer(), said.receivedAt(), said.note(), isCorrected(said, own), said.atCabinet(),
                            said.photo().isPresent())).toList(),
                    all.size() > own.size(), isCodeAsked(due), parts(due), pressedUntil(due, now),
                    last.filter(said -> said.answer() == Answer.OUT).map(said -> whereToLook(cabinet, now)));
        });
    }

    private List<DatedPart> parts(Due due) {
        return due.kind() == CheckKind.CONTENT ? register.content(due.cabinetId()).map(ContentSheet::parts).orElse(List.of()) : List.of();
    }

    private static boolean isCorrected(Said said, List<Said> all) {
        return all.stream().anyMatch(other -> other.correctsId().isPresent() && other.correctsId().getAsLong() == said.id());
    }

    private Advice whereToLook(CabinetSheet cabinet, Instant now) {
        AlarmKind about = advice.reading(cabinet.cabinetId(), now) == Reading.HEALTHY ? AlarmKind.SENSOR_AND_LAMP_DIFFER : AlarmKind.LAMP_OUT;
        return advice.advise(about, cabinet, register.sheetsOfSite(cabinet.site().id()), now);
    }

    private static Optional<Said> last(List<Said> said) {
        return said.isEmpty() ? Optional.empty() : Optional.of(said.get(said.size() - 1));
    }

    private static List<Said> ofPerson(List<Said> all, long personId) {
        return all.stream().filter(said -> said.personId().isPresent() && said.personId().getAsLong() == personId).toList();
    }
}
