package org.lampkeeper.bench;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.atomic.AtomicLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A mail server that accepts everything at once and remembers when it accepted the first mail about each cabinet. By hand, because a real
 * one would be measured along with the service.
 */
final class SmtpSink implements AutoCloseable {

    private static final Pattern ABOUT = Pattern.compile("^Subject:.*?(K\\d{7})", Pattern.MULTILINE);
    private static final Pattern ASKS_TO_LOOK = Pattern.compile("^Subject: Look at ", Pattern.MULTILINE);

    private final ServerSocket server = new ServerSocket(0, 100, InetAddress.getByName("127.0.0.1"));
    private final Map<String, Long> acceptedAt = new ConcurrentHashMap<>();
    private final List<Accepted> accepted = new CopyOnWriteArrayList<>();

    private final AtomicLong looks = new AtomicLong();

    /** A whole mail, and {@link System#nanoTime()} at which it had been accepted. */
    record Accepted(long at, String mail) {
    }

    SmtpSink() throws IOException {
        start(this::listen, "smtp");
    }

    int port() {
        return server.getLocalPort();
    }

    /** By cabinet name: {@link System#nanoTime()} at which the first mail about it had been accepted. */
    Map<String, Long> acceptedAt() {
        return Map.copyOf(acceptedAt);
    }

    /** The same of one cabinet; empty before. */
    OptionalLong acceptedAt(String cabinet) {
        Long at = acceptedAt.get(cabinet);
        return at == null ? OptionalLong.empty() : OptionalLong.of(at);
    }

    /** How many asked somebody to look; they are counted and not kept, and are about no loss. */
    long looks() {
        return looks.get();
    }

    /** Everything so far about losses, in order. */
    List<Accepted> accepted() {
        return List.copyOf(accepted);
    }

    private static void start(Runnable work, String name) {
        Thread thread = new Thread(work, name);
        thread.setDaemon(true);
        thread.start();
    }

    private void listen() {
        while (!server.isClosed()) {
            try {
                Socket socket = server.accept();
                start(() -> serve(socket), "smtp-connection");
            } catch (IOException closed) {
                if (!server.isClosed()) {
                    throw new IllegalStateException("the mail server broke", closed);
                }
            }
        }
    }

    private void serve(Socket socket) {
        try (socket) {
            socket.setTcpNoDelay(true);
            BufferedReader in = new BufferedReader(new InputStreamReader(socket.getInputStream(), StandardCharsets.ISO_8859_1));
            OutputStream out = socket.getOutputStream();
            say(out, "220 sink.example");
            for (String line = in.readLine(); line != null; line = in.readLine()) {
                String verb = line.length() < 4 ? line : line.substring(0, 4).toUpperCase();
                switch (verb) {
                    case "DATA" -> {
                        say(out, "354 go on");
                        String mail = readMail(in);
                        say(out, "250 accepted");
                        long now = System.nanoTime();
                        if (ASKS_TO_LOOK.matcher(mail).find()) {
                            looks.incrementAndGet();
                            continue;
                        }
                        accepted.add(new Accepted(now, mail));
                        Matcher about = ABOUT.matcher(mail);
                        if (about.find()) {
                            acceptedAt.putIfAbsent(about.group(1), now);
                        }
                    }
                    case "QUIT" -> {
                        say(out, "221 bye");
                        return;
                    }
                    default -> say(out, "250 sink.example");
                }
            }
        } catch (IOException broken) {
            System.err.println("a mail connection broke: " + broken.getMessage());
        }
    }

    private static String readMail(BufferedReader in) throws IOException {
        StringBuilder mail = new StringBuilder();
        for (String line = in.readLine(); line != null && !line.equals("."); line = in.readLine()) {
            mail.append(line.startsWith(".") ? line.substring(1) : line).append("\r\n");
        }
        return mail.toString();
    }

    private static void say(OutputStream out, String line) throws IOException {
        out.write((line + "\r\n").getBytes(StandardCharsets.US_ASCII));
        out.flush();
    }

    @Override
    public void close() throws IOException {
        server.close();
    }
}
