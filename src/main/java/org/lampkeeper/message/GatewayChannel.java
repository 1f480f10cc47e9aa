package org.lampkeeper.message;

import java.io.ByteArrayOutputStream;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.Function;

import org.lampkeeper.journal.Head;
import org.lampkeeper.message.GatewayTemplate.Form;
import org.lampkeeper.message.GatewayTemplate.Place;

/**
 * A provider's HTTP interface, by templates of the operator's. One connection and one try a message; a redirect is not followed, since what
 * is said is for the address that was configured.
 */
final class GatewayChannel implements Channel {

    /** What an answer may have, as far as anybody looks into it. */
    private static final int LONGEST_ANSWER = 65_536;

    private static final Set<Place> OF_A_MESSAGE = EnumSet.of(Place.NUMBER, Place.DIGITS, Place.TEXT, Place.SPOKEN, Place.ID, Place.CALLBACK);
    /** RFC 9110, section 5.5: no other text is safe in a header everywhere. */
    private static final Set<Place> IN_A_HEADER = EnumSet.of(Place.NUMBER, Place.DIGITS, Place.ID, Place.CALLBACK);

    /** Which of the two kinds of provider it is. */
    enum Way {
        SMS("SMS_HTTP", SmsChannel.KIND, "SMS by HTTP", "sms", " Answer "),
        VOICE("VOICE", "VOICE", "voice call", "voice", " Press ");

        private final String kind;
        private final String serves;
        private final String label;
        private final String setting;
        private final String answering;

        Way(String kind, String serves, String label, String setting, String answering) {
            this.kind = kind;
            this.serves = serves;
            this.label = label;
            this.setting = "lampkeeper.gateway." + setting;
            this.answering = answering;
        }

        /** By which of them a message goes or went; {@code kind}: what is stored of it. */
        static Way of(String kind) {
            return kind.equals(VOICE.kind) ? VOICE : SMS;
        }

        String kind() {
            return kind;
        }

        String setting() {
            return setting;
        }
    }

    private final Way way;
    private final int place;
    private final GatewayConfig.Way config;
    private final Optional<String> country;
    private final Function<OutgoingMessage, String> callback;
    private final Optional<Request> request;
    private final GatewayAnswer answer;

    /** All that is needed to ask a provider; checked when it is made. */
    private record Request(GatewayTemplate address, Map<String, GatewayTemplate> headers, Optional<GatewayTemplate> body, HttpClient client) {
    }

    /**
     * @param place    among the ways that carry the same; the lowest is used first
     * @param callback the address at which a provider tells what became of this message
     * @throws IllegalStateException when a setting is wrong: which, where in it, and what would be right
     */
    GatewayChannel(Way way, int place, GatewayConfig.Way config, Optional<String> country, Function<OutgoingMessage, String> callback) {
        this.way = way;
        this.place = place;
        this.config = config;
        this.country = country;
        this.callback = callback;
        if (config.timeout().isNegative() || config.timeout().isZero()) {
            throw new IllegalStateException(way.setting + ".timeout is " + config.timeout() + ", must be longer than nothing");
        }
        answer = new GatewayAnswer(way.setting + ".answer", config.answer());
        request = config.address().map(this::request);
    }

    private Request request(String address) {
        Form form = GatewayTemplate.form(way.setting + ".content-type", config.contentType(), EnumSet.of(Form.JSON, Form.FORM, Form.XML));
        GatewayTemplate to = new GatewayTemplate(way.setting + ".address", Form.ADDRESS, address, OF_A_MESSAGE);
        Optional<GatewayTemplate> body = config.body().map(text -> new GatewayTemplate(way.setting + ".body", form, text, OF_A_MESSAGE));
        if (body.isPresent() == (config.method() == GatewayConfig.Method.GET)) {
            throw new IllegalStateException(way.setting + ".body: must be " + (body.isPresent() ? "left out where the method is GET" : "set, or the method be GET"));
        }
        if (!has(to, body, Place.NUMBER) && !has(to, body, Place.DIGITS)) {
            throw new IllegalStateException(way.setting + ".body: must have {number} or {digits}, or nobody is told");
        }
        if (!has(to, body, Place.TEXT) && !has(to, body, Place.SPOKEN)) {
            throw new IllegalStateException(way.setting + ".body: must have {text} or {spoken}, or nothing is told");
        }
        Map<String, GatewayTemplate> headers = new LinkedHashMap<>();
        config.headers().forEach((name, text) -> headers.put(name, header(name, text)));
        if (body.isPresent()) {
            headers.keySet().removeIf("content-type"::equalsIgnoreCase);
            headers.put("Content-Type", new GatewayTemplate(way.setting + ".content-type", Form.PLAIN,
                    GatewayTemplate.withCharset(config.contentType(), form), Set.of()));
        }
        return new Request(to, headers, body, HttpClient.newBuilder().version(HttpClient.Version.HTTP_1_1).connectTimeout(config.timeout())
                .followRedirects(HttpClient.Redirect.NEVER).build());
    }

