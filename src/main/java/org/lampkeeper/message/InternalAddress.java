package org.lampkeeper.message;

import java.net.Inet4Address;
import java.net.InetAddress;

/**
 * Tells addresses of the public network from those that a webhook must not reach by itself: whoever may enter a URL could otherwise
 * have this server knock at doors that are closed to them. Judge the address that is connected to, never the name: a name may answer
 * differently at the next look-up.
 */
final class InternalAddress {

    private InternalAddress() {}

    /**
     * Whether the address is anything but a public unicast one. An IPv6 address counts as public only within 2000::/3 (RFC 4291 §2.4,
     * IANA's global unicast space), and there not when it carries an IPv4 address (6to4 RFC 3056, Teredo RFC 4380) or is for
     * documentation (RFC 3849). IPv4-mapped ones are IPv4 to Java already. NAT64 (RFC 6052) is outside 2000::/3.
     */
    static boolean isInternal(InetAddress address) {
        byte[] bytes = address.getAddress();
        int a = bytes[0] & 0xff;
        int b = bytes[1] & 0xff;
        int c = bytes[2] & 0xff;
        int d = bytes[3] & 0xff;
        if (!(address instanceof Inet4Address)) {
            boolean teredo = a == 0x20 && b == 0x01 && c == 0 && d == 0;
            boolean documentation = a == 0x20 && b == 0x01 && c == 0x0d && d == 0xb8;
            boolean sixToFour = a == 0x20 && b == 0x02;
            return (a & 0xe0) != 0x20 || teredo || documentation || sixToFour;
        }
        // RFC 6890 and IANA's register of special-purpose IPv4 addresses, in its order
        return a == 0
                || a == 10
                || (a == 100 && (b & 0xc0) == 64)
                || a == 127
                || (a == 169 && b == 254)
                || (a == 172 && (b & 0xf0) == 16)
                || (a == 192 && b == 0 && (c == 0 || c == 2))
                || (a == 192 && b == 88 && c == 99)
                || (a == 192 && b == 168)
                || (a == 198 && (b & 0xfe) == 18)
                || (a == 198 && b == 51 && c == 100)
                || (a == 203 && b == 0 && c == 113)
                || a >= 224;
    }
}
