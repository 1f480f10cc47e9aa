package org.lampkeeper.testing;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;

/** The network between a browser and the service, of one test: it can be cut, so that nobody answers at its port, and mended. */
public final class Relay implements AutoCloseable {

    private final int target;
    private final int port;
    private final Set<Socket> open = ConcurrentHashMap.newKeySet();
    private final AtomicReference<Optional<String>> lost = new AtomicReference<>(Optional.empty());
    private final AtomicInteger lostReplies = new AtomicInteger();
    private volatile ServerSocket entrance;

    private Relay(int target) throws IOException {
        this.target = target;
        entrance = listen(0);
        port = entrance.getLocalPort();
        accept(entrance);
    }

    public static Relay to(int port) {
        try {
            return new Relay(port);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    public int port() {
        return port;
    }

    /** From now on nobody is reached, and what was on its way is lost. */
    public void cut() {
        closed(entrance);
        open.forEach(Relay::closed);
        open.clear();
    }

    public void mend() {
        try {
            entrance = listen(port);
            accept(entrance);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** The next request that begins like this reaches the service, and its answer nobody. */
    public void loseTheReplyTo(String beginning) {
        lost.set(Optional.of(beginning));
    }

    public int lostReplies() {
        return lostReplies.get();
    }

    @Override
    public void close() {
        cut();
    }

    private static ServerSocket listen(int port) throws IOException {
        ServerSocket socket = new ServerSocket();
        socket.setReuseAddress(true);
        socket.bind(new InetSocketAddress(InetAddress.getLoopbackAddress(), port));
        return socket;
    }

    private void accept(ServerSocket at) {
        start(() -> {
            while (!at.isClosed()) {
                Socket browser = at.accept();
                Socket service = new Socket(InetAddress.getLoopbackAddress(), target);
                open.add(browser);
                open.add(service);
                AtomicInteger isDeaf = new AtomicInteger();
                start(() -> pump(browser, service, bytes -> noteWhatIsLost(bytes, isDeaf)));
                start(() -> pump(service, browser, bytes -> {
                    if (isDeaf.get() > 0) {
                        lostReplies.incrementAndGet();
                        throw new IOException("this reply gets lost");
                    }
                }));
            }
        });
    }

    private void noteWhatIsLost(String bytes, AtomicInteger isDeaf) {
        Optional<String> beginning = lost.get();
        if (beginning.isPresent() && bytes.startsWith(beginning.get()) && lost.compareAndSet(beginning, Optional.empty())) {
            isDeaf.set(1);
        }
    }

    private interface Look {
        void at(String bytes) throws IOException;
    }

    private interface Step {
        void run() throws IOException;
    }

    private void pump(Socket from, Socket to, Look look) throws IOException {
        try (from; to) {
            InputStream in = from.getInputStream();
            OutputStream out = to.getOutputStream();
            byte[] buffer = new byte[16_384];
            for (int read = in.read(buffer); read >= 0; read = in.read(buffer)) {
                look.at(new String(buffer, 0, read, StandardCharsets.ISO_8859_1));
                out.write(buffer, 0, read);
                out.flush();
            }
        } finally {
            open.remove(from);
            open.remove(to);
        }
    }

    private static void start(Step step) {
        Thread thread = new Thread(() -> {
            try {
                step.run();
            } catch (IOException ends) {
                // A connection that one side closes, or that is cut: that is what this is for.
                return;
            }
        }, "relay");
        thread.setDaemon(true);
        thread.start();
    }

    private static void closed(AutoCloseable socket) {
        try {
            socket.close();
        } catch (Exception e) {
            throw new IllegalStateException("a socket on this machine could not be closed", e);
        }
    }
}
