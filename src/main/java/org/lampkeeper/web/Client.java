package org.lampkeeper.web;

import java.net.InetAddress;
import java.net.UnknownHostException;
import java.util.Optional;

import io.vertx.core.http.HttpServerRequest;
import io.vertx.core.net.SocketAddress;
import org.jspecify.annotations.Nullable;

/** What is known of the device that a request comes from. */
record Client(HttpServerRequest request) {

    /** In the order in which they are looked for: an Edge also calls itself a Chrome, a Chrome a Safari. */
    private static final String[][] BROWSERS = {{"Edg", "Edge"}, {"Firefox/", "Firefox"}, {"Chrome/", "Chrome"}, {"Safari/", "Safari"}};
    private static final String[][] SYSTEMS = {{"Android", "Android"}, {"iPhone", "an iPhone"}, {"iPad", "an iPad"}, {"Windows", "Windows"},
            {"Mac OS", "a Mac"}, {"Linux", "Linux"}};

    /** In words, so that its owner can tell it from another: {@code Firefox on Android}. */
    String device() {
        return device(Optional.ofNullable(request.getHeader("User-Agent")).orElse(""));
    }

    static String device(String userAgent) {
        String browser = first(BROWSERS, userAgent).orElse("A browser");
        return first(SYSTEMS, userAgent).map(system -> browser + " on " + system).orElse(browser);
    }

    /** Where it comes from, as far as guessing is counted: the address, of an IPv6 one the part that a provider gives out at once. */
    String address() {
        @Nullable SocketAddress remote = request.remoteAddress();
        String address = remote == null || remote.hostAddress() == null ? "unknown" : remote.hostAddress();
        return network(address);
    }

    static String network(String address) {
        if (!address.contains(":")) {
            return address;
        }
        byte[] bytes = literal(address);
        StringBuilder prefix = new StringBuilder();
        // RFC 6177: one customer has a /64 at least.
        for (int i = 0; i < 8 && i < bytes.length; i++) {
            prefix.append("%02x".formatted(bytes[i]));
        }
        return prefix.toString();
    }

    boolean isThisMachine() {
        @Nullable SocketAddress remote = request.remoteAddress();
        try {
            return remote != null && remote.hostAddress() != null && InetAddress.getByName(remote.hostAddress()).isLoopbackAddress();
        } catch (UnknownHostException notAnAddress) {
            return false;
        }
    }

    private static byte[] literal(String address) {
        try {
            // An address in figures: nothing is asked of any name server.
            return InetAddress.getByName(address).getAddress();
        } catch (UnknownHostException e) {
            throw new IllegalStateException("the network gave " + address + " as an address", e);
        }
    }

    private static Optional<String> first(String[][] words, String userAgent) {
        for (String[] word : words) {
            if (userAgent.contains(word[0])) {
                return Optional.of(word[1]);
            }
        }
        return Optional.empty();
    }
}
