package org.lampkeeper.message;

import java.net.InetAddress;
import java.net.UnknownHostException;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.junit.jupiter.api.Assertions.assertEquals;

class InternalAddressTest {

    /** Both sides of each border; the ranges are those of RFC 6890, RFC 4291 and IANA's registers of special-purpose addresses. */
    @ParameterizedTest
    @CsvSource({
        "0.0.0.0,true", "0.255.255.255,true", "1.0.0.0,false",
        "9.255.255.255,false", "10.0.0.0,true", "10.255.255.255,true", "11.0.0.0,false",
        "100.63.255.255,false", "100.64.0.0,true", "100.127.255.255,true", "100.128.0.0,false",
        "126.255.255.255,false", "127.0.0.1,true", "127.255.255.255,true", "128.0.0.0,false",
        "169.253.255.255,false", "169.254.169.254,true", "169.255.0.0,false",
        "172.15.255.255,false", "172.16.0.0,true", "172.31.255.255,true", "172.32.0.0,false",
        "192.167.255.255,false", "192.168.0.0,true", "192.168.255.255,true", "192.169.0.0,false",
        "198.17.255.255,false", "198.18.0.0,true", "198.19.255.255,true", "198.20.0.0,false",
        "223.255.255.255,false", "224.0.0.1,true", "240.0.0.1,true", "255.255.255.255,true",
        "::,true", "::1,true", "::ffff:127.0.0.1,true", "::ffff:10.1.2.3,true", "::127.0.0.1,true",
        "64:ff9b::7f00:1,true", "1fff::1,true", "2000::1,false", "3fff:ffff::1,false", "4000::1,true",
        "2001:0:1::1,true", "2001:db8::1,true", "2002:7f00:1::1,true", "2003::1,false",
        "fc00::1,true", "fd00:ec2::254,true", "fe80::1,true", "fec0::1,true", "ff02::1,true"
    })
    void onlyPublicUnicastIsNotInternal(String address, boolean internal) throws UnknownHostException {
        assertEquals(internal, InternalAddress.isInternal(InetAddress.getByName(address)));
    }
}
