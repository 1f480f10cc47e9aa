package org.lampkeeper.web;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.time.Clock;
import java.time.Instant;
import java.time.LocalDate;
import java.time.format.DateTimeFormatter;
import java.time.temporal.ChronoUnit;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Collectors;
import java.util.stream.IntStream;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.multipart.FileUpload;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Open;
import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.LookQuestions;
import org.lampkeeper.register.Problem;
import org.lampkeeper.watch.CheckDesk;
import org.lampkeeper.watch.CheckDesk.Behind;
import org.lampkeeper.watch.CheckDesk.Given;
import org.lampkeeper.watch.CheckDesk.Look;
import org.lampkeeper.watch.Photo;
import org.lampkeeper.watch.Photo.Read;
import org.lampkeeper.web.Input.Choice;

/**
 * Is the lamp lit? The page behind the link in a message: one look, one person, an end. Opening it records nothing, for mail scanners and
 * previews open links; only its buttons do.
 */
@Path("/c/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class CheckResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    /** More than that is nobody's code; it need not come back whole. */
    private static final int MOST_OF_CODE = 40;

    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMMM uuuu", Locale.UK);
    /** Ours: time to have it ordered and fitted. */
    private static final int SOON_DAYS = 30;

    private final CheckDesk desk;
    private final LookQuestions questions;
    private final Clock clock;

    CheckResource(CheckDesk desk, LookQuestions questions, Clock clock) {
        this.desk = desk;
        this.questions = questions;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance check(CheckView view);
    }

    /**
     * @param recorded what was recorded last, with its time; empty while nothing was
     * @param before   what was said before and tapped wrong
     * @param what     where it is, and by when
     * @param again    above the answers, once something was recorded
     * @param questions to be asked at this look
     * @param parts    the dates of the content, as the register has them; none where they are not looked at
     * @param seen     which dates were shown, so that no others are said to have been seen
     * @param answers  what can be said
     * @param problem  what is wrong with the note or the ticks; empty for nothing
     * @param asksCode whether the code on the label is asked for
     * @param code     as it was typed
     * @param codeProblem what is wrong with it; empty for nothing
     * @param photoProblem what is wrong with the photo; empty for nothing
     * @param out      for whoever saw the lamp out
     * @param press    where it is said that the test button is pressed now; empty where it is no test
     * @param pressed  what was said of that; empty for nothing
     */
    record CheckView(Frame frame, String headline, String recorded, List<String> before, List<String> what, String action, String again, List<Question> questions, List<PartLine> parts, String seen, List<Choice> answers, String note,
            String problem, boolean asksCode, String code, String codeProblem, String photoProblem, Optional<LampOut> out, String press, String pressed) {
    }

    /** @param state what is to be done about it; empty for nothing */
    record PartLine(String words, String state) {
    }

    /** What was typed stays, whatever is wrong with it. */
    private record Typed(List<String> no, String note, String code) {
        static final Typed NOTHING = new Typed(List.of(), "", "");
    }

    /** What is wrong beside each of them; empty for nothing. */
    private record Wrong(String note, String code, String photo) {
        static final Wrong NOTHING = new Wrong("", "", "");

        static Wrong note(String problem) {
            return new Wrong(problem, "", "");
        }
    }

    /** {@code isNo}: it was ticked as one to be answered with no. */
    record Question(String value, String words, boolean isNo) {
    }

    /** @param phone of the electrician, as in a link */
    record LampOut(String summary, List<String> youMayLook, String electrician, String phone, List<String> cautions) {
    }

    @GET
    public Response open(@RestPath String token) {
        Behind behind = desk.behind(token);
        return behind instanceof Behind.Open open ? page(200, view(token, open.look(), Typed.NOTHING, Wrong.NOTHING)) : refused(behind);
    }

    @POST
    @Consumes({MediaType.MULTIPART_FORM_DATA, MediaType.APPLICATION_FORM_URLENCODED})
    public Response say(@RestPath String token, @RestForm @DefaultValue("") String answer, @RestForm List<String> no, @RestForm @DefaultValue("") String note,
            @RestForm @DefaultValue("") String code, @RestForm @DefaultValue("") String seen, @RestForm @Nullable FileUpload photo) {
        Typed typed = new Typed(no, note, code.length() > MOST_OF_CODE ? code.substring(0, MOST_OF_CODE) : code);
        Behind before = desk.behind(token);
        if (!(before instanceof Behind.Open asked)) {
            return refused(before);
        }
        Answer said = Arrays.stream(Answer.values()).filter(it -> it.name().equals(answer)).filter(it -> answers(asked.look()).stream()
                .anyMatch(choice -> choice.value().equals(it.name()))).findFirst().orElseThrow(BadRequestException::new);
        String words = note.strip().replaceAll("\\s+", " ");
        List<Problem> problems = words.isEmpty() ? List.of() : Problem.ofText("note", "The note", words, CheckDesk.LONGEST_NOTE);
        if (!problems.isEmpty()) {
            return page(422, view(token, asked.look(), typed, Wrong.note("Nothing was recorded yet: " + problems.get(0).text() + ".")));
        }
        List<String> answeredNo = questions(asked.look(), no).stream().filter(Question::isNo).map(Question::words).toList();
        if (said == Answer.LIT && !answeredNo.isEmpty()) {
            return page(422, view(token, asked.look(), typed, Wrong.note("Nothing was recorded yet: you ticked what is not so. Press \"Damaged or missing\", or"
                    + " take the ticks away.")));
        }
        Optional<String> problem = said == Answer.LIT ? ofDates(asked.look(), seen) : Optional.empty();
        if (problem.isPresent()) {
            return page(422, view(token, asked.look(), typed, Wrong.note(problem.get())));
        }
        Optional<Read> read = Optional.ofNullable(photo).filter(it -> it.size() > 0).map(CheckResource::read);
        if (read.isPresent() && read.get() instanceof Read.Refused refused) {
            return page(422, view(token, asked.look(), typed, new Wrong("", "", "Nothing was recorded yet. " + refused.why())));
        }
        String dates = said == Answer.LIT && !asked.look().parts().isEmpty() ? "Dates seen: " + seen(asked.look()) + ". " : "";
        Behind after = desk.say(token, said, noted(answeredNo, dates + words), typed.code(), read.map(it -> ((Read.Fine) it).photo()));
        if (after instanceof Behind.WrongCode wrong) {
            return page(422, view(token, wrong.look(), typed, new Wrong("", codeProblem(wrong), "")));
        }
        // So that reloading the page presses nothing again.
        return after instanceof Behind.Open ? Response.seeOther(URI.create("/c/" + token)).build() : refused(after);
    }

    private static Read read(FileUpload photo) {
        try {
            return Photo.read(Files.readAllBytes(photo.uploadedFile()));
        } catch (IOException e) {
            throw new UncheckedIOException("a photo that was sent could not be read from the disk", e);
        }
    }

    /** What is kept as the note: what was answered with no, and what was typed. */
    static Optional<String> noted(List<String> answeredNo, String words) {
        String noted = (answeredNo.isEmpty() ? "" : "No to: " + String.join(" ", answeredNo) + " ") + words;
        return Optional.of(noted.strip()).filter(it -> !it.isEmpty());
    }

    @POST
    @Path("press")
    public Response press(@RestPath String token) {
        Behind behind = desk.press(token);
        return behind instanceof Behind.Open ? Response.seeOther(URI.create("/c/" + token)).build() : refused(behind);
    }

    private Response refused(Behind behind) {
        return behind instanceof Behind.Over
                ? Problems.page(410, "The time for this look is over.", "If the lamp is out, or something is damaged, call whoever is on duty now.", clock)
                : Problems.page(404, "This is not a link of Lampkeeper's.", "A part of it may have been cut off: open it again from the message, or copy "
                        + "all of it. If the lamp is out, call whoever is on duty.", clock);
    }

    private static Response page(int status, CheckView view) {
        return Response.status(status).entity(Templates.check(view).render()).type(HTML).build();
    }

    /** Why nobody can say that all dates are well; empty where they can. */
    private Optional<String> ofDates(Look look, String seen) {
        LocalDate today = LocalDate.ofInstant(clock.instant(), look.cabinet().site().zone());
        if (!seen.equals(seen(look))) {
            return Optional.of("Nothing was recorded yet: the dates in the register have changed since you opened this page. Look at them again.");
        }
        return look.parts().stream().filter(part -> part.goodUntil().isBefore(today)).findFirst().map(part -> "Nothing was recorded yet: " + part.name()
                + ", good until " + DAY.format(part.goodUntil()) + " by the register, is over. Press \"Damaged or missing\"; if another date stands on it, have it entered"
                + " first.");
    }

    /** As it is noted; short, for it stands in a hidden field too. */
    private static String seen(Look look) {
        return look.parts().stream().map(part -> part.name() + " " + part.goodUntil()).collect(Collectors.joining("; "));
    }

    private List<PartLine> parts(Look look, Instant now) {
        LocalDate today = LocalDate.ofInstant(now, look.cabinet().site().zone());
        return look.parts().stream().map(part -> {
            long days = ChronoUnit.DAYS.between(today, part.goodUntil());
            String state = days < 0 ? "over: it must not be used" : days <= SOON_DAYS ? "only " + (days == 0 ? "today" : days == 1 ? "one more day" : days + " more days") : "";
            return new PartLine(part.name() + ": good until " + DAY.format(part.goodUntil()), state);
        }).toList();
    }

    private static String codeProblem(Behind.WrongCode wrong) {
        String recorded = wrong.isRecorded() ? "Your answer is recorded all the same, without the code. " : "Nothing was recorded yet. ";
        return !wrong.look().isCodeAsked() ? recorded + "That is not the code on the label either, and no code counts at this look any more." + (wrong.isRecorded() ? ""
                : " Press your answer again: it is recorded without it.")
                : recorded + "That is not the code on the label at the cabinet now: it has " + Labels.LOOK_CODE_DIGITS + " digits." + (wrong.isRecorded() ? ""
                        : " Look again, or leave it empty: your answer is then recorded without it.");
    }

    private List<Question> questions(Look look, List<String> no) {
        List<String> asked = questions.at(look.kind(), look.cabinet().content());
        return IntStream.range(0, asked.size()).mapToObj(i -> new Question("" + i, asked.get(i), no.contains("" + i))).toList();
    }

    private CheckView view(String token, Look look, Typed typed, Wrong wrong) {
        Instant now = clock.instant();
        CabinetSheet cabinet = look.cabinet();
        Frame frame = Frame.plain("A look at " + cabinet.name(), now).readBy(look.person().name());
        Optional<Given> last = look.answers().isEmpty() ? Optional.empty() : Optional.of(look.answers().get(look.answers().size() - 1));
        String by = look.isFromLabel() ? "Nothing was due for you: this is kept as a look of its own." : "By " + Sentences.clock(look.due().closes(), cabinet.site().zone(), now) + " (" + SupplyPage.zoneName(cabinet.site().zone()) + ")"
                + (now.isBefore(look.due().closes()) ? "." : ": that is over, and what you say now is recorded as late.");
        List<String> what = List.of(by, Sentences.capital(cabinet.content()) + ", label " + cabinet.code() + ": " + cabinet.place() + ".",
                "The lamp: " + cabinet.lampPlace() + ".");
        return new CheckView(frame, question(look.kind(), cabinet.name()), last.map(given -> recorded(given, look, now)).orElse(""),
                look.answers().stream().filter(Given::isWrong).map(given -> "Tapped wrong, and kept: " + words(given.answer(), look.kind()) + ", "
                        + Sentences.clock(given.at(), cabinet.site().zone(), now)).toList(),
                what, "/c/" + token, last.filter(given -> given.answer() == Answer.NOT_SEEN).isPresent() ? "When you can see it" : "I tapped wrong",
                questions(look, typed.no()), parts(look, now), seen(look), answers(look), typed.note(), wrong.note(), look.isCodeAsked(), typed.code(), wrong.code(), wrong.photo(),
                look.advice().map(advice -> lampOut(look, advice)),
                look.kind() == CheckKind.TEST_BUTTON && look.answers().isEmpty() ? "/c/" + token + "/press" : "", look.pressedUntil()
                        .map(until -> "Press the test button now. Until " + Sentences.clock(until, cabinet.site().zone(), now) + " a lost supply is expected; after that it"
                                + " is an alarm. Reset it once, and only if nothing is wet, damaged or hot.").orElse(""));
    }

    static String question(CheckKind kind, String name) {
        return switch (kind) {
            case LAMP -> "Is the lamp of " + name + " lit?";
            case CABINET -> "Is " + name + " whole, closed and complete?";
            case CONTENT -> "Is everything in " + name + " in date?";
            case TEST_BUTTON -> "Did the test button of " + name + " work, and is the lamp lit again?";
        };
    }

    /** Whoever began at the label has seen it. */
    private static List<Choice> answers(Look look) {
        return answers(look.kind()).stream().filter(choice -> !look.isFromLabel() || !choice.value().equals(Answer.NOT_SEEN.name())).toList();
    }

    /** What somebody may say at the label of a cabinet. */
    static List<Choice> atTheLabel() {
        return answers(CheckKind.LAMP).stream().filter(choice -> !choice.value().equals(Answer.NOT_SEEN.name())).toList();
    }

    static List<Choice> answers(CheckKind kind) {
        Choice notSeen = new Choice(Answer.NOT_SEEN.name(), "I could not see it");
        Choice damaged = new Choice(Answer.DAMAGED.name(), "Damaged or missing");
        return switch (kind) {
            case LAMP -> List.of(new Choice(Answer.LIT.name(), "Lit, and all looks well"), new Choice(Answer.OUT.name(), "Out"), notSeen, damaged);
            case CABINET, CONTENT -> List.of(new Choice(Answer.LIT.name(), "Yes, all is well"), notSeen, damaged);
            case TEST_BUTTON -> List.of(new Choice(Answer.LIT.name(), "Yes, and the lamp is lit again"), new Choice(Answer.OUT.name(), "The lamp stays out"),
                    notSeen, damaged);
        };
    }

    static String words(Answer answer, CheckKind kind) {
        return switch (answer) {
            case LIT -> kind == CheckKind.LAMP ? "the lamp is lit" : "all is well";
            case OUT -> "the lamp is out";
            case NOT_SEEN -> "you could not see it";
            case DAMAGED -> "something is damaged or missing";
        };
    }

    private static String recorded(Given given, Look look, Instant now) {
        String follows = switch (given.answer()) {
            case LIT -> " Thank you.";
            case OUT, DAMAGED -> " Whoever is on the call-out list is told now.";
            case NOT_SEEN -> look.state().isOver() ? "" : " You, or whoever is on then, will be asked again.";
        };
        return "Recorded " + (given.atCabinet() ? "at the cabinet " : "") + "at " + Sentences.clock(given.at(), look.cabinet().site().zone(), now) + ": " + words(given.answer(), look.kind())
                + given.note().map(note -> ". Your note: " + note).orElse("") + "." + (given.hasPhoto() ? " Your photo is kept with it." : "") + follows;
    }

    private static LampOut lampOut(Look look, Advice advice) {
        return new LampOut(advice.summary(), advice.youMayLook(), electrician(look.cabinet()), electriciansPhone(look.cabinet()), advice.cautions());
    }

    /** With the number; empty where none is known. */
    static String electrician(CabinetSheet cabinet) {
        return cabinet.site().electrician().map(it -> it.name() + it.phone().map(number -> ", " + number).orElse("")).orElse("");
    }

    /** As in a link; empty where none is known. */
    static String electriciansPhone(CabinetSheet cabinet) {
        return cabinet.site().electrician().flatMap(it -> it.phone()).map(number -> "tel:" + number.replaceAll("[^+\\d]", "")).orElse("");
    }
}
