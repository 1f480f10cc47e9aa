package org.lampkeeper.web.api;

import java.io.InputStream;
import java.time.Clock;
import java.time.DateTimeException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalTime;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DELETE;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.PUT;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.parameters.RequestBodySchema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Right;
import org.lampkeeper.message.AddressRefused;
import org.lampkeeper.message.Channels;
import org.lampkeeper.message.Channels.Kind;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannel.Night;
import org.lampkeeper.message.PersonChannel.Returned;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.message.Proofs.Asked;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;

/** By what a person is reached, in their order, and whether that is proven. */
@Path("/api/people/{person:\\d{1,18}}/channels")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "channels", description = "By what a person is reached, in their order, and whether that is proven. For the person themself and whoever may "
        + "change them. A proof is answered by its person, on the page behind the link in the message.")
class ChannelsResource {

    private final Desk desk;
    private final PersonChannels channels;
    private final Channels kinds;
    private final Proofs proofs;
    private final SitePeople sitePeople;
    private final Accounts accounts;
    private final CurrentCaller caller;
    private final Clock clock;

    ChannelsResource(Desk desk, PersonChannels channels, Channels kinds, Proofs proofs, SitePeople sitePeople, Accounts accounts, CurrentCaller caller, Clock clock) {
        this.desk = desk;
        this.channels = channels;
        this.kinds = kinds;
        this.proofs = proofs;
        this.sitePeople = sitePeople;
        this.accounts = accounts;
        this.caller = caller;
        this.clock = clock;
    }

    /**
     * One of them.
     *
     * @param isOfRegister the mail address of the register: changed and removed there
     * @param isSetUp      false where this installation has nothing that sends by this kind
     * @param isProven     whether its person has shown, not too long ago, that it reaches them
     * @param provenAt     when they last did; absent for never
     * @param returnedAt   when a message by it came back, so that it has to be proven again; absent for never since it was
     * @param night        whether it rang through the telephone's night setting; absent where nobody said
     */
    record ChannelAnswer(long id, String kind, String address, boolean isOfRegister, boolean isSetUp, boolean isProven, Optional<Instant> provenAt,
            Optional<Instant> returnedAt, Optional<ProofAnswer> night, Optional<Instant> nightAt) {
    }

    /** In the order in which they are tried. */
    record ChannelsAnswer(long personId, List<ChannelAnswer> channels) {
    }

    /** {@code kind}: MAIL, SMS, … as far as it is set up. */
    record ChannelEntry(@Nullable String kind, @Nullable String address) {
    }

    /** Each of the person's channels once. */
    record ChannelOrderEntry(@Nullable List<Long> channelIds) {
    }

    /** {@code at}: the time of day, as 03:00 on the clocks of the person's site, for a proof at night; absent: at once. */
    record ProofEntry(@Nullable String at) {
    }

    /** {@code sentAt}: when it leaves, or has left. */
    record ProofAskedAnswer(long channelId, Instant sentAt) {
    }

    @GET
    @Operation(operationId = "listChannels", summary = "Reads the channels of a person, in their order")
    @APIResponseSchema(ChannelsAnswer.class)
    public Response list(@RestPath long person, @Context HttpHeaders headers) {
        mustMayChange(person);
        return desk.found(stored(person), headers);
    }

    @PUT
    @Operation(operationId = "orderChannels", summary = "Puts the channels of a person into another order",
            description = "The first that is proven is used for an alarm, and every one before it.")
    @APIResponseSchema(ChannelsAnswer.class)
    public Response order(@RestPath long person, @RequestBodySchema(ChannelOrderEntry.class) InputStream body, @Context HttpHeaders headers) {
        mustMayChange(person);
        Fields fields = new Fields();
        List<Long> ids = fields.required("channelIds", desk.read(body, ChannelOrderEntry.class).value().channelIds(), List.of());
        fields.refuseIfWrong();
        return desk.replace(headers, stored(person), desk::tagOf, before -> {
            if (!channels.order(person, ids, desk.by())) {
                fields.wrong("channelIds", "must be each of the person's channels, once").refuseIfWrong();
            }
            return stored(person).orElseThrow();
        });
    }

