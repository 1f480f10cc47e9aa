package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.function.Function;

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

import org.lampkeeper.access.Open;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.message.Proofs.Behind;
import org.lampkeeper.message.Proofs.Proof;
import org.lampkeeper.register.People;
import org.lampkeeper.web.Input.Choice;

/** The page behind the link of a proof. Opening it records nothing, for mail scanners and previews open links; only its buttons do. */
@Path("/p/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class ProofResource {

    /** What can be said of a message that came in the night. */
    static final List<Choice> NIGHT = List.of(new Choice(ProofAnswer.RANG.name(), "Yes, it rang"),
            new Choice(ProofAnswer.SILENT.name(), "No, it did not ring"), new Choice(ProofAnswer.SEEN_LATER.name(), "I saw it only later"));

    private final Proofs proofs;
    private final ChannelWords words;
    private final People people;
    private final Clock clock;

    ProofResource(Proofs proofs, ChannelWords words, People people, Clock clock) {
        this.proofs = proofs;
        this.words = words;
        this.people = people;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance proof(ProofView view);
    }

    /** @param recorded what stands already; empty for nothing */
    record ProofView(Frame frame, String headline, String recorded, String action, List<Choice> answers) {
    }

    @GET
    public Response open(@RestPath String token) {
        return answered(token, proofs.behind(token), proof -> Response.ok(Templates.proof(view(token, proof)).render(),
                MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).build());
    }

    @POST
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response answer(@RestPath String token, @RestForm @DefaultValue("") String answer) {
        Optional<ProofAnswer> chosen = answer(answer);
        return answered(token, proofs.behind(token), proof -> {
            ProofAnswer said = chosen.filter(it -> it.isOfTheNight() == proof.isAtNight()).orElseThrow(BadRequestException::new);
            // So that reloading the page presses nothing again.
            return answered(token, proofs.answer(token, said), done -> Response.seeOther(URI.create("/p/" + token)).build());
        });
    }

    /** Empty for what is none. */
    static Optional<ProofAnswer> answer(String sent) {
        return Arrays.stream(ProofAnswer.values()).filter(it -> it.name().equals(sent)).findFirst();
    }

    private Response answered(String token, Behind behind, Function<Proof, Response> page) {
        if (behind instanceof Behind.Open open) {
            return page.apply(open.proof());
        }
        return behind instanceof Behind.Over
                ? Problems.page(410, "This proof has come to its end.", "Send yourself another, on the page of your channels, or have your administrator "
                        + "send one.", clock)
                : Problems.page(404, "This is not a link of Lampkeeper's.", "A part of it may have been cut off: open it again from the message, or copy "
                        + "all of it.", clock);
    }

    private ProofView view(String token, Proof proof) {
        Instant now = clock.instant();
        Frame frame = Frame.plain("A proof", now).readBy(people.contact(proof.channel().personId()).name());
        String by = words.label(proof.channel());
        boolean isDone = !proof.isAtNight() && proof.answer().isPresent();
        return new ProofView(frame, proof.isAtNight() ? "Did it ring through your phone’s night setting?" : "Lampkeeper sent you this by " + by + ".",
                proof.answer().map(answer -> recorded(answer, by)).orElse(""), "/p/" + token, isDone ? List.of()
                        : proof.isAtNight() ? NIGHT : List.of(new Choice(ProofAnswer.ARRIVED.name(), "It arrived")));
    }

    private static String recorded(ProofAnswer answer, String by) {
        return switch (answer) {
            case ARRIVED -> "Recorded: " + by + " reaches you.";
            case RANG -> "Recorded: " + by + " reaches you, and it rings at night.";
            case SILENT -> "Recorded: " + by + " reaches you, but it does not ring at night. Look at the night setting of your phone: it can let single "
                    + "senders through.";
            case SEEN_LATER -> "Recorded: " + by + " reaches you; whether it rings at night is not known.";
        };
    }
}
