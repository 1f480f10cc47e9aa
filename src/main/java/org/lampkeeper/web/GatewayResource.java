package org.lampkeeper.web;

import java.util.List;
import java.util.function.UnaryOperator;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.json.JsonMapper;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.message.GatewayCallbacks;
import org.lampkeeper.message.GatewayCallbacks.Call;
import org.lampkeeper.message.GatewayCallbacks.Heard;
import org.lampkeeper.message.GatewayCallbacks.Reply;
import org.lampkeeper.watch.MessageAnswers;
import org.lampkeeper.watch.MessageAnswers.AnswerResult;
import org.lampkeeper.web.Refused.FieldError;

/**
 * Where a provider of SMS or of voice calls tells what became of a message, and what its person answered. The address is the message's own:
 * whoever knows it speaks for its person, as with the link in a message.
 */
@Path("/gateway/callback/{token}")
@Open
class GatewayResource {

    private static final ObjectMapper JSON = JsonMapper.builder().enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
            .enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS).build();

    private final GatewayCallbacks callbacks;
    private final MessageAnswers answers;

    GatewayResource(GatewayCallbacks callbacks, MessageAnswers answers) {
        this.callbacks = callbacks;
        this.answers = answers;
    }

    @POST
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response form(@RestPath String token, MultivaluedMap<String, String> sent) {
        return hear(token, name -> Form.firstOf(sent).getOrDefault(name, ""));
    }

    @POST
    @Consumes(MediaType.APPLICATION_JSON)
    public Response json(@RestPath String token, String sent) {
        JsonNode read;
        try {
            read = JSON.readTree(sent);
        } catch (JsonProcessingException unreadable) {
            throw new Refused(ProblemType.UNREADABLE, "Line " + unreadable.getLocation().getLineNr() + ", character "
                    + unreadable.getLocation().getColumnNr() + ": " + unreadable.getOriginalMessage());
        }
        return hear(token, name -> {
            JsonNode found = name.startsWith("/") ? read.at(name) : read.path(name);
            return found.isValueNode() && !found.isNull() ? found.asText() : "";
        });
    }

    private Response hear(String token, UnaryOperator<String> fields) {
        Heard heard = callbacks.hear(token, fields);
        if (heard instanceof Heard.Answered answered) {
            return answer(answered.call(), answered.takes());
        }
        if (heard instanceof Heard.Recorded recorded) {
            return say(recorded.reply());
        }
        if (heard instanceof Heard.NotUnderstood not) {
            List<FieldError> errors = not.field().isEmpty() ? List.of()
                    : List.of(new FieldError("#" + (not.field().startsWith("/") ? "" : "/") + not.field(), not.why()));
            throw new Refused(ProblemType.INVALID, errors.isEmpty() ? not.why() : "Nothing was recorded.", errors);
        }
        throw heard instanceof Heard.Ended ? new Refused(ProblemType.ENDED, "This message is over. Nothing was recorded.")
                : new Refused(ProblemType.NOT_FOUND, "This address was not given out by Lampkeeper, or a part of it is missing.");
    }

    private Response answer(Call call, boolean takes) {
        AnswerResult result = takes ? answers.take(call.messageId(), call.alarmId(), call.personId())
                : answers.passOn(call.messageId(), call.alarmId(), call.personId());
        if (result instanceof AnswerResult.Taken) {
            return say(callbacks.taken(call));
        }
        if (result instanceof AnswerResult.PassedOn) {
            return say(callbacks.passedOn(call));
        }
        if (result instanceof AnswerResult.Unchanged unchanged) {
            return say(callbacks.unchanged(call, unchanged.why()));
        }
        throw result instanceof AnswerResult.UsedUp
                ? new Refused(ProblemType.NOT_NEEDED, "It was passed on with this message. It can be taken with a newer one, or on its page.")
                : new Refused(ProblemType.ENDED, "There is no such alarm any more. Nothing was recorded.");
    }

    private static Response say(Reply reply) {
        return reply.text().isEmpty() ? Response.noContent().build() : Response.ok(reply.text(), reply.contentType()).build();
    }
}
