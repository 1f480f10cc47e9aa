package org.lampkeeper.telemetry;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;

/** MQTT 3.1.1 packets as bytes, for what a well-behaved client library does not send. */
final class RawMqtt {

    private static final int CLEAN_SESSION_USER_AND_PASSWORD = 0b1100_0010;

    private RawMqtt() {
    }

    static byte[] connect(String clientId, String user, String password) {
        ByteArrayOutputStream body = new ByteArrayOutputStream();
        text(body, "MQTT");
        body.write(4);
        body.write(CLEAN_SESSION_USER_AND_PASSWORD);
        number(body, 60);
        text(body, clientId);
        text(body, user);
        text(body, password);
        return packet(0x10, body);
    }

    static byte[] connectVersion5(String clientId, String user, String password) {
        ByteArrayOutputStream body = new ByteArrayOutputStream();
        text(body, "MQTT");
        body.write(5);
        body.write(CLEAN_SESSION_USER_AND_PASSWORD);
        number(body, 60);
        body.write(0);
        text(body, clientId);
        text(body, user);
        text(body, password);
        return packet(0x10, body);
    }

    /** The fixed header alone of a publish whose rest is so long. */
    static byte[] headerOfPublish(int rest) {
        ByteArrayOutputStream header = new ByteArrayOutputStream();
        header.write(0x30);
        length(header, rest);
        return header.toByteArray();
    }

    /** At QoS 0. */
    static byte[] publish(String topic, String payload) {
        ByteArrayOutputStream body = new ByteArrayOutputStream();
        text(body, topic);
        body.writeBytes(payload.getBytes(StandardCharsets.UTF_8));
        return packet(0x30, body);
    }

    static byte[] subscribe(String filter) {
        ByteArrayOutputStream body = new ByteArrayOutputStream();
        number(body, 1);
        text(body, filter);
        body.write(1);
        return packet(0x82, body);
    }

    private static byte[] packet(int header, ByteArrayOutputStream body) {
        ByteArrayOutputStream packet = new ByteArrayOutputStream();
        packet.write(header);
        length(packet, body.size());
        packet.writeBytes(body.toByteArray());
        return packet.toByteArray();
    }

    private static void length(ByteArrayOutputStream out, int length) {
        int rest = length;
        do {
            out.write(rest % 128 + (rest >= 128 ? 128 : 0));
            rest /= 128;
        } while (rest > 0);
    }

    private static void text(ByteArrayOutputStream out, String text) {
        byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
        number(out, bytes.length);
        out.writeBytes(bytes);
    }

    private static void number(ByteArrayOutputStream out, int number) {
        out.write(number >> 8);
        out.write(number);
    }
}
