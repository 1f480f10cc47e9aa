package org.lampkeeper.proof;

import java.io.BufferedInputStream;
import java.io.DataInputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicReference;

/**
 * Stands between the service and its broker, passes every MQTT packet on, and lets a test act in the moment in which the service
 * acknowledges a certain message, before or instead of telling the broker.
 */
final class AcknowledgementGate implements AutoCloseable {

    // MQTT 5.0 §2.1.2.
    private static final int PUBLISH = 3;
    private static final int PUBACK = 4;

    private record Planned(String topic, String content, boolean passesOn, Runnable action) {
    }

    private final URI broker;
    private final ServerSocket socket;
    private final AtomicReference<Optional<Planned>> planned = new AtomicReference<>(Optional.empty());

    AcknowledgementGate(URI broker) {
        this.broker = broker;
        try {
            socket = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
        daemon(this::listen);
    }

    private static void daemon(Runnable work) {
        Thread thread = new Thread(work, "acknowledgement-gate");
        thread.setDaemon(true);
        thread.start();
    }

    URI uri() {
        return URI.create("tcp://127.0.0.1:" + socket.getLocalPort());
    }

    /** Instead of the next acknowledgement of a message on {@code topic} whose payload has {@code content} in it, {@code action}. */
    void insteadOfAcknowledging(String topic, String content, Runnable action) {
        planned.set(Optional.of(new Planned(topic, content, false, action)));
    }

    /** Before the next such acknowledgement is passed on, {@code action}. */
    void beforeAcknowledging(String topic, String content, Runnable action) {
        planned.set(Optional.of(new Planned(topic, content, true, action)));
    }

    private void listen() {
        while (!socket.isClosed()) {
            try {
                Socket service = socket.accept();
                Socket upstream = new Socket(broker.getHost(), broker.getPort());
                Map<Integer, String> underWay = new ConcurrentHashMap<>();
                daemon(() -> pass(upstream, service, (type, packet) -> {
                    if (type == PUBLISH) {
                        remember(packet, underWay);
                    }
                    return true;
                }));
                daemon(() -> pass(service, upstream, (type, packet) -> type != PUBACK || mayPass(packet, underWay)));
            } catch (IOException closedOrNoBroker) {
                // A service that finds nobody behind the gate tries again; a gate that is closed ends with the loop's condition.
            }
        }
    }

    private interface Look {
        /** Whether the packet is passed on. */
        boolean at(int type, byte[] packet);
    }

    private static void pass(Socket from, Socket to, Look look) {
        try (from; to; DataInputStream in = new DataInputStream(new BufferedInputStream(from.getInputStream()));
                OutputStream out = to.getOutputStream()) {
            from.setTcpNoDelay(true);
            to.setTcpNoDelay(true);
            for (int header = in.read(); header >= 0; header = in.read()) {
                byte[] packet = packet(header, in);
                if (look.at(header >> 4, packet)) {
                    out.write(packet);
                    out.flush();
                }
            }
        } catch (IOException gone) {
            // One side has hung up; closing both lets the other side know.
        }
    }

    private static byte[] packet(int header, DataInputStream in) throws IOException {
        byte[] length = new byte[4];
        int digits = 0;
        int rest = 0;
        int digit;
        do {
            digit = in.readUnsignedByte();
            rest |= (digit & 0x7F) << (7 * digits);
            length[digits++] = (byte) digit;
        } while ((digit & 0x80) != 0);
        byte[] packet = new byte[1 + digits + rest];
        packet[0] = (byte) header;
        System.arraycopy(length, 0, packet, 1, digits);
        in.readFully(packet, 1 + digits, rest);
        return packet;
    }

    private static int bodyAt(byte[] packet) {
        int at = 1;
        while ((packet[at] & 0x80) != 0) {
            at++;
        }
        return at + 1;
    }

    private static int number(byte[] packet, int at) {
        return (packet[at] & 0xFF) << 8 | packet[at + 1] & 0xFF;
    }

    private void remember(byte[] packet, Map<Integer, String> underWay) {
        int qos = packet[0] >> 1 & 3;
        if (qos > 0) {
            int body = bodyAt(packet);
            int id = number(packet, body + 2 + number(packet, body));
            underWay.put(id, new String(packet, body + 2, packet.length - body - 2, StandardCharsets.UTF_8));
        }
    }

    private boolean mayPass(byte[] packet, Map<Integer, String> underWay) {
        String message = underWay.getOrDefault(number(packet, bodyAt(packet)), "");
        Optional<Planned> due = planned.get();
        if (due.isEmpty() || !message.startsWith(due.get().topic()) || !message.contains(due.get().content())) {
            return true;
        }
        if (planned.compareAndSet(due, Optional.empty())) {
            due.get().action().run();
        }
        return due.get().passesOn();
    }

    @Override
    public void close() throws IOException {
        socket.close();
    }
}
