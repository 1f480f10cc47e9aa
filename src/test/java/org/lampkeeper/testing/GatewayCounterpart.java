package org.lampkeeper.testing;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;

/**
 * A provider's HTTP service on a port of its own, on bare sockets, so that it can behave as badly as a network does. One runs for all
 * Quarkus tests ({@link #shared()}); each test looks only for its own numbers and leaves it taking what comes.
 */
public final class GatewayCounterpart implements AutoCloseable {

    private static final GatewayCounterpart SHARED = new GatewayCounterpart();

    /** What it does with a request. */
    public enum Manner {
        ANSWERS, HANGS, ANSWERS_SLOWLY, NEVER_ENDS_ITS_ANSWER, CUTS_BEFORE_IT_TOOK, CUTS_AFTER_IT_TOOK
    }

    /** @param headers by their names in lower case */
    public record Received(String method, String target, Map<String, String> headers, String body) {
    }

    private final ServerSocket socket;
    private final List<Received> received = new CopyOnWriteArrayList<>();
    private final List<Socket> open = new CopyOnWriteArrayList<>();
    private final CountDownLatch closed = new CountDownLatch(1);
    private volatile Manner manner = Manner.ANSWERS;
    private volatile int status = 200;
    private volatile String answer = "{\"id\":\"m-1\"}";

    public GatewayCounterpart() {
        try {
            socket = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
        } catch (IOException failed) {
            throw new UncheckedIOException("no free port for the gateway's counterpart", failed);
        }
        daemon(this::accept);
    }

    /** The provider that the application under test is set up for: see {@link GatewayResource}. */
    public static GatewayCounterpart shared() {
        return SHARED;
    }

    public String address() {
        return "http://127.0.0.1:" + socket.getLocalPort();
    }

    public void behaves(Manner next) {
        manner = next;
    }

    public void answers(int nextStatus, String body) {
        status = nextStatus;
        answer = body;
    }

    /** What was read to its end, oldest first. */
    public List<Received> received() {
        return received;
    }

    private static void daemon(Runnable work) {
        Thread thread = new Thread(work, "gateway-counterpart");
        thread.setDaemon(true);
        thread.start();
    }

    private void accept() {
        while (!socket.isClosed()) {
            try {
                Socket connection = socket.accept();
                open.add(connection);
                daemon(() -> serve(connection));
            } catch (IOException ended) {
                return;
            }
        }
    }

    private void serve(Socket connection) {
        try (connection) {
            InputStream in = connection.getInputStream();
            while (true) {
                String head = head(in);
                if (head.isEmpty() || manner == Manner.CUTS_BEFORE_IT_TOOK) {
                    return;
                }
                String[] lines = head.split("\r\n");
                String[] first = lines[0].split(" ");
                Map<String, String> headers = new TreeMap<>();
                for (int i = 1; i < lines.length; i++) {
                    String[] parts = lines[i].split(":", 2);
                    headers.put(parts[0].toLowerCase(Locale.ROOT), parts[1].strip());
                }
                int length = Integer.parseInt(headers.getOrDefault("content-length", "0"));
                received.add(new Received(first[0], first[1], headers, new String(in.readNBytes(length), StandardCharsets.UTF_8)));
                if (manner == Manner.CUTS_AFTER_IT_TOOK || !answer(connection.getOutputStream())) {
                    return;
                }
            }
        } catch (IOException | InterruptedException gone) {
            // The other side has gone: nothing is left to be answered.
            open.remove(connection);
        }
    }

    private boolean answer(OutputStream out) throws IOException, InterruptedException {
        if (manner == Manner.HANGS) {
            closed.await();
            return false;
        }
        byte[] body = answer.getBytes(StandardCharsets.UTF_8);
        int told = manner == Manner.NEVER_ENDS_ITS_ANSWER ? body.length + 1 : body.length;
        byte[] head = ("HTTP/1.1 " + status + " As-Told\r\nContent-Type: application/json\r\nContent-Length: " + told + "\r\n\r\n")
                .getBytes(StandardCharsets.US_ASCII);
        if (manner == Manner.ANSWERS_SLOWLY) {
            for (byte each : head) {
                out.write(each);
                out.flush();
                Thread.sleep(2);
            }
        } else {
            out.write(head);
        }
        out.write(body);
        out.flush();
        if (manner == Manner.NEVER_ENDS_ITS_ANSWER) {
            closed.await();
        }
        return true;
    }

    private static String head(InputStream in) throws IOException {
        ByteArrayOutputStream read = new ByteArrayOutputStream();
        for (int each = in.read(); each >= 0; each = in.read()) {
            read.write(each);
            String text = read.toString(StandardCharsets.US_ASCII);
            if (text.endsWith("\r\n\r\n")) {
                return text;
            }
        }
        return "";
    }

    @Override
    public void close() throws IOException {
        closed.countDown();
        socket.close();
        for (Socket connection : open) {
            connection.close();
        }
    }
}
