package org.lampkeeper.message;

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
import java.util.Queue;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ConcurrentLinkedQueue;

/** An SMTP server that answers as told, for what no well-behaved server can be made to do: refusing, stalling, falling silent. */
final class ScriptedMailServer implements AutoCloseable {

    static final String SILENCE = "";

    private final ServerSocket socket;
    private final Map<String, String> answers = new ConcurrentHashMap<>();
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

    void behaveWell() {
        answers.clear();
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
        try (connection; BufferedReader in = new BufferedReader(new InputStreamReader(connection.getInputStream(), StandardCharsets.US_ASCII))) {
            OutputStream out = connection.getOutputStream();
            say(out, answers.getOrDefault("", "220 ready"));
            boolean data = false;
            for (String line = in.readLine(); line != null; line = in.readLine()) {
                if (data && !line.equals(".")) {
                    continue;
                }
                String command = line.split(" ")[0];
                data = command.equals("DATA") && !answers.containsKey("DATA");
                say(out, answers.getOrDefault(command, usual(command)));
            }
        } catch (IOException gone) {
            // The client has hung up: that conversation is over.
        }
    }

    private static String usual(String command) {
        return List.of("DATA").contains(command) ? "354 go on" : "250 ok";
    }

    private static void say(OutputStream out, String answer) throws IOException {
        if (!answer.equals(SILENCE)) {
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
