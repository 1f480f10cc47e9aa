package org.lampkeeper.proof;

import java.io.BufferedInputStream;
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
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;

/**
 * An SMTP server (RFC 5321, as much as one client needs) that keeps what it takes and lets a test act at an exact stage of a delivery:
 * while the action runs, the client waits, and if the client is dead after it, the conversation ends there.
 */
final class StagedMailServer implements AutoCloseable {

    /** How far a delivery has come. */
    enum Stage {
        /** The client has named the sender: whatever led to the mail is committed, and nothing of the mail has left. */
        BEGUN,
        /** The client wants to send the text; it has not been answered. */
        BEFORE_TEXT,
        /** The server has the whole mail and has not said so. */
        TAKEN,
        /** The server has said so; the client may or may not have recorded it. */
        ANSWERED
    }

    private record Planned(Stage stage, AtomicInteger left, Runnable action) {
    }

    private final ServerSocket socket;
    private final List<Mail> mails = new CopyOnWriteArrayList<>();
    private final AtomicReference<Optional<Planned>> planned = new AtomicReference<>(Optional.empty());

    StagedMailServer() {
        try {
            socket = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
        daemon(this::listen);
    }

    private static void daemon(Runnable work) {
        Thread thread = new Thread(work, "staged-mail-server");
        thread.setDaemon(true);
        thread.start();
    }

    int port() {
        return socket.getLocalPort();
    }

    /** The next delivery that comes to this stage runs {@code action}, once. */
    void at(Stage stage, Runnable action) {
        at(stage, 1, action);
    }

    /** The same for the delivery that comes to this stage as number {@code nth} from now on, counted from 1. */
    void at(Stage stage, int nth, Runnable action) {
        planned.set(Optional.of(new Planned(stage, new AtomicInteger(nth), action)));
    }

    /** Everything taken so far, repeats too, oldest first; whether or not the client was told. */
    List<Mail> mails() {
        return List.copyOf(mails);
    }

    private void listen() {
        while (!socket.isClosed()) {
            try {
                Socket connection = socket.accept();
                daemon(() -> converse(connection));
            } catch (IOException closed) {
                return;
            }
        }
    }

    private void converse(Socket connection) {
        try (connection; InputStream in = new BufferedInputStream(connection.getInputStream());
                OutputStream out = connection.getOutputStream()) {
            say(out, "220 staged.example ready");
            for (Optional<String> line = line(in); line.isPresent(); line = line(in)) {
                String command = line.get().split("[ :]")[0].toUpperCase(java.util.Locale.ROOT);
                switch (command) {
                    case "MAIL" -> {
                        reached(Stage.BEGUN);
                        say(out, "250 ok");
                    }
                    case "DATA" -> {
                        reached(Stage.BEFORE_TEXT);
                        say(out, "354 go on");
                        mails.add(Mail.of(text(in)));
                        reached(Stage.TAKEN);
                        say(out, "250 taken");
                        reached(Stage.ANSWERED);
                    }
                    case "QUIT" -> {
                        say(out, "221 bye");
                        return;
                    }
                    default -> say(out, "250 ok");
                }
            }
        } catch (IOException gone) {
            // The client has ended the conversation, or was ended: that is what this server is for.
        }
    }

    private void reached(Stage stage) {
        Optional<Planned> plan = planned.get();
        if (plan.isPresent() && plan.get().stage() == stage && plan.get().left().decrementAndGet() == 0) {
            planned.compareAndSet(plan, Optional.empty());
            plan.get().action().run();
        }
    }

    private static void say(OutputStream out, String answer) throws IOException {
        out.write((answer + "\r\n").getBytes(StandardCharsets.US_ASCII));
        out.flush();
    }

    private static Optional<String> line(InputStream in) throws IOException {
        ByteArrayOutputStream line = new ByteArrayOutputStream();
        for (int next = in.read(); next != '\n'; next = in.read()) {
            if (next < 0) {
                return Optional.empty();
            }
            if (next != '\r') {
                line.write(next);
            }
        }
        return Optional.of(line.toString(StandardCharsets.UTF_8));
    }

    private static byte[] text(InputStream in) throws IOException {
        ByteArrayOutputStream text = new ByteArrayOutputStream();
        for (Optional<String> line = line(in); ; line = line(in)) {
            String content = line.orElseThrow(() -> new IOException("the client ended within a mail"));
            if (content.equals(".")) {
                return text.toByteArray();
            }
            // RFC 5321 §4.5.2: a leading dot was doubled by the sender.
            text.writeBytes(((content.startsWith(".") ? content.substring(1) : content) + "\r\n").getBytes(StandardCharsets.UTF_8));
        }
    }

    @Override
    public void close() throws IOException {
        socket.close();
    }
}
