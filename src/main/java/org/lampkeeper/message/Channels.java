package org.lampkeeper.message;

import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;

import jakarta.enterprise.inject.Any;
import jakarta.enterprise.inject.Instance;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;

/** The kinds of channels that this program knows, and which of them this installation offers. */
@Singleton
public class Channels {

    private final Map<String, Channel> byKind = new TreeMap<>();

    @Inject
    Channels(@Any Instance<Channel> all, MessageConfig config) {
        for (Channel channel : all) {
            if (byKind.put(channel.kind(), channel) != null) {
                throw new IllegalStateException("two channels call themselves " + channel.kind());
            }
            if (config.lease().compareTo(channel.timeout()) <= 0) {
                throw new IllegalStateException("lampkeeper.message.lease is " + config.lease() + ", must be longer than the time-out of "
                        + channel.label() + ", " + channel.timeout() + ": a message still on its way would be sent a second time");
            }
        }
    }

    /** @param label what people call it, in the middle of a sentence */
    public record Kind(String kind, String label) {
    }

    /** What a person can be given, by label. */
    public List<Kind> offered() {
        return byKind.values().stream().filter(Channel::isOffered).map(it -> new Kind(it.kind(), it.label()))
                .sorted(Comparator.comparing(Kind::label)).toList();
    }

    public boolean isOffered(String kind) {
        return find(kind).isPresent();
    }

    /** The word for people; the kind itself where this program does not know it any more. */
    public String label(String kind) {
        return byKind.containsKey(kind) ? byKind.get(kind).label() : kind;
    }

    /**
     * The one way in which an address is stored.
     *
     * @throws AddressRefused with what would be right
     */
    public String address(String kind, String entered) {
        return find(kind).orElseThrow(() -> new AddressRefused("must be of a kind that is set up here: "
                + String.join(", ", offered().stream().map(Kind::kind).toList()))).address(entered);
    }

    /** Empty for a kind that is not set up, or that this program does not know. */
    Optional<Channel> find(String kind) {
        return Optional.ofNullable(byKind.get(kind)).filter(Channel::isOffered);
    }
}
