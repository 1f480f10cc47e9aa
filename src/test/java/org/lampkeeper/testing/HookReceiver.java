package org.lampkeeper.testing;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;

import javax.crypto.Mac;
import javax.crypto.spec.SecretKeySpec;
import javax.net.ServerSocketFactory;

/** A receiver of webhooks on real sockets that behaves as badly as it is told to, and remembers every request that it got whole. */
public final class HookReceiver implements AutoCloseable {

    /** What it does with a connection once the request is there. */
    public interface Behaviour {
        void answer(OutputStream out) throws IOException, InterruptedException;
    }

    public record Received(String line, Map<String, String> headers, byte[] bytes) {

        public String body() {
            return new String(bytes, StandardCharsets.UTF_8);
        }

        /** Whether it was signed with this secret, as Standard Webhooks says, worked out by nothing of ours. */
        public boolean isSignedWith(String secret) {
            try {
                Mac mac = Mac.getInstance("HmacSHA256");
                mac.init(new SecretKeySpec(Base64.getDecoder().decode(secret.substring("whsec_".length())), "HmacSHA256"));
                mac.update((headers.get("webhook-id") + "." + headers.get("webhook-timestamp") + ".").getBytes(StandardCharsets.UTF_8));
                String right = "v1," + Base64.getEncoder().encodeToString(mac.doFinal(bytes));
                return List.of(headers.get("webhook-signature").split(" ")).contains(right);
            } catch (GeneralSecurityException everyJavaHasIt) {
                throw new IllegalStateException(everyJavaHasIt);
            }
        }
    }

    private final ServerSocket server;
    private final ExecutorService threads = Executors.newCachedThreadPool();
    private final List<Received> received = new CopyOnWriteArrayList<>();
    private final List<Socket> connections = new CopyOnWriteArrayList<>();
    private volatile Behaviour behaviour = status(204);

    private HookReceiver(ServerSocketFactory sockets) throws IOException {
        server = sockets.createServerSocket(0, 50, InetAddress.getByName("127.0.0.1"));
        threads.execute(this::accept);
    }

    public static HookReceiver start() throws IOException {
        return new HookReceiver(ServerSocketFactory.getDefault());
    }

    public static HookReceiver start(ServerSocketFactory sockets) throws IOException {
        return new HookReceiver(sockets);
    }

    /** A whole answer without a body. */
    public static Behaviour status(int status, String... headers) {
        return out -> write(out, "HTTP/1.1 " + status + " x\r\nContent-Length: 0\r\n" + String.join("", headers) + "\r\n");
    }

    /** Never says a word. */
    public static Behaviour hang() {
        return out -> TimeUnit.DAYS.sleep(1);
    }

    /** Says one letter after the other, and never comes to an end. */
    public static Behaviour drip() {
        return out -> {
            write(out, "HTTP/1.1 200 x\r\nContent-Length: 10000\r\n\r\n");
            while (true) {
                write(out, ".");
                TimeUnit.MILLISECONDS.sleep(20);
            }
        };
    }

    /** Begins an answer of 200 and breaks off. */
    public static Behaviour cutMidAnswer() {
        return out -> write(out, "HTTP/1.1 200 x\r\nContent-Length: 100\r\n\r\nhalf of");
    }

    /** Has taken the request, and is gone before it answers. */
    public static Behaviour deadAfterAccept() {
        return out -> {
        };
    }

    public static Behaviour endless() {
        return out -> {
            write(out, "HTTP/1.1 200 x\r\nTransfer-Encoding: chunked\r\n\r\n");
            while (true) {
                write(out, "1000\r\n" + "x".repeat(4096) + "\r\n");
            }
        };
    }

    public static void write(OutputStream out, String text) throws IOException {
        out.write(text.getBytes(StandardCharsets.ISO_8859_1));
        out.flush();
    }

    public void behaves(Behaviour next) {
        behaviour = next;
    }

    public int port() {
        return server.getLocalPort();
    }

    public String url(String path) {
        return "http://127.0.0.1:" + port() + path;
    }

    public List<Received> received() {
        return List.copyOf(received);
    }

    private void accept() {
        while (!server.isClosed()) {
            try {
                Socket socket = server.accept();
                connections.add(socket);
                threads.execute(() -> serve(socket));
            } catch (IOException closed) {
                return;
            }
        }
    }

    private void serve(Socket socket) {
        try (socket) {
            received.add(read(socket.getInputStream()));
            behaviour.answer(socket.getOutputStream());
        } catch (IOException gone) {
            // The other side has had enough, which is what some tests are about.
            connections.remove(socket);
        } catch (InterruptedException closing) {
            Thread.currentThread().interrupt();
        }
    }

    private static Received read(InputStream in) throws IOException {
        String line = line(in);
        Map<String, String> headers = new TreeMap<>(String.CASE_INSENSITIVE_ORDER);
        for (String header = line(in); !header.isEmpty(); header = line(in)) {
            headers.put(header.substring(0, header.indexOf(':')), header.substring(header.indexOf(':') + 1).strip());
        }
        return new Received(line, headers, in.readNBytes(Integer.parseInt(headers.getOrDefault("Content-Length", "0"))));
    }

    private static String line(InputStream in) throws IOException {
        StringBuilder line = new StringBuilder();
        for (int next = in.read(); next != '\n'; next = in.read()) {
            if (next < 0) {
                throw new IOException("the request broke off");
            }
            if (next != '\r') {
                line.append((char) next);
            }
        }
        return line.toString();
    }

    @Override
    public void close() {
        try {
            server.close();
            for (Socket connection : connections) {
                connection.close();
            }
        } catch (IOException failed) {
            throw new UncheckedIOException(failed);
        }
        threads.shutdownNow();
    }
}
