package org.lampkeeper.message;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Queue;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.locks.LockSupport;

import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLSocket;

/** An SMTP server that answers as told, for what no well-behaved server can be made to do: refusing, stalling, falling silent. */
final class ScriptedMailServer implements AutoCloseable {

    static final String SILENCE = "";
    /** The connection is cut instead of an answer; for DATA after the first line of the mail. */
    static final String CUT = "cut";

    private final ServerSocket socket;
    private final Map<String, String> answers = new ConcurrentHashMap<>();
    private final Map<String, Duration> slow = new ConcurrentHashMap<>();
    private final Queue<String> heard = new ConcurrentLinkedQueue<>();
    private final Queue<String> lines = new ConcurrentLinkedQueue<>();
    private volatile Optional<SSLContext> tls = Optional.empty();
    private volatile Optional<String> login = Optional.empty();
    private final Queue<Socket> connections = new ConcurrentLinkedQueue<>();

    ScriptedMailServer() throws IOException {
        socket = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
        Thread listener = new Thread(this::listen, "scripted-mail-server");
        listener.setDaemon(true);
        listener.start();
    }

    /** @param command beginning of the command, such as "RCPT"; "" for the greeting, "." for the end of the data */
    ScriptedMailServer answer(String command, String answer) {
        answers.put(command, answer);
        return this;
    }

    /** Answers as before, but only after this long. */
    ScriptedMailServer slow(String command, Duration pause) {
        slow.put(command, pause);
        return this;
    }

    /** Offers STARTTLS. */
    ScriptedMailServer withTls(SSLContext context) {
        tls = Optional.of(context);
        return this;
    }

    /** Offers PLAIN and LOGIN, and takes this one. */
    ScriptedMailServer withLogin(String name, String password) {
        login = Optional.of(name + " " + password);
        return this;
    }

    /** Every command so far; "encrypted " before those that came by TLS. */
    List<String> heard() {
        return List.copyOf(heard);
    }

    /** Every line of every mail so far. */
    List<String> lines() {
        return List.copyOf(lines);
    }

    void behaveWell() {
        answers.clear();
        slow.clear();
    }

    int port() {
        return socket.getLocalPort();
    }

    private void listen() {
        while (!socket.isClosed()) {
            try {
                Socket connection = socket.accept();
                connections.add(connection);
                Thread conversation = new Thread(() -> converse(connection));
                conversation.setDaemon(true);
                conversation.start();
            } catch (IOException closed) {
                return;
            }
        }
    }

    private void converse(Socket connection) {
        Socket line = connection;
        try (connection) {
            BufferedReader in = reader(line);
            if (CUT.equals(answers.get(""))) {
                return;
            }
            say(line, answers.getOrDefault("", "220 ready"));
            boolean data = false;
            boolean isSecret = false;
            for (String said = in.readLine(); said != null; said = in.readLine()) {
                if (data && !said.equals(".")) {
                    lines.add(said);
                    if (CUT.equals(answers.get("DATA"))) {
                        return;
                    }
                    continue;
                }
                String command = said.split(" ")[0];
                heard.add((isSecret ? "encrypted " : "") + said);
                data = command.equals("DATA") && (!answers.containsKey("DATA") || CUT.equals(answers.get("DATA")));
                if (CUT.equals(answers.get(command)) && !data) {
                    return;
                }
                dawdle(command);
                say(line, data ? usual(command) : answers.getOrDefault(command, answerTo(command, said, isSecret, in, line)));
                if (command.equals("STARTTLS") && tls.isPresent()) {
                    // Whatever was sent before belongs to nobody: a new reader.
                    line = tls.get().getSocketFactory().createSocket(line, null, line.getPort(), false);
                    ((SSLSocket) line).setUseClientMode(false);
                    ((SSLSocket) line).startHandshake();
                    in = reader(line);
                    isSecret = true;
                }
            }
        } catch (IOException gone) {
            // The client has hung up: that conversation is over.
        }
    }

    private void dawdle(String command) {
        Duration pause = slow.get(command);
        if (pause != null) {
            LockSupport.parkNanos(pause.toNanos());
        }
    }

    private String answerTo(String command, String said, boolean isSecret, BufferedReader in, Socket line) throws IOException {
        return switch (command) {
            case "EHLO" -> "250-scripted" + (tls.isPresent() && !isSecret ? "\r\n250-STARTTLS" : "")
                    + (login.isPresent() ? "\r\n250-AUTH PLAIN LOGIN" : "") + "\r\n250 8BITMIME";
            case "AUTH" -> credentials(said, in, line).equals(login.orElse("none")) ? "235 welcome"
                    : "535 5.7.8 " + login.orElse("none").split(" ")[0] + " is not " + "welcome like this";
            default -> usual(command);
        };
    }

    /** "name password", as it came by PLAIN or by LOGIN (RFC 4954). */
    private static String credentials(String said, BufferedReader in, Socket line) throws IOException {
        if (said.startsWith("AUTH PLAIN ")) {
            return decoded(said.substring("AUTH PLAIN ".length())).substring(1).replace('\0', ' ');
        }
        say(line, "334 " + Base64.getEncoder().encodeToString("Username:".getBytes(StandardCharsets.US_ASCII)));
        String name = decoded(in.readLine());
        say(line, "334 " + Base64.getEncoder().encodeToString("Password:".getBytes(StandardCharsets.US_ASCII)));
        return name + " " + decoded(in.readLine());
    }

    private static String decoded(String text) {
        return new String(Base64.getDecoder().decode(text), StandardCharsets.UTF_8);
    }

    private static BufferedReader reader(Socket line) throws IOException {
        return new BufferedReader(new InputStreamReader(line.getInputStream(), StandardCharsets.US_ASCII));
    }

    private static String usual(String command) {
        return command.equals("DATA") ? "354 go on" : "250 ok";
    }

    private static void say(Socket line, String answer) throws IOException {
        if (!answer.equals(SILENCE)) {
            OutputStream out = line.getOutputStream();
            out.write((answer + "\r\n").getBytes(StandardCharsets.US_ASCII));
            out.flush();
        }
    }

    @Override
    public void close() throws IOException {
        socket.close();
        for (Socket connection : connections) {
            connection.close();
        }
    }
}
