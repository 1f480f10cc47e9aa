package org.lampkeeper.message;

import java.net.InetAddress;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Base64;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.annotation.PreDestroy;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.vertx.core.Vertx;

import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.PushTable.Subscription;

/**
 * Web push to an enrolled phone (RFC 8030): its browser's service is handed a message that only that browser can read. Which service that is, the browser
 * says, so it is reached as guardedly as any address that somebody entered; one that fails is no failure of the others', and opens no circuit.
 */
@Singleton
class PushChannel implements Channel {

    static final String KIND = "PUSH";

    /** Ours: side by side; a message takes a service some tenths of a second. */
    private static final int WORKERS = 8;
    /** Ours: what a locked screen shows of it. */
    private static final int LONGEST_TEXT = 300;
    private static final Pattern ADDRESS = Pattern.compile("phone (\\d{1,18})");
    private static final Pattern CONTACT = Pattern.compile("mailto:[^\\s\"\\\\]+@[^\\s\"\\\\]+|https://[^\\s\"\\\\]+");
    private static final ObjectMapper JSON = new ObjectMapper();

    private final PushConfig config;
    private final PushKeys keys;
    private final Database database;
    private final Journal journal;
    private final MessageConfig messages;
    private final Clock clock;
    private final GuardedClient client;

    @Inject
    PushChannel(Vertx vertx, PushConfig config, PushKeys keys, Database database, Journal journal, MessageConfig messages, Clock clock) {
        this.config = config;
        this.keys = keys;
        this.database = database;
        this.journal = journal;
        this.messages = messages;
        this.clock = clock;
        config.contact().filter(it -> !CONTACT.matcher(it).matches()).ifPresent(wrong -> {
            throw new IllegalStateException("lampkeeper.push.contact is " + wrong + ", must be mailto: with a mail address, or an https address");
        });
        this.client = new GuardedClient(vertx, new GuardedClient.Limits("lampkeeper.push", config.allowedNetworks().orElse(List.of()), config.allowHttp(),
                config.caFile(), config.timeout(), WORKERS), InetAddress::getAllByName);
    }

    @PreDestroy
    void close() {
        client.close();
    }

    /** As the person's channels show it. */
    static String address(long phoneId) {
        return "phone " + phoneId;
    }

    private static OptionalLong phone(String address) {
        Matcher named = ADDRESS.matcher(address.strip());
        return named.matches() ? OptionalLong.of(Long.parseLong(named.group(1))) : OptionalLong.empty();
    }

    @Override
    public String kind() {
        return KIND;
    }

    @Override
    public String label() {
        return "push message";
    }

    @Override
    public boolean isOffered() {
        return config.contact().isPresent();
    }

    @Override
    public boolean isEntered() {
        return false;
    }

    @Override
    public String address(String entered) {
        OptionalLong phone = phone(entered);
        if (phone.isEmpty()) {
            throw new AddressRefused("must be an enrolled phone: press \"Send me messages on this phone\" on its own page, /phone");
        }
        return address(phone.getAsLong());
    }

    @Override
    public Duration timeout() {
        return config.timeout().plusSeconds(1);
    }

