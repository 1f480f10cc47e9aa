package org.lampkeeper.message;

import java.util.Comparator;
import java.util.List;
import java.util.Map;
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
            if (channel.isOffered() && config.lease().compareTo(channel.timeout()) <= 0) {
                throw new IllegalStateException("lampkeeper.message.lease is " + config.lease() + ", must be longer than the time-out of "
                        + channel.label() + ", " + channel.timeout() + ": a message still on its way would be sent a second time");
            }
        }
    }

    /** Those of a kind that are set up, by the order in which they are used; empty for a kind that this program does not know. */
    List<Channel> ways(String kind) {
        return byKind.values().stream().filter(it -> it.serves().equals(kind) && it.isOffered()).sorted(Comparator.comparingInt(Channel::place)).toList();
    }

    /** @param label what people call it, in the middle of a sentence */
    public record Kind(String kind, String label) {
    }

    /** What a person can be given, by label. */
    public List<Kind> offered() {
        return byKind.values().stream().filter(Channel::isOffered).map(Channel::serves).distinct().map(it -> new Kind(it, label(it)))
                .sorted(Comparator.comparing(Kind::label)).toList();
    }

    /** Those of them whose address somebody types in. */
    public List<Kind> entered() {
        return offered().stream().filter(kind -> ways(kind.kind()).stream().anyMatch(Channel::isEntered)).toList();
    }

    /** Every way by which something may leave here, several for one kind too, by label. */
    public List<Kind> waysSetUp() {
        return byKind.values().stream().filter(Channel::isOffered).map(it -> new Kind(it.kind(), it.label())).sorted(Comparator.comparing(Kind::label)).toList();
    }

    public boolean isOffered(String kind) {
        return !ways(kind).isEmpty();
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
        return ways(kind).stream().findFirst().orElseThrow(() -> new AddressRefused("must be of a kind that is set up here: "
                + String.join(", ", offered().stream().map(Kind::kind).toList()))).address(entered);
    }
}
