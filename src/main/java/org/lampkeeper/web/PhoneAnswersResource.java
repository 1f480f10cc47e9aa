package org.lampkeeper.web;

import java.io.IOException;
import java.io.InputStream;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.UUID;
import java.util.stream.Stream;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import org.jboss.resteasy.reactive.RestQuery;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Known;
import org.lampkeeper.alarm.WhereToLook;
import org.lampkeeper.check.Answer;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.LookQuestions;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.watch.CheckDesk;
import org.lampkeeper.watch.CheckDesk.Earlier;
import org.lampkeeper.watch.CheckDesk.Taken;
import org.lampkeeper.watch.CheckDesk.Told;
import org.lampkeeper.watch.Photo;
import org.lampkeeper.watch.Photo.Read;
import org.lampkeeper.web.CheckReading.Look;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.Refused.FieldError;
import org.lampkeeper.web.api.StrictJson;

/** What an enrolled phone fetches ahead, and sends once there is a signal. Who asks is said by the phone's cookie alone. */
@Path("/phone")
@Open
@Produces(MediaType.APPLICATION_JSON)
class PhoneAnswersResource {

    /** Ours: of some days without a signal; the phone sends the rest in a next turn. */
    static final int MOST_AT_ONCE = 50;

    /** Ours: a clock that has lost its time begins in 1970; what is later than this is no clock's. */
    private static final Instant LAST_TIME = Instant.parse("2200-01-01T00:00:00Z");

    /** Of the longest window, with the longest grace. */
    private static final Duration ASKED_WITHIN = Duration.ofDays(2);

    /** Ours: more than one person looks at in a day and a half; the phone keeps those that open first. */
    private static final int MOST_AHEAD = 200;

    /** As many as can be asked of any cabinet and of what it holds, each with room for a question of any length that was shown. */
    private static final int MOST_NO = 16;
    private static final int LONGEST_QUESTION = 120;

    private final Phones phones;
    private final PhoneCookie cookie;
    private final CheckReading reading;
    private final CheckDesk desk;
    private final Register register;
    private final LookQuestions questions;
    private final StrictJson json;
    private final CurrentVertxRequest current;
    private final Clock clock;

    PhoneAnswersResource(Phones phones, PhoneCookie cookie, CheckReading reading, CheckDesk desk, Register register, LookQuestions questions, StrictJson json,
            CurrentVertxRequest current, Clock clock) {
        this.phones = phones;
        this.cookie = cookie;
        this.reading = reading;
        this.desk = desk;
        this.register = register;
        this.questions = questions;
        this.json = json;
        this.current = current;
        this.clock = clock;
    }

    /**
     * @param person whose phone it is
     * @param now    by the server's clock
     */
    record Ahead(long person, String name, Instant now, List<AheadLook> looks) {
    }

    /**
     * @param opens     before that nobody is asked
     * @param closes    after that a look is late
     * @param questions to be answered with no where that is so, which then goes with "damaged or missing"
     * @param out       for whoever sees the lamp out
     */
    record AheadLook(long id, String cabinet, String question, List<String> what, List<Choice> answers, List<String> questions, Instant opens, Instant closes,
            WhenOut out) {
    }

    /** @param electrician with the telephone number; empty where none is known */
    record WhenOut(String electrician, String phone, List<String> cautions) {
    }

    /** @param sentAt by the phone's clock, at the moment of sending */
    record Sending(Instant sentAt, List<Sent> answers) {
    }

    /**
     * @param id       made on the phone: however often it is sent, it counts once
     * @param person   whose phone it was when it was said
     * @param no       the questions that were answered with no, as they were shown
     * @param lookedAt by the phone's clock
     */
    record Sent(UUID id, long person, long look, Answer answer, Optional<String> note, Optional<List<String>> no, Instant lookedAt) {
    }

    record Result(Instant receivedAt, List<Taking> answers) {
    }

    /**
     * @param isTaken whether it is recorded, now or before; what is not stays on the phone until somebody has read why
     * @param words   what became of it
     */
    record Taking(UUID id, boolean isTaken, String words) {
    }

    /** An answer that was checked. */
    private record Checked(long person, Earlier earlier) {
    }

    @GET
    @Path("ahead")
    public Response ahead() {
        Known known = known();
        Instant now = clock.instant();
        List<AheadLook> looks = Stream.concat(reading.openOf(known.personId(), now.minus(ASKED_WITHIN)).stream(),
                reading.byId(desk.ahead(known.personId())).stream()).limit(MOST_AHEAD)
                .flatMap(look -> register.findSheet(look.cabinetId()).map(cabinet -> ahead(look, cabinet, now)).stream()).toList();
        return Response.ok(json.write(new Ahead(known.personId(), known.name(), now, looks))).build();
    }

    private AheadLook ahead(Look look, CabinetSheet cabinet, Instant now) {
        return new AheadLook(look.id(), cabinet.name(), CheckResource.question(look.kind(), cabinet.name()), KeptWords.what(look, cabinet, now),
                CheckResource.answers(look.kind()), questions.at(look.kind(), cabinet.content()), look.due().opens(), look.due().closes(),
                new WhenOut(CheckResource.electrician(cabinet), CheckResource.electriciansPhone(cabinet), WhereToLook.cautions(cabinet.content())));
    }

