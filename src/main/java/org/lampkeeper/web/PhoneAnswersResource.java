package org.lampkeeper.web;

import java.io.InputStream;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.UUID;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Known;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.check.Answer;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.watch.CheckDesk;
import org.lampkeeper.watch.CheckDesk.Earlier;
import org.lampkeeper.watch.CheckDesk.Taken;
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

    private final Phones phones;
    private final PhoneCookie cookie;
    private final CheckReading reading;
    private final CheckDesk desk;
    private final Register register;
    private final StrictJson json;
    private final CurrentVertxRequest current;
    private final Clock clock;

    PhoneAnswersResource(Phones phones, PhoneCookie cookie, CheckReading reading, CheckDesk desk, Register register, StrictJson json, CurrentVertxRequest current,
            Clock clock) {
        this.phones = phones;
        this.cookie = cookie;
        this.reading = reading;
        this.desk = desk;
        this.register = register;
        this.json = json;
        this.current = current;
        this.clock = clock;
    }

    /** @param now by the server's clock */
    record Ahead(String person, Instant now, List<AheadLook> looks) {
    }

    /** @param closes after that a look is late */
    record AheadLook(long id, long cabinet, String question, List<String> what, List<Choice> answers, Instant closes) {
    }

    /** @param sentAt by the phone's clock, at the moment of sending */
    record Sending(Instant sentAt, List<Sent> answers) {
    }

    /**
     * @param id       made on the phone: however often it is sent, it counts once
     * @param lookedAt by the phone's clock
     */
    record Sent(UUID id, long look, Answer answer, Optional<String> note, Instant lookedAt) {
    }

    record Result(Instant receivedAt, List<Taking> answers) {
    }

    record Taking(UUID id, Taken taken) {
    }

    @GET
    @Path("ahead")
    public Response ahead() {
        Known known = known();
        Instant now = clock.instant();
        List<AheadLook> looks = reading.openOf(known.personId(), now.minus(ASKED_WITHIN)).stream()
                .flatMap(look -> register.findSheet(look.cabinetId()).map(cabinet -> ahead(look, cabinet, now)).stream()).toList();
        return Response.ok(json.write(new Ahead(known.name(), now, looks))).build();
    }

    private static AheadLook ahead(Look look, CabinetSheet cabinet, Instant now) {
        return new AheadLook(look.id(), look.cabinetId(), CheckResource.question(look.kind(), cabinet.name()),
                List.of("By " + Sentences.clock(look.due().closes(), cabinet.site().zone(), now) + " (" + SupplyPage.zoneName(cabinet.site().zone()) + ").",
                        "Label " + cabinet.code() + ": " + cabinet.place() + ". The lamp: " + cabinet.lampPlace() + "."),
                CheckResource.answers(look.kind()), look.due().closes());
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
        List<Earlier> earlier = new ArrayList<>();
        for (int i = 0; i < sending.answers().size(); i++) {
            earlier.add(checked(sending.answers().get(i), "answers/" + i));
        }
        List<Taking> taken = earlier.stream().map(one -> new Taking(one.id(), desk.sayEarlier(known.personId(), one, sending.sentAt()))).toList();
        return Response.ok(json.write(new Result(clock.instant(), taken))).build();
    }

    private static Earlier checked(Sent sent, String place) {
        refuseUnless(sent != null, place, "is null, must be an answer");
        refuseUnless(sent.id() != null, place + "/id", "is missing, must be a UUID of the phone's own");
        refuseUnless(sent.answer() != null, place + "/answer", "is missing, must be LIT, OUT, NOT_SEEN or DAMAGED");
        refuseUnless(isTime(sent.lookedAt()), place + "/lookedAt", "must be the time of looking by the phone's clock, of the years 1970 to 2199");
        Optional<String> note = sent.note().map(text -> text.strip().replaceAll("\\s+", " ")).filter(text -> !text.isEmpty());
        note.map(text -> Problem.ofText("note", "The note", text, CheckDesk.LONGEST_NOTE)).filter(problems -> !problems.isEmpty())
                .ifPresent(problems -> refuseUnless(false, place + "/note", problems.get(0).text()));
        return new Earlier(sent.id(), sent.look(), sent.answer(), note, sent.lookedAt());
    }

    private static boolean isTime(@Nullable Instant time) {
        return time != null && !time.isBefore(Instant.EPOCH) && time.isBefore(LAST_TIME);
    }

    private Known known() {
        return cookie.read(current.getCurrent().request()).flatMap(phones::find).orElseThrow(() -> new Refused(ProblemType.NOT_SIGNED_IN,
                "This phone is not enrolled, or not any more. What it keeps stays on it until it is enrolled again."));
    }

    private static void refuseUnless(boolean isFine, String place, String why) {
        if (!isFine) {
            throw new Refused(ProblemType.INVALID, "#/" + place + ": " + why + ".", List.of(new FieldError("#/" + place, why)));
        }
    }
}
