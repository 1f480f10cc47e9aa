package org.lampkeeper.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.DatagramPacket;
import java.net.DatagramSocket;
import java.net.InetAddress;
import java.net.SocketException;
import java.nio.ByteBuffer;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.function.UnaryOperator;

/** A time server on this machine, after RFC 5905, whose clock is as far off as a test says. */
public final class NtpCounterpart implements AutoCloseable {

    /** RFC 5905, section 6: the prime epoch is 1 January 1900; so many seconds before 1970 (RFC 868 has the same figure). */
    private static final long FROM_1900_TO_1970 = 2_208_988_800L;
    private static final int LENGTH = 48;

    private final DatagramSocket socket;
    private final boolean answers;
    private volatile Duration ahead;
    private volatile UnaryOperator<byte[]> spoilt = packet -> packet;

    private NtpCounterpart(Duration ahead, boolean answers) {
        this.ahead = ahead;
        this.answers = answers;
        try {
            socket = new DatagramSocket(0, InetAddress.getLoopbackAddress());
        } catch (SocketException failed) {
            throw new UncheckedIOException("no free port for the time server", failed);
        }
        Thread thread = new Thread(this::serve, "time-server-of-a-test");
        thread.setDaemon(true);
        thread.start();
    }

    public static NtpCounterpart ahead(Duration by) {
        return new NtpCounterpart(by, true);
    }

    /** One that hears and says nothing. */
    public static NtpCounterpart silent() {
        return new NtpCounterpart(Duration.ZERO, false);
    }

    /** From here on its clock is so far ahead. */
    public void set(Duration by) {
        ahead = by;
    }

    public NtpCounterpart spoiling(UnaryOperator<byte[]> how) {
        spoilt = how;
        return this;
    }

    public int port() {
        return socket.getLocalPort();
    }

    private void serve() {
        while (!socket.isClosed()) {
            try {
                DatagramPacket question = new DatagramPacket(new byte[LENGTH], LENGTH);
                socket.receive(question);
                Optional<byte[]> answer = answers ? Optional.of(spoilt.apply(answer(question.getData()))) : Optional.empty();
                if (answer.isPresent()) {
                    socket.send(new DatagramPacket(answer.get(), LENGTH, question.getSocketAddress()));
                }
            } catch (SocketException closed) {
                return;
            } catch (IOException failed) {
                throw new UncheckedIOException(failed);
            }
        }
    }

    /** RFC 5905, section 7.3, figure 8; of the times, each 32 bits of seconds and 32 of a fraction: reference, origin, receive, transmit. */
    private byte[] answer(byte[] question) {
        long now = timestamp(Instant.now().plus(ahead));
        ByteBuffer packet = ByteBuffer.allocate(LENGTH);
        packet.put((byte) (4 << 3 | 4));
        packet.put((byte) 2).put((byte) 6).put((byte) -20);
        packet.putInt(0).putInt(0).putInt(0x7F000001);
        packet.putLong(now);
        packet.put(question, 40, 8);
        packet.putLong(now).putLong(now);
        return packet.array();
    }

    private static long timestamp(Instant at) {
        long fraction = (long) at.getNano() * (1L << 32) / 1_000_000_000L;
        return at.getEpochSecond() + FROM_1900_TO_1970 << 32 | fraction;
    }

    @Override
    public void close() {
        socket.close();
    }
}
