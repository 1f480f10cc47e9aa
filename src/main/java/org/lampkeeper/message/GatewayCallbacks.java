package org.lampkeeper.message;

import java.time.Clock;
import java.util.Optional;
import java.util.function.UnaryOperator;

import jakarta.enterprise.context.ApplicationScoped;

import org.jboss.logging.Logger;

import org.lampkeeper.message.GatewayCallback.Outcome;
import org.lampkeeper.message.GatewayCallback.Told;
import org.lampkeeper.message.GatewayChannel.Way;
import org.lampkeeper.register.People;

/** What providers tell later of a message that they took. The address that each was given says which one; bears a repeat. */
@ApplicationScoped
public class GatewayCallbacks {

    private static final Logger LOG = Logger.getLogger(GatewayCallbacks.class);

    private final Gateways gateways;
    private final LinkTokens tokens;
    private final Arrivals arrivals;
    private final People people;
    private final Database database;
    private final Clock clock;

    GatewayCallbacks(Gateways gateways, LinkTokens tokens, Arrivals arrivals, People people, Database database, Clock clock) {
        this.gateways = gateways;
        this.tokens = tokens;
        this.arrivals = arrivals;
        this.people = people;
        this.database = database;
        this.clock = clock;
    }

    /** What became of a callback. */
    public sealed interface Heard {
        /** It is recorded. */
        record Recorded(Reply reply) implements Heard {
        }

        /** The person answered; whoever asked carries it out. */
        record Answered(Call call, boolean takes) implements Heard {
        }

        /** Nothing that was agreed with the provider, and nothing was recorded. {@code field}: where; empty for all of it. */
        record NotUnderstood(String field, String why) implements Heard {
        }

        /** The address is over, or its message or its person is kept no more. */
        record Ended() implements Heard {
        }

        /** The address is none of ours. */
        record NotOurs() implements Heard {
        }
    }

    /** Somebody answered a message about an alarm. */
    public static final class Call {
        private final OutgoingMessage message;

        private Call(OutgoingMessage message) {
            this.message = message;
        }

        public long messageId() {
            return message.id();
        }

        public long alarmId() {
            return message.alarmId().orElseThrow();
        }

        public long personId() {
            return message.personId();
        }
    }

    /** What the provider is answered: for the person to hear or to read. Nothing where {@code text} is empty. */
    public record Reply(String text, String contentType) {
    }

    /** @param fields what stands under a name in what was sent; empty where nothing does */
    public Heard hear(String token, UnaryOperator<String> fields) {
        Optional<LinkTokens.Signed> signed = tokens.readCallback(token);
        if (signed.isEmpty()) {
            return new Heard.NotOurs();
        }
        Optional<OutgoingMessage> found = find(signed.get().subject()).filter(it -> it.personId() == signed.get().personId());
        if (found.isEmpty() || !people.isKnown(found.get().personId()) || !clock.instant().isBefore(signed.get().end())) {
            return new Heard.Ended();
        }
        OutgoingMessage message = found.get();
        Told told = callback(message).judge(fields);
        if (told instanceof Told.NotUnderstood not) {
            LOG.warnf("%s: its callback %s was not understood: %s %s", message, LinkTokens.masked(token), not.field(), not.why());
            return new Heard.NotUnderstood(not.field(), not.why());
        }
        if (told instanceof Told.Answered && message.alarmId().isEmpty()) {
            return new Heard.NotUnderstood("", "The message is about no alarm, so that there is nothing to take.");
        }
        String kind = Way.of(message.channel()).kind();
        if (told instanceof Told.NotArrived not) {
            arrivals.told(message.id(), kind, false, "the network said: " + not.state());
        } else if (!(told instanceof Told.UnderWay)) {
            arrivals.told(message.id(), kind, true, "");
        }
        return told instanceof Told.Answered answered ? new Heard.Answered(new Call(message), answered.takes())
                : new Heard.Recorded(reply(message, Outcome.RECEIVED, ""));
    }

    /** For somebody who has the alarm now. */
    public Reply taken(Call call) {
        return reply(call.message, Outcome.TAKEN, "");
    }

    /** For somebody who cannot come. */
    public Reply passedOn(Call call) {
        return reply(call.message, Outcome.PASSED_ON, "");
    }

    /** For somebody whose answer changed nothing, {@code why} in a sentence. */
    public Reply unchanged(Call call, String why) {
        return reply(call.message, Outcome.UNCHANGED, why);
    }

    private Reply reply(OutgoingMessage message, Outcome outcome, String why) {
        boolean isSpoken = Way.of(message.channel()) == Way.VOICE;
        String about = isSpoken ? SpokenText.of(message.subject()) : ShortText.plain(message.subject());
        return new Reply(callback(message).reply(outcome, about, isSpoken ? SpokenText.of(why) : why).orElse(""), callback(message).contentType());
    }

    private GatewayCallback callback(OutgoingMessage message) {
        return gateways.callback(Way.of(message.channel()));
    }

    private Optional<OutgoingMessage> find(long messageId) {
        return database.get("message " + messageId + " could not be read", connection -> OutboxTable.find(connection, messageId));
    }
}
