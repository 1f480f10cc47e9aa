package org.lampkeeper.testing;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * An SMTP server that accepts everything at once and keeps only the Message-IDs, for tests that send so many mails that {@link MailServer}, which answers
 * in many small pieces and keeps each mail, would be most of what they wait for.
 */
public final class MailSink {

    private static final MailSink SHARED = new MailSink();
    private static final String ID = "message-id:";

    private final ServerSocket server;
    private final List<String> ids = new ArrayList<>();

    private MailSink() {
        try {
            server = new ServerSocket(0, 100, InetAddress.getByName("127.0.0.1"));
        } catch (IOException failed) {
            throw new UncheckedIOException("no free port for the mail sink", failed);
        }
        start(this::listen);
    }

    /** The one of this JVM; it ends with it. */
    public static MailSink shared() {
        return SHARED;
    }

    public int port() {
        return server.getLocalPort();
    }

    /** The Message-IDs of all that was accepted since this was asked last, one for each time that it was. */
    public synchronized List<String> takeMessageIds() {
        List<String> taken = List.copyOf(ids);
        ids.clear();
        return taken;
    }

    private static void start(Runnable work) {
        Thread thread = new Thread(work, "mail-sink");
        thread.setDaemon(true);
        thread.start();
    }

    private void listen() {
        while (!server.isClosed()) {
            try {
                Socket socket = server.accept();
                start(() -> serve(socket));
            } catch (IOException broken) {
                throw new UncheckedIOException("the mail sink broke", broken);
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
                switch (line.toUpperCase(Locale.ROOT)) {
                    case "DATA" -> {
                        say(out, "354 go on");
                        accept(in);
                        say(out, "250 accepted");
                    }
                    case "QUIT" -> {
                        say(out, "221 bye");
                        return;
                    }
                    default -> say(out, "250 sink.example");
                }
            }
        } catch (IOException broken) {
            throw new UncheckedIOException("a connection to the mail sink broke", broken);
        }
    }

    /** RFC 5321, 4.1.1.4: it ends with a line of a point alone. A header may be anywhere in front of the first empty line. */
    private void accept(BufferedReader in) throws IOException {
        String id = "";
        boolean isHead = true;
        for (String line = in.readLine(); line != null && !line.equals("."); line = in.readLine()) {
            isHead &= !line.isEmpty();
            if (isHead && line.toLowerCase(Locale.ROOT).startsWith(ID)) {
                id = line.substring(ID.length()).strip();
            }
        }
        synchronized (this) {
            ids.add(id);
        }
    }

    private static void say(OutputStream out, String line) throws IOException {
        out.write((line + "\r\n").getBytes(StandardCharsets.US_ASCII));
        out.flush();
    }
}