    @POST
    @Operation(operationId = "addChannel", summary = "Adds a channel, last in the order and not proven",
            description = "One that the person has already stays as it is and is answered.")
    @APIResponseSchema(value = ChannelAnswer.class, responseCode = "201")
    public Response add(@RestPath long person, @RequestBodySchema(ChannelEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        mustMayChange(person);
        return desk.post(headers, address, desk.read(body, ChannelEntry.class), entry -> {
            Fields fields = new Fields();
            String kind = fields.required("kind", entry.kind(), "");
            String entered = fields.required("address", entry.address(), "");
            fields.refuseIfWrong();
            if (!kinds.isOffered(kind)) {
                throw Fields.refused("kind", "must be one that is set up here: " + String.join(", ", kinds.offered().stream().map(Kind::kind).toList()));
            }
            try {
                ChannelAnswer made = answer(channels.add(person, kind, entered, desk.by()));
                return new Answer(201, Optional.of("/api/people/" + person + "/channels/" + made.id()), Optional.of(desk.tagOf(made)), made, made);
            } catch (AddressRefused refused) {
                throw Fields.refused("address", refused.getMessage());
            }
        });
    }

    @GET
    @Path("{channel:\\d{1,18}}")
    @Operation(operationId = "readChannel", summary = "Reads one channel of a person")
    @APIResponseSchema(ChannelAnswer.class)
    public Response read(@RestPath long person, @RestPath long channel, @Context HttpHeaders headers) {
        mustMayChange(person);
        return desk.found(channels.find(person, channel).map(this::answer), headers);
    }

    @DELETE
    @Path("{channel:\\d{1,18}}")
    @Operation(operationId = "removeChannel", summary = "Takes a channel away", description = "Not the mail address of the register, and not the last.")
    public Response remove(@RestPath long person, @RestPath long channel, @Context HttpHeaders headers) {
        mustMayChange(person);
        return desk.remove(headers, channels.find(person, channel).map(this::answer), desk::tagOf,
                before -> channels.remove(person, channel, desk.by()).ifPresent(kept -> {
                    throw new Refused(ProblemType.INVALID, "This channel " + kept + ".");
                }));
    }

    @POST
    @Path("{channel:\\d{1,18}}/proofs")
    @Operation(operationId = "askForProof", summary = "Sends a message that asks its reader to show that it arrived, now or at night",
            description = "By this channel alone. At most five an hour to one person or one address. A proof at night takes the place of one that was "
                    + "planned before.")
    @APIResponseSchema(value = ProofAskedAnswer.class, responseCode = "200")
    public Response prove(@RestPath long person, @RestPath long channel, @RequestBodySchema(ProofEntry.class) InputStream body,
            @Context HttpHeaders headers, @Context UriInfo address) {
        mustMayChange(person);
        return desk.post(headers, address, desk.readOrNothing(body, ProofEntry.class, new ProofEntry(null)), entry -> {
            Asked asked = entry.at() == null ? proofs.now(person, channel, desk.by())
                    : proofs.tonight(person, channel, hour(entry.at()), sitePeople.zoneOf(person), desk.by());
            if (asked instanceof Asked.TooMany tooMany) {
                long seconds = Math.max(1, Duration.between(clock.instant(), tooMany.again()).toSeconds());
                throw new Refused(ProblemType.TOO_MANY, "There were several proofs in the last hour. Wait " + seconds + " s.",
                        Map.of(HttpHeaders.RETRY_AFTER, Long.toString(seconds)));
            }
            if (!(asked instanceof Asked.Done done)) {
                throw new Refused(ProblemType.INVALID, "This person has no such channel, or its kind is not set up here.");
            }
            return Answer.done(new ProofAskedAnswer(channel, done.at()));
        });
    }

    private static LocalTime hour(String at) {
        try {
            return LocalTime.parse(at);
        } catch (DateTimeException noTime) {
            throw Fields.refused("at", "must be a time of day, such as 03:00");
        }
    }

    private void mustMayChange(long person) {
        if (caller.get().personId() != person && !accounts.mayChange(caller.get(), person)) {
            throw new NotAllowed("You cannot see or change how this person is reached; they can themselves, and so can their administrator.");
        }
    }

    private Optional<ChannelsAnswer> stored(long person) {
        return Optional.of(new ChannelsAnswer(person, channels.of(person).stream().map(this::answer).toList()));
    }

    private ChannelAnswer answer(PersonChannel channel) {
        return new ChannelAnswer(channel.id(), channel.kind(), channel.address(), channel.followsSignIn(), channels.isUsable(channel),
                channels.isProven(channel), channel.provenAt(), channel.returned().map(Returned::at), channel.night().map(Night::answer), channel.night().map(Night::at));
    }
}
