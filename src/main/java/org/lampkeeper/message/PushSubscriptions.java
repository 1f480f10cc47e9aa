package org.lampkeeper.message;

import java.net.URI;
import java.net.URISyntaxException;
import java.time.Clock;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.message.PushTable.Subscription;
import org.lampkeeper.register.By;

/** Which enrolled phones take messages. Each method is one transaction and bears a repeat. */
@ApplicationScoped
@Transactional
public class PushSubscriptions {

    /** The width of the column; what browsers give has some hundred characters. */
    private static final int LONGEST_ENDPOINT = 2000;
    private static final String FAILURE = "where a phone takes messages could not be read or changed";

    private final Database database;
    private final PushConfig config;
    private final PushKeys keys;
    private final PersonChannels channels;
    private final Proofs proofs;
    private final Clock clock;

    PushSubscriptions(Database database, PushConfig config, PushKeys keys, PersonChannels channels, Proofs proofs, Clock clock) {
        this.database = database;
        this.config = config;
        this.keys = keys;
        this.channels = channels;
        this.proofs = proofs;
        this.clock = clock;
    }

    /** The key that a browser is to be asked with; empty where this installation sends nothing like that. */
    public Optional<String> key() {
        return config.contact().isPresent() ? keys.publicKey(keys.newest()) : Optional.empty();
    }

    public boolean isOn(long phoneId) {
        return database.get(FAILURE, connection -> PushTable.find(connection, phoneId)).isPresent();
    }

    /**
     * Has messages to this person go to their phone as well, last in their order, and sends a proof by it.
     *
     * @param endpoint, p256dh, auth as the browser gives them
     * @throws AddressRefused with what would be right
     */
    public void start(long personId, long phoneId, String endpoint, String p256dh, String auth) {
        if (config.contact().isEmpty()) {
            throw new AddressRefused("must be set up here first: no push messages are sent");
        }
        checkEndpoint(endpoint);
        checkKeys(p256dh, auth);
        By by = By.person(personId, clock.instant());
        channels.lock(personId);
        Subscription made = new Subscription(phoneId, personId, endpoint, p256dh, auth, keys.newest());
        Optional<Subscription> before = database.get(FAILURE, connection -> PushTable.find(connection, phoneId));
        if (before.equals(Optional.of(made))) {
            return;
        }
        database.run(FAILURE, connection -> {
            PushTable.remove(connection, phoneId, personId);
            PushTable.add(connection, made, by.at());
        });
        PersonChannel channel = channels.add(personId, PushChannel.KIND, PushChannel.address(phoneId), by);
        proofs.now(personId, channel.id(), by);
    }

    /**
     * Nothing goes to that phone any more.
     *
     * @return why its channel was not taken away though it is of no use; empty where it was
     */
    public Optional<String> end(long personId, long phoneId, By by) {
        database.get(FAILURE, connection -> PushTable.remove(connection, phoneId, personId));
        return channels.of(personId).stream().filter(it -> it.kind().equals(PushChannel.KIND) && it.address().equals(PushChannel.address(phoneId))).findFirst()
                .flatMap(channel -> {
                    Optional<String> kept = channels.remove(personId, channel.id(), by);
                    kept.ifPresent(why -> database.get(FAILURE,
                            connection -> PersonChannelTable.returned(connection, channel.id(), channel.address(), "would not be taken: the phone does not take any", by.at())));
                    return kept;
                });
    }

    /** RFC 8030, section 8: by https. Where the name leads is looked at each time that something is sent. */
    private void checkEndpoint(String endpoint) {
        try {
            URI address = new URI(endpoint);
            boolean isWeb = "https".equalsIgnoreCase(address.getScheme()) || config.allowHttp() && "http".equalsIgnoreCase(address.getScheme());
            if (endpoint.length() > LONGEST_ENDPOINT || !isWeb || address.getHost() == null || address.getUserInfo() != null || address.getFragment() != null
                    || !endpoint.matches("[\\x21-\\x7E]+") || endpoint.matches(".*[\"\\\\].*")) {
                throw new AddressRefused("endpoint must be the https address that the browser gave, of at most " + LONGEST_ENDPOINT + " characters");
            }
        } catch (URISyntaxException none) {
            throw new AddressRefused("endpoint must be the https address that the browser gave");
        }
    }

    private static void checkKeys(String p256dh, String auth) {
        try {
            Point256.publicKey(PushChannel.decoded(p256dh));
        } catch (IllegalArgumentException none) {
            throw new AddressRefused("p256dh must be the browser's public key, a point of P-256 in Base64 for addresses");
        }
        try {
            if (PushChannel.decoded(auth).length == PushCipher.AUTH_BYTES) {
                return;
            }
        } catch (IllegalArgumentException noBase64) {
            throw new AddressRefused("auth must be the browser's secret, in Base64 for addresses");
        }
        throw new AddressRefused("auth must be the browser's secret of " + PushCipher.AUTH_BYTES + " bytes, in Base64 for addresses");
    }
}
