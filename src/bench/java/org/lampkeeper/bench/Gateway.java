package org.lampkeeper.bench;

import java.io.BufferedOutputStream;
import java.io.DataInputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.concurrent.Semaphore;

/**
 * Publishes for many sensors over one connection, MQTT 3.1.1 at QoS 1, with many messages under way. Written by hand because it shares
 * the processors with what it measures: a client library would take as much of them as the service does.
 */
final class Gateway implements AutoCloseable {

    private static final int UNDER_WAY = 4_000;
    private static final int PUBLISH_QOS_1 = 0x32;
    private static final int PUBACK = 0x40;

    private final Socket socket;
    private final DataOutputStream out;
    private final Semaphore window = new Semaphore(UNDER_WAY);
    private volatile boolean closed;
    private int packetId;

    Gateway(int port, String clientId) throws IOException {
        socket = new Socket("127.0.0.1", port);
        socket.setTcpNoDelay(true);
        out = new DataOutputStream(new BufferedOutputStream(socket.getOutputStream(), 1 << 16));
        byte[] id = clientId.getBytes(StandardCharsets.US_ASCII);
        out.write(0x10);
        out.write(12 + id.length);
        out.writeUTF("MQTT");
        // Protocol level 4, clean session, no keep-alive.
        out.write(new byte[]{4, 2, 0, 0});
        out.writeShort(id.length);
        out.write(id);
        out.flush();
        DataInputStream in = new DataInputStream(socket.getInputStream());
        if (in.readInt() != 0x20020000) {
            throw new IOException("the broker refused the gateway " + clientId);
        }
        Thread reader = new Thread(() -> readAcknowledgements(in), "gateway-" + clientId);
        reader.setDaemon(true);
        reader.start();
    }

    /** Hands over one message, waiting while too many are not acknowledged; it may stay in the buffer until {@link #flush()}. */
    void publish(String topic, byte[] payload) throws IOException, InterruptedException {
        if (!window.tryAcquire()) {
            out.flush();
            window.acquire();
        }
        if (closed) {
            throw new IOException("the broker closed the gateway's connection");
        }
        packetId = packetId % 65_535 + 1;
        out.write(PUBLISH_QOS_1);
        int length = 2 + topic.length() + 2 + payload.length;
        while (length > 127) {
            out.write(length & 127 | 128);
            length >>= 7;
        }
        out.write(length);
        out.writeUTF(topic);
        out.writeShort(packetId);
        out.write(payload);
    }

    void flush() throws IOException {
        out.flush();
    }

    /** Waits until the broker has taken responsibility for everything published so far. */
    void awaitAcknowledged() throws IOException, InterruptedException {
        out.flush();
        window.acquire(UNDER_WAY);
        window.release(UNDER_WAY);
        if (closed) {
            throw new IOException("the broker closed the gateway's connection");
        }
    }

    private void readAcknowledgements(DataInputStream in) {
        byte[] packet = new byte[4];
        try {
            while (true) {
                in.readFully(packet);
                if ((packet[0] & 0xFF) != PUBACK) {
                    throw new IOException("unexpected packet type " + packet[0]);
                }
                window.release();
            }
        } catch (IOException over) {
            closed = true;
            // Wakes whoever waits, to find it closed.
            window.release(UNDER_WAY * 2);
        }
    }

    @Override
    public void close() throws IOException {
        out.write(new byte[]{(byte) 0xE0, 0});
        out.flush();
        socket.close();
    }
}
