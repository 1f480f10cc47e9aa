package org.lampkeeper.message;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** SMS and voice calls by a provider's HTTP interface (docs/channels.md). Without its {@code address} a way is not offered. */
@ConfigMapping(prefix = "lampkeeper.gateway")
public interface GatewayConfig {

    /** Short messages: carries the kind that goes by a short message centre where one is set. */
    Way sms();

    /** Calls in which a sentence is read aloud. */
    Way voice();

    /** With a short message centre set as well: whether SMS goes by the gateway first and by the centre second, instead of the reverse. */
    @WithDefault("false")
    boolean smsFirst();

    /** How long a provider may call back about a message, from when it was handed over. */
    @WithDefault("24h")
    Duration callbackLife();

    /** One provider's interface. What stands in braces, such as <code>{number}</code>, is filled in for each message. */
    interface Way {

        /** Where the request goes; http or https. */
        Optional<String> address();

        /** How it is sent; by GET all that is said stands in the address. */
        @WithDefault("POST")
        Method method();

        /** Beside the content type; the place for a provider's key. */
        Map<String, String> headers();

        /** Decides how values are escaped: JSON, a form, or XML. */
        @WithDefault("application/json")
        String contentType();

        /** What is sent; none by GET. */
        Optional<String> body();

        /** Longest wait for a connection and for the whole answer. */
        @WithDefault("10s")
        Duration timeout();

        /** What the provider's answer means. */
        Answer answer();

        /** What the provider tells later. */
        Callback callback();

        /** What the provider is answered then. */
        Reply reply();
    }

    /** The methods that a provider may want. */
    enum Method {
        GET,
        POST,
        PUT
    }

    /** Paths are JSON pointers (RFC 6901) into the answer. */
    interface Answer {

        /** Statuses, or ranges such as {@code 200-299}, with which a message is taken. */
        @WithDefault("200-299")
        List<String> status();

        /** Statuses with which this one message is refused for good: the person's next channel is used at once. */
        @WithDefault("400,422")
        List<String> refusedStatus();

        /** Where the outcome stands, for a provider that takes a request and yet may not take the message. */
        Optional<String> outcome();

        /** Outcomes with which it is taken. */
        Optional<List<String>> accepted();

        /** Outcomes with which it is refused for good; with any other it is tried again. */
        Optional<List<String>> refused();

        /** Where the provider's own name for the message stands. */
        Optional<String> id();

        /** Where it says why it did not take the message. */
        Optional<String> reason();
    }

    /** Names of form fields, or JSON pointers; what is compared is compared without regard to case. */
    interface Callback {

        /** Where it is told what became of the message. */
        Optional<String> state();

        /** States in which it has arrived: the telephone has it, or the call was answered. */
        Optional<List<String>> delivered();

        /** States in which it will not arrive. */
        Optional<List<String>> failed();

        /** States that say nothing yet. */
        Optional<List<String>> underWay();

        /** Where the key that was pressed stands, or the words of an answer, of which the first counts. */
        Optional<String> answer();

        /** Keys or words by which the alarm is taken; the first is the one that people are told. */
        @WithDefault("1")
        List<String> take();

        /** Keys or words by which the next is told; the first is the one that people are told. */
        @WithDefault("2")
        List<String> passOn();
    }

    /** Texts by what came of an answer. */
    interface Reply {

        /** Plain text, JSON or XML. */
        @WithDefault("text/plain")
        String contentType();

        /** The alarm is with the person who answered. */
        @WithDefault("You have taken it: {text}")
        String taken();

        /** The next person is told. */
        @WithDefault("The next person is told.")
        String passedOn();

        /** Nothing came of it: somebody else has it, or nobody has to. */
        @WithDefault("Nothing is changed. {why}")
        String unchanged();

        /** What became of the message is recorded. */
        Optional<String> received();
    }
}