    @Override
    public Handover handOver(OutgoingMessage message, Head head) {
        OptionalLong phone = phone(message.address());
        Optional<Subscription> found = phone.isEmpty() ? Optional.empty()
                : database.getInNew("where a phone takes messages could not be read", connection -> PushTable.find(connection, phone.getAsLong()));
        // Whoever is written to must be whose phone it is, whatever somebody entered as a channel.
        Optional<Subscription> own = found.filter(it -> it.personId() == message.personId());
        if (own.isEmpty()) {
            return new Handover.Refused("the phone takes no messages any more, or is not this person's");
        }
        URI service = URI.create(own.get().endpoint());
        Optional<String> authorization = keys.authorization(own.get().keyId(), service, config.contact().orElseThrow(), clock.instant());
        if (authorization.isEmpty()) {
            return new Handover.Refused("the key that the phone was told has been removed: press the button on its page once more");
        }
        Map<String, String> headers = new LinkedHashMap<>();
        headers.put("Content-Type", "application/octet-stream");
        // RFC 8188, section 2; RFC 8030, sections 5.2 to 5.4: of several tries of one message the phone is shown one.
        headers.put("Content-Encoding", "aes128gcm");
        headers.put("TTL", Long.toString(config.keep().toSeconds()));
        headers.put("Urgency", isToBeReadLater(message.purpose()) ? "normal" : "high");
        headers.put("Topic", message.key());
        headers.put("Authorization", authorization.get());
        byte[] body = PushCipher.encrypted(text(message), Point256.publicKey(decoded(own.get().p256dh())), decoded(own.get().auth()));
        return judged(client.post(service, headers, body), own.get(), message);
    }

    static byte[] decoded(String base64) {
        return Base64.getUrlDecoder().decode(base64);
    }

    /** RFC 8030, sections 5 and 7.3. */
    private Handover judged(GuardedClient.Answer answer, Subscription to, OutgoingMessage message) {
        if (answer.isTaken()) {
            return new Handover.Accepted();
        }
        String why = "the phone's push service " + answer.reason().orElse("did not take it");
        int status = answer.status().orElse(0);
        if (status == 404 || status == 410) {
            database.runInNew("the end of a push subscription could not be recorded", connection -> ended(connection, to, message, clock.instant()));
            return new Handover.Refused("the phone's browser takes no messages any more (" + status + ")");
        }
        return status >= 400 && status < 500 && status != 429 && status != 408 ? new Handover.Refused(why) : new Handover.Deferred(why);
    }

    /** It reaches nobody any more until its person presses the button anew, and says so. */
    private void ended(Connection connection, Subscription to, OutgoingMessage message, Instant now) throws SQLException {
        PushTable.removeEnded(connection, to);
        String why = "was not taken: the browser of the phone has ended it";
        if (message.channelId().isPresent() && PersonChannelTable.returned(connection, message.channelId().getAsLong(), message.address(), why, now)) {
            journal.append(message.journalled("channel-returned", now).with("channel", KIND).with("reason", why));
        }
    }

    private static boolean isToBeReadLater(Purpose purpose) {
        return switch (purpose) {
            case NOTICE, ANSWER, MONTH -> true;
            case ALARM, LOOK, PROOF -> false;
        };
    }

    /** What the phone shows, and where it leads. */
    private byte[] text(OutgoingMessage message) {
        String title = switch (message.purpose()) {
            case ALARM -> "Lampkeeper: alarm";
            case LOOK -> "Lampkeeper: please look";
            case PROOF -> "Lampkeeper: did this arrive?";
            case NOTICE, ANSWER, MONTH -> "Lampkeeper";
        };
        String subject = message.subject().length() <= LONGEST_TEXT ? message.subject() : message.subject().substring(0, LONGEST_TEXT - 1) + "…";
        Map<String, Object> shown = new LinkedHashMap<>(Map.of("title", title, "text", subject, "link", link(message), "key", message.key(),
                "stays", message.purpose() != Purpose.NOTICE && message.purpose() != Purpose.MONTH));
        try {
            return JSON.writeValueAsString(shown).getBytes(StandardCharsets.UTF_8);
        } catch (JsonProcessingException impossible) {
            throw new IllegalStateException("some texts could not be written as JSON", impossible);
        }
    }

    /** The first of our addresses that the message has; the first page where it has none. */
    private String link(OutgoingMessage message) {
        Matcher link = Pattern.compile(Pattern.quote(messages.address("")) + "[\\w~.%/?=&-]+").matcher(message.body() + "\n" + message.brief().orElse(""));
        return link.find() ? link.group() : messages.address("");
    }
}