    private GatewayTemplate header(String name, String text) {
        String setting = way.setting + ".headers.\"" + name + "\"";
        GatewayTemplate header = new GatewayTemplate(setting, Form.PLAIN, text, IN_A_HEADER);
        try {
            HttpRequest.newBuilder().header(name, "x");
        } catch (IllegalArgumentException wrong) {
            throw new IllegalStateException(setting + ": must be the name of a header that may be set: " + wrong.getMessage(), wrong);
        }
        // The client's own words would repeat the value, which is a secret; and it would say them only when the first alarm is sent.
        if (!header.filled(Map.of(Place.NUMBER, "1", Place.DIGITS, "1", Place.ID, "1", Place.CALLBACK, "1")).matches("[\\x20-\\x7E]+")) {
            throw new IllegalStateException(setting + ": must be one line of letters, digits and signs of ASCII");
        }
        return header;
    }

    private static boolean has(GatewayTemplate address, Optional<GatewayTemplate> body, Place what) {
        return address.has(what) || body.filter(it -> it.has(what)).isPresent();
    }

    @Override
    public String kind() {
        return way.kind;
    }

    @Override
    public String serves() {
        return way.serves;
    }

    @Override
    public int place() {
        return place;
    }

    @Override
    public String label() {
        return way.label;
    }

    @Override
    public boolean isOffered() {
        return request.isPresent();
    }

    @Override
    public String address(String entered) {
        return PhoneNumbers.e164(entered, country);
    }

    @Override
    public Duration timeout() {
        return config.timeout().plusSeconds(1);
    }

    @Override
    public Handover handOver(OutgoingMessage message, Head journal) {
        if (message.address().isBlank()) {
            return new Handover.Refused("there is no number to send it to");
        }
        Request how = request.orElseThrow(() -> new IllegalStateException(way.setting + ".address is not set, so that nothing goes by it"));
        CompletableFuture<HttpResponse<byte[]>> asked = how.client().sendAsync(filled(how, values(message)), info -> upTo(LONGEST_ANSWER));
        try {
            // The request's own limit ends with the headers; a body that never ends must not keep us.
            HttpResponse<byte[]> answered = asked.get(config.timeout().toMillis(), TimeUnit.MILLISECONDS);
            return answer.judge(answered.statusCode(), answered.body());
        } catch (TimeoutException late) {
            asked.cancel(true);
            return new Handover.Unreachable("the gateway did not answer within " + config.timeout().toMillis() + " ms");
        } catch (ExecutionException failed) {
            // Without its words, which may repeat the address, and so the number.
            return new Handover.Unreachable("the gateway cannot be asked: " + (failed.getCause() == null ? failed : failed.getCause()).getClass().getSimpleName());
        } catch (InterruptedException stopping) {
            asked.cancel(true);
            Thread.currentThread().interrupt();
            return new Handover.Unreachable("asking the gateway was interrupted");
        }
    }

    private HttpRequest filled(Request how, Map<Place, String> values) {
        HttpRequest.Builder built = HttpRequest.newBuilder(URI.create(how.address().filled(values)));
        how.headers().forEach((name, value) -> built.header(name, value.filled(values)));
        return built.method(config.method().name(), how.body().map(body -> HttpRequest.BodyPublishers.ofString(body.filled(values), StandardCharsets.UTF_8))
                .orElseGet(HttpRequest.BodyPublishers::noBody)).build();
    }

    private static HttpResponse.BodySubscriber<byte[]> upTo(int most) {
        ByteArrayOutputStream read = new ByteArrayOutputStream();
        return HttpResponse.BodySubscribers.mapping(HttpResponse.BodySubscribers.ofByteArrayConsumer(part -> part
                .ifPresent(bytes -> read.write(bytes, 0, Math.min(bytes.length, most - read.size())))), done -> read.toByteArray());
    }

    private Map<Place, String> values(OutgoingMessage message) {
        String keys = message.purpose() == Purpose.ALARM && message.alarmId().isPresent() ? keys() : "";
        Map<Place, String> values = new EnumMap<>(Place.class);
        values.put(Place.NUMBER, message.address());
        values.put(Place.DIGITS, message.address().replaceAll("\\D", ""));
        values.put(Place.TEXT, ShortText.plain(message.brief().map(ShortMessages::inOneLine).orElse(message.subject())) + keys);
        values.put(Place.SPOKEN, "This is Lampkeeper. " + SpokenText.of(message.subject()) + keys);
        values.put(Place.ID, message.key());
        values.put(Place.CALLBACK, callback.apply(message));
        return values;
    }

    /** What a person can do at once; empty where the provider passes no answer back. */
    private String keys() {
        return config.callback().answer().isEmpty() ? "" : way.answering + config.callback().take().get(0) + " to take it, "
                + config.callback().passOn().get(0) + " to tell the next.";
    }
}