    /** Each answer is taken by itself: one that cannot be taken holds up no other. */
    @POST
    @Path("answers")
    @Consumes(MediaType.APPLICATION_JSON)
    public Response answers(InputStream body) {
        Known known = known();
        Sending sending = json.read(body, Sending.class).value();
        refuseUnless(isTime(sending.sentAt()), "sentAt", "must be the time of sending by the phone's clock, of the years 1970 to 2199");
        refuseUnless(sending.answers() != null && !sending.answers().isEmpty() && sending.answers().size() <= MOST_AT_ONCE, "answers",
                "must have 1 to " + MOST_AT_ONCE + " of them");
        List<Checked> all = new ArrayList<>();
        for (int i = 0; i < sending.answers().size(); i++) {
            all.add(checked(sending.answers().get(i), "answers/" + i));
        }
        List<Taking> taken = all.stream().map(one -> one.person() == known.personId() ? take(one.earlier(), known, sending.sentAt())
                : new Taking(one.earlier().id(), false, KeptWords.ofSomebodyElse(known.name()))).toList();
        return Response.ok(json.write(new Result(clock.instant(), taken))).build();
    }

    /**
     * The photo that belongs to an answer, after it: no answer waits for a photo.
     *
     * @param answer the id by which the phone has sent it
     */
    @POST
    @Path("photos")
    @Consumes({"image/jpeg", "image/png"})
    public Response photo(@RestQuery @Nullable UUID answer, InputStream body) throws IOException {
        Known known = known();
        refuseUnless(answer != null, "answer", "is missing, must be the id of an answer that was sent before");
        Read read = Photo.read(body.readNBytes(Photo.MOST_BYTES_SENT + 1));
        if (read instanceof Read.Refused refused) {
            return Response.ok(json.write(new Taking(answer, false, "Its photo is not recorded. " + refused.why()))).build();
        }
        boolean isTaken = desk.addPhoto(known.personId(), answer, ((Read.Fine) read).photo());
        return Response.ok(json.write(new Taking(answer, isTaken, isTaken ? "The photo is recorded with it."
                : "Its photo is not recorded: what it belongs to was not said by " + known.name() + "."))).build();
    }

    private Taking take(Earlier earlier, Known known, Instant sentAt) {
        Told told = desk.sayEarlier(known.personId(), earlier, sentAt);
        return new Taking(earlier.id(), told.recorded().isPresent() || told.taken() == Taken.REPEATED, KeptWords.told(told, earlier.answer(), clock.instant()));
    }

    private static Checked checked(Sent sent, String place) {
        refuseUnless(sent != null, place, "is null, must be an answer");
        refuseUnless(sent.id() != null, place + "/id", "is missing, must be a UUID of the phone's own");
        refuseUnless(sent.person() > 0, place + "/person", "is missing, must be whose phone it was");
        refuseUnless(sent.answer() != null, place + "/answer", "is missing, must be LIT, OUT, NOT_SEEN or DAMAGED");
        refuseUnless(isTime(sent.lookedAt()), place + "/lookedAt", "must be the time of looking by the phone's clock, of the years 1970 to 2199");
        Optional<String> note = sent.note().map(PhoneAnswersResource::oneLine).filter(text -> !text.isEmpty());
        note.map(text -> Problem.ofText("note", "The note", text, CheckDesk.LONGEST_NOTE)).filter(problems -> !problems.isEmpty())
                .ifPresent(problems -> refuseUnless(false, place + "/note", problems.get(0).text()));
        List<String> no = sent.no().orElse(List.of()).stream().map(text -> text == null ? "" : oneLine(text)).toList();
        refuseUnless(no.size() <= MOST_NO && no.stream().allMatch(text -> !text.isEmpty() && text.length() <= LONGEST_QUESTION), place + "/no",
                "must have at most " + MOST_NO + " questions of 1 to " + LONGEST_QUESTION + " characters");
        refuseUnless(no.isEmpty() || sent.answer() != Answer.LIT, place + "/no", "must be empty where all is well");
        return new Checked(sent.person(), new Earlier(sent.id(), sent.look(), sent.answer(), CheckResource.noted(no, note.orElse("")), sent.lookedAt()));
    }

    /** Without what cannot be seen: a phone could not put it right any more, and it must not hold up the answer. */
    private static String oneLine(String text) {
        return text.replaceAll("[\\p{Cf}\\p{Co}\\p{Cn}\\p{Cs}]", "").replaceAll("[\\s\\p{Cntrl}]+", " ").strip();
    }

    private static boolean isTime(@Nullable Instant time) {
        return time != null && !time.isBefore(Instant.EPOCH) && time.isBefore(LAST_TIME);
    }

    private Known known() {
        return cookie.read(current.getCurrent().request()).flatMap(phones::find).orElseThrow(() -> new Refused(ProblemType.NOT_SIGNED_IN,
                "This phone is not enrolled, or not any more. What it keeps stays on it until it is enrolled again."
                        + " If a lamp is out, or something is damaged, call whoever is on duty."));
    }

    private static void refuseUnless(boolean isFine, String place, String why) {
        if (!isFine) {
            throw new Refused(ProblemType.INVALID, "#/" + place + ": " + why + ".", List.of(new FieldError("#/" + place, why)));
        }
    }
}
